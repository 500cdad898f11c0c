//! Every setting by its label and the keys alone.

use egui::{Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use underpin::editor::model::action::Action;
use underpin::plot::Palette;
use underpin::settings::{ALL, Id, Kind, Setting};
use window_tests::{Stage, nothing, press, stage};

fn window() -> Harness<'static, Stage> {
    let mut window = stage(Stage::new(nothing(), Palette::Day), vec2(960.0, 600.0), 1.0);
    window.run();
    window
}

fn value(window: &Harness<Stage>, setting: &Setting) -> f32 {
    window.state().settings.get(setting.key).expect("a setting")
}

#[track_caller]
fn check_number(setting: &Setting, min: f32, max: f32) {
    let mut window = window();
    window.get_by_label(setting.name).focus();
    window.run();
    press(&mut window, Key::ArrowRight);
    let up = value(&window, setting);
    assert!(up > setting.default() || up == max, "{}: {up} after one step", setting.key);
    window.key_press_modifiers(Modifiers::SHIFT, Key::ArrowLeft);
    window.run();
    let fine = value(&window, setting);
    assert!(fine < up && up - fine < 0.11 * (up.abs() + 5.0), "{}: {fine}", setting.key);
    press(&mut window, Key::End);
    assert_eq!(value(&window, setting), max, "{}", setting.key);
    press(&mut window, Key::Home);
    assert!(value(&window, setting) <= min, "{}", setting.key);
    press(&mut window, Key::Delete);
    assert_eq!(value(&window, setting), setting.default(), "{}", setting.key);
}

#[test]
fn every_number_moves_by_keys_and_finds_its_default() {
    for setting in ALL {
        if let Kind::Number { min, max, .. } = setting.kind {
            check_number(setting, min, max);
        }
    }
}

#[test]
fn every_choice_goes_round_by_enter() {
    for setting in ALL.iter().filter(|s| !matches!(s.kind, Kind::Number { .. })) {
        // The post one listens at is chosen by its four posts.
        if setting.key == "listen" {
            continue;
        }
        let mut window = window();
        let before = value(&window, setting);
        window.get_by_label(setting.name).focus();
        window.run();
        press(&mut window, Key::Enter);
        assert_ne!(value(&window, setting), before, "{}", setting.key);
    }
}

#[test]
fn one_listens_at_four_posts() {
    let posts = [
        ("hear the octave part alone", 1.0),
        ("hear the dry part alone", 2.0),
        ("hear the difference", 3.0),
        ("hear what comes out", 0.0),
    ];
    let mut window = window();
    for (name, plain) in posts {
        window.get_by_label(name).focus();
        window.run();
        press(&mut window, Key::Enter);
        assert_eq!(window.state().settings.get("listen"), Ok(plain), "{name}");
    }
}

#[track_caller]
fn check_typed(key: &str, text: &str, wanted: f32) {
    let setting = Setting::of(key).expect("a setting");
    let mut window = window();
    window.get_by_label(setting.name).focus();
    window.run();
    press(&mut window, Key::Enter);
    window.run();
    window.event(egui::Event::Text(text.into()));
    window.run();
    press(&mut window, Key::Enter);
    assert_eq!(value(&window, setting), wanted, "{key} from {text:?}");
}

#[test]
fn typed_values_take_units_and_stay_in_range() {
    check_typed("octave.level_db", "-3 dB", -3.0);
    check_typed("octave.level_db", "-inf", -60.0);
    check_typed("low_band.centre_hz", "0.05k", 50.0);
    check_typed("low_band.width_oct", "1,5 oct", 1.5);
    check_typed("low_band.gain_db", "99", 18.0);
    check_typed("octave.to_hz", "nonsense", 160.0);
    check_typed("octave.floor_hz", "off", 0.0);
}

#[test]
fn escape_leaves_a_typed_value_alone() {
    let setting = Setting::of("input.trim_db").expect("a setting");
    let mut window = window();
    window.get_by_label(setting.name).focus();
    window.run();
    press(&mut window, Key::Enter);
    window.event(egui::Event::Text("7".into()));
    window.run();
    press(&mut window, Key::Escape);
    assert_eq!(value(&window, setting), 0.0);
}

#[test]
fn a_step_is_one_gesture_of_the_host() {
    let mut window = window();
    window.get_by_label("Input trim").focus();
    window.run();
    press(&mut window, Key::ArrowUp);
    let actions = &window.state().actions;
    let at = Id::input_trim_db;
    assert_eq!(*actions, [Action::Take(at), Action::Put(at, 0.5), Action::Leave(at)]);
}

#[test]
fn tab_follows_the_signal() {
    let mut window = window();
    let order = [
        "Input trim",
        "Octave level",
        "Source from",
        "Dry level",
        "Band gain",
        "HP corner",
        "Output gain",
    ];
    window.get_by_label(order[0]).focus();
    window.run();
    let mut passed = 0;
    for _ in 0..30 {
        if passed + 1 < order.len() && window.get_by_label(order[passed + 1]).is_focused() {
            passed += 1;
        }
        press(&mut window, Key::Tab);
    }
    assert_eq!(passed + 1, order.len(), "reached {:?}", order[passed]);
}

#[test]
fn shortcuts_work_from_anywhere() {
    let mut window = window();
    press(&mut window, Key::B);
    assert!(window.state().settings.bypass);
    press(&mut window, Key::L);
    assert_eq!(window.state().settings.get("listen"), Ok(1.0));
    window.key_press_modifiers(Modifiers::COMMAND, Key::Num4);
    window.run();
    assert_eq!(window.state().state.view, underpin::editor::model::state::View::Partials);
    press(&mut window, Key::F);
    assert!(window.state().state.frozen_s.is_some());
    press(&mut window, Key::R);
    assert_eq!(window.state().actions.last(), Some(&Action::Restart));
}

#[test]
fn a_quick_chord_is_read_by_its_own_key_event() {
    // Alt is up again before the frame ends: the event knows that it was down.
    let mut window = window();
    let key = |key, pressed, modifiers| egui::Event::Key {
        key,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers,
    };
    window.event(key(Key::B, true, Modifiers::ALT));
    window.event(key(Key::B, false, Modifiers::NONE));
    window.run();
    assert!(!window.state().settings.bypass, "a chord was read as its letter");
    assert!(window.state().state.comparison.is_second());
}

#[test]
fn the_zoom_has_keys() {
    let mut window = window();
    let mut zoom_after = |key| {
        window.key_press_modifiers(Modifiers::COMMAND, key);
        window.run();
        window.state().state.zoom
    };
    assert_eq!(zoom_after(Key::Minus), 0.9);
    assert_eq!(zoom_after(Key::Num0), 1.0);
}
