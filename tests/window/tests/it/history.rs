//! What a hand has set is taken back step by step, and done again.

use egui::{Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::path::Path;
use underpin::editor::files::preset_library::Library;
use underpin::plot::Palette;
use underpin::settings::Settings;
use window_tests::{Stage, nothing, press, stage};

fn window() -> Harness<'static, Stage> {
    let mut shown = Stage::new(nothing(), Palette::Day);
    shown.state.library = Library::read(Path::new("there is no such folder"));
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    window
}

fn chord(window: &mut Harness<Stage>, key: Key) {
    window.key_press_modifiers(Modifiers::COMMAND, key);
    window.run();
}

#[test]
fn a_preset_is_one_step_back_and_one_forth() {
    let mut window = window();
    let before = Settings { input_trim_db: 3.0, ..Settings::default() };
    window.state_mut().settings = before;
    press(&mut window, Key::P);
    let preset = window.state().state.library.entries[3].preset.clone();
    window.get_by_label(&format!("preset {}", preset.name)).focus();
    window.run();
    press(&mut window, Key::Enter);
    assert_eq!(window.state().settings, preset.settings);
    chord(&mut window, Key::Z);
    assert_eq!(window.state().settings, before);
    chord(&mut window, Key::Y);
    assert_eq!(window.state().settings, preset.settings);
    window.get_by_label("undo").focus();
    window.run();
    press(&mut window, Key::Enter);
    assert_eq!(window.state().settings, before);
}

#[test]
fn what_a_host_moves_and_where_one_listens_stay() {
    let mut window = window();
    window.get_by_label("Input trim").focus();
    window.run();
    (0..4).for_each(|_| press(&mut window, Key::ArrowUp));
    press(&mut window, Key::B);
    window.state_mut().settings.output_gain_db = -5.0;
    chord(&mut window, Key::Z);
    let settings = window.state().settings;
    // Four steps in one second are one.
    assert_eq!((settings.input_trim_db, settings.output_gain_db), (0.0, -5.0));
    assert!(settings.bypass);
    // Nothing more to take back.
    chord(&mut window, Key::Z);
    assert_eq!(window.state().settings, settings);
}

#[test]
fn turning_to_b_is_no_step() {
    let mut window = window();
    window.get_by_label("Input trim").focus();
    window.run();
    press(&mut window, Key::ArrowUp);
    let other = Settings { low_band_gain_db: 4.0, ..Settings::default() };
    window.state_mut().state.comparison.put_other(other);
    window.key_press_modifiers(Modifiers::ALT, Key::B);
    window.run();
    assert_eq!(window.state().settings, other);
    chord(&mut window, Key::Z);
    assert_eq!(window.state().settings.low_band_gain_db, 4.0);
}
