//! A working session by the keyboard alone, with the line and the analysers in it.

use egui::{Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use underpin::editor::model::action::Action;
use underpin::editor::model::state::View;
use underpin::link::measuring::Test;
use underpin::plot::Palette;
use window_tests::{STEP_S, Stage, nothing, press, stage};

#[test]
fn a_signal_starts_only_after_a_second_of_holding_and_escape_is_silence() {
    let mut window = stage(Stage::new(nothing(), Palette::Day), vec2(960.0, 600.0), 1.0);
    window.run();
    press(&mut window, Key::T);
    window.get_by_label("hold to start").focus();
    window.run();
    window.key_down(Key::Enter);
    window.run_steps((0.8 / STEP_S) as usize);
    assert!(window.state().sounds_s.is_none(), "0.8 s have started a signal");
    window.run_steps((0.4 / STEP_S) as usize);
    assert!(window.state().sounds_s.is_some(), "1.2 s have not started a signal");
    window.key_up(Key::Enter);
    window.run();
    window.get_by_label("Input trim").focus();
    window.run();
    press(&mut window, Key::Escape);
    assert!(window.state().sounds_s.is_none(), "Esc did not bring silence");
}

#[test]
fn louder_than_the_limit_needs_the_unlock() {
    let mut window = stage(Stage::new(nothing(), Palette::Day), vec2(960.0, 600.0), 1.0);
    window.run();
    press(&mut window, Key::T);
    window.get_by_label("test signal level").focus();
    window.run();
    press(&mut window, Key::End);
    assert_eq!(window.state().state.test_choice.dbfs, -12.0);
    window.get_by_label("unlock louder test signals").focus();
    window.run();
    press(&mut window, Key::Enter);
    assert!(window.state().unlocked);
    window.get_by_label("test signal level").focus();
    window.run();
    press(&mut window, Key::End);
    assert_eq!(window.state().state.test_choice.dbfs, 0.0);
}

#[test]
fn a_tone_is_chosen_halved_read_kept_and_compared_without_a_mouse() {
    let mut shown = Stage::new(nothing(), Palette::Day);
    shown.state.folder = std::path::PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("session");
    let _ = std::fs::remove_dir_all(&shown.state.folder);
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    start_a_tone(&mut window);

    // The octave part 6 dB up: twelve steps of half a decibel.
    window.get_by_label("Octave level").focus();
    window.run();
    for _ in 0..12 {
        press(&mut window, Key::ArrowUp);
    }
    let settings = window.state().settings;
    assert_eq!(settings.octave_level_db, 0.0);

    // The tone sounds through the line with these settings, and is measured.
    window.state_mut().play(60.0, -20.0);
    window.run();
    read_the_half(&mut window);
    see_the_partials(&mut window);
    save_a_preset(&mut window);
    compare_with_none(&mut window);
}

/// Chooses a tone of 60 Hz and starts it.
fn start_a_tone(window: &mut Harness<Stage>) {
    press(window, Key::T);
    window.get_by_label("test tone frequency").focus();
    window.run();
    press(window, Key::Enter);
    window.run();
    window.event(egui::Event::Text("60 Hz".into()));
    window.run();
    press(window, Key::Enter);
    window.get_by_label("hold to start").focus();
    window.run();
    window.key_down(Key::Enter);
    window.run_steps((1.2 / STEP_S) as usize);
    window.key_up(Key::Enter);
    window.run();
    let started = Action::Start(Test::Tone(60.0), -20.0);
    assert!(window.state().actions.contains(&started), "{:?}", window.state().actions);
}

/// The plumb line to 30 Hz, read against the level of the half that the analyser found.
fn read_the_half(window: &mut Harness<Stage>) {
    press(window, Key::C);
    // The first key takes it from 50 Hz; fine steps reach the half.
    while window.state().state.cursor.hz.is_none_or(|hz| hz > 31.0) {
        press(window, Key::ArrowLeft);
    }
    while window.state().state.cursor.hz.is_none_or(|hz| hz > 30.05) {
        window.key_press_modifiers(egui::Modifiers::SHIFT, Key::ArrowLeft);
        window.run();
    }
    let hz = window.state().state.cursor.hz.expect("a cursor");
    assert!((hz - 30.0).abs() < 0.1, "the cursor hangs at {hz}");
    let shown = window_tests::words(&window.output().shapes);
    let partials = window.state().sheet.runs[0].out().partials.clone().expect("partials");
    let half = partials.below.iter().find(|l| (l.order - 0.5).abs() < 1e-6).expect("a half");
    let said = underpin::figures::difference((10.0 * half.dbfs).round() / 10.0);
    assert!(shown.iter().any(|w| w.text == said), "{said} is not in the read-out");
}

/// The partials, by the keys of the head.
fn see_the_partials(window: &mut Harness<Stage>) {
    window.get_by_label("Spectrum").focus();
    window.run();
    for _ in 0..3 {
        press(window, Key::ArrowRight);
    }
    assert_eq!(window.state().state.view, View::Partials);
    let shown = window_tests::words(&window.output().shapes);
    assert!(shown.iter().any(|w| w.text.contains("below the tone")), "no figure below the tone");
    assert!(shown.iter().any(|w| w.text == "half"), "the half is not in the table");
}

/// What is set becomes a preset of one's own.
fn save_a_preset(window: &mut Harness<Stage>) {
    press(window, Key::P);
    window.get_by_label("name of the preset").focus();
    window.run();
    window.event(egui::Event::Text("Halves".into()));
    window.run();
    press(window, Key::Enter);
    let saved = window.state().state.loaded.clone().expect("a preset");
    assert_eq!((saved.name.as_str(), saved.settings), ("Halves", window.state().settings));
    press(window, Key::P);
}

/// B has no octave part; the ear goes to and fro.
fn compare_with_none(window: &mut Harness<Stage>) {
    let turn = |window: &mut Harness<Stage>, key| {
        window.key_press_modifiers(egui::Modifiers::ALT, key);
        window.run();
        window.state().settings.octave_level_db
    };
    turn(window, Key::B);
    window.get_by_label("Octave level").focus();
    window.run();
    press(window, Key::Home);
    assert_eq!(turn(window, Key::A), 0.0);
    assert_eq!(turn(window, Key::B), -60.0);
}
