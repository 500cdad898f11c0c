//! Help: one line for everything that can be touched, a page for the keys, and ways by Tab and F6.

use egui::{Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use std::path::Path;
use underpin::editor::bars::help;
use underpin::editor::files::preset_library::Library;
use underpin::editor::model::state::{Open, View};
use underpin::editor::model::target::Asked;
use underpin::plot::Palette;
use underpin::settings::Settings;
use window_tests::{Stage, pink, plan, stage, words};

fn window(with: impl Fn(&mut Stage)) -> Harness<'static, Stage> {
    let mut shown = Stage::new(pink(5.0), Palette::Day);
    with(&mut shown);
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    window
}

/// What can be touched, by its role.
const ROLES: [&str; 7] =
    ["Button", "Tab", "Slider", "RadioButton", "ListItem", "TextInput", "ProgressIndicator"];

/// Everything that can be touched, by its label.
fn parts(window: &Harness<Stage>) -> Vec<String> {
    let nodes = window.root().children_recursive();
    let touched = |role: &dyn std::fmt::Debug| ROLES.contains(&format!("{role:?}").as_str());
    let nodes = nodes.filter(|node| touched(&node.accesskit_node().role()));
    nodes.filter_map(|node| node.accesskit_node().label()).collect()
}

#[test]
fn everything_that_can_be_touched_is_explained_in_one_line() {
    let opens = [Open::Nothing, Open::TestSignal, Open::Presets, Open::Tray, Open::Shelf];
    let mut told = 0;
    for (view, _) in View::ALL {
        for open in opens {
            let window = window(|stage| {
                stage.state.view = view;
                stage.state.open = open;
                stage.state.library = Library::read(Path::new("there is no such folder"));
                stage.plan = Some(plan());
                stage.state.target.asked = Asked::Gentle;
                stage.state.beside = 1;
                stage.over_s = 0.5;
                let other = Settings { low_band_gain_db: 3.0, ..stage.settings };
                stage.state.comparison.put_other(other);
            });
            for part in parts(&window) {
                // The latch is known by its first word.
                let name = part.split(' ').next().filter(|word| *word == "clipped");
                let words = help::words(name.unwrap_or(&part));
                assert!(words.is_some(), "{view:?}, {open:?}: {part} is not explained");
                told += 1;
            }
        }
    }
    assert!(told > 1000, "{told} parts");
}

#[test]
fn the_foot_says_what_has_the_focus() {
    let mut window = window(|_| {});
    window.get_by_label("Octave floor").focus();
    window.run();
    let said = "Octave floor: no octave note below this frequency; drag, arrows, or Enter to type.";
    assert!(words(&window.output().shapes).iter().any(|word| word.text == said));
}

#[test]
fn f1_shows_every_key_and_escape_closes_it() {
    let mut window = window(|_| {});
    window.key_press(Key::F1);
    window.run();
    let seen = words(&window.output().shapes);
    for (key, _) in underpin::editor::views::help::KEYS {
        assert!(seen.iter().any(|word| word.text == key), "{key} is not on the page");
    }
    window.key_press(Key::Escape);
    window.run();
    assert_eq!(window.state().state.open, Open::Nothing);
}

#[test]
fn head_and_foot_are_passed_from_left_to_right() {
    let mut window = window(|_| {});
    for order in [
        &["presets", "curves and target", "keep this view", "set A", "set B"][..],
        &["freeze", "hold highest and lowest", "over what is averaged", "restart the averages"],
        &["help", "colours", "zoom out", "natural zoom", "zoom in"],
    ] {
        window.get_by_label(order[0]).focus();
        window.run();
        for pair in order.windows(2) {
            let [here, next] = [0, 1].map(|i| window.get_by_label(pair[i]).rect().min.x);
            assert!(here < next, "{} does not stand left of {}", pair[0], pair[1]);
            window.key_press(Key::Tab);
            window.run();
            assert!(window.get_by_label(pair[1]).is_focused(), "Tab misses {}", pair[1]);
        }
    }
}

#[test]
fn f6_goes_from_region_to_region_and_t_to_start() {
    let mut window = window(|_| {});
    for name in ["Spectrum", "cursor", "Input trim", "help", "Spectrum"] {
        window.key_press(Key::F6);
        window.run();
        assert!(window.get_by_label(name).is_focused(), "{name} is not reached");
    }
    window.key_press(Key::T);
    window.run();
    assert!(window.get_by_label("hold to start").is_focused());
}
