//! Presets and A/B by the keys: load, change, save, turn, equally loud, without names.

use egui::{Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::path::PathBuf;
use underpin::editor::files::preset_library::Library;
use underpin::editor::measuring::loudness_match::{LASTS_S, LoudnessMatch};
use underpin::editor::model::comparison::Comparison;
use underpin::editor::model::state::Open;
use underpin::editor::model::trials::Trials;
use underpin::path::Tap;
use underpin::plot::Palette;
use underpin::presets::{self, Preset};
use underpin::settings::Settings;
use window_tests::{Stage, nothing, press, stage, words};

fn window(name: &str) -> Harness<'static, Stage> {
    let mut shown = Stage::new(nothing(), Palette::Day);
    shown.state.folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&shown.state.folder);
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    window
}

#[test]
fn a_preset_is_loaded_changed_and_compared_with_its_file() {
    let mut window = window("load");
    press(&mut window, Key::P);
    assert_eq!(window.state().state.open, Open::Presets);
    let preset = presets::all()[5].clone();
    window.get_by_label(&format!("preset {}", preset.name)).focus();
    window.run();
    press(&mut window, Key::Enter);
    assert_eq!(window.state().settings, preset.settings);
    window.get_by_label("Input trim").focus();
    window.run();
    press(&mut window, Key::ArrowUp);
    let shown = words(&window.output().shapes);
    let said =
        format!("Changed since \u{201c}{}\u{201d}: input trim 0 dB is now 0.5 dB.", preset.name);
    assert!(shown.iter().any(|w| w.text == said), "{said}");
    assert!(shown.iter().any(|w| w.text.ends_with(", changed")), "the head does not say so");
}

#[test]
fn a_preset_is_saved_once_and_found_again() {
    let mut window = window("save");
    window.state_mut().settings.octave_level_db = 1.5;
    press(&mut window, Key::P);
    window.get_by_label("name of the preset").focus();
    window.run();
    window.event(egui::Event::Text("My car".into()));
    window.run();
    press(&mut window, Key::Enter);
    let file = window.state().state.folder.join("presets/my-car.toml");
    let text = std::fs::read_to_string(&file).expect("a file");
    let saved = Preset::parse(&text).expect("a preset");
    assert_eq!((saved.name.as_str(), saved.settings.octave_level_db), ("My car", 1.5));
    let library = Library::read(&window.state().state.folder);
    assert_eq!(library.entries.len(), presets::all().len() + 1);

    // A second one of this name is refused, and the first is left as it is.
    window.state_mut().settings.octave_level_db = 3.0;
    window.state_mut().state.saving = "my car".into();
    window.get_by_label("save the preset").focus();
    window.run();
    press(&mut window, Key::Enter);
    let told = window.state().state.message.clone().expect("a sentence");
    assert!(told.contains("already"), "{told}");
    assert_eq!(std::fs::read_to_string(&file).expect("a file"), text);
}

#[test]
fn a_broken_file_is_named_and_the_others_are_there() {
    let shelf = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("broken");
    let folder = shelf.join("presets");
    std::fs::create_dir_all(&folder).expect("a folder");
    std::fs::write(folder.join("bad.toml"), "no preset at all").expect("a file");
    let library = Library::read(&shelf);
    assert_eq!(library.entries.len(), presets::all().len());
    assert!(library.faults[0].contains("bad.toml"), "{:?}", library.faults);
}

#[test]
fn every_preset_can_be_reached_by_the_arrows_in_the_smallest_window() {
    let mut shown = Stage::new(nothing(), Palette::Day);
    shown.state.open = Open::Presets;
    shown.state.library = Library::read(&PathBuf::from("there is no such folder"));
    let all = presets::all();
    let mut window = stage(shown, vec2(720.0, 480.0), 1.0);
    window.run();
    window.get_by_label(&format!("preset {}", all[0].name)).focus();
    window.run();
    for _ in 1..all.len() {
        press(&mut window, Key::ArrowDown);
    }
    let last = format!("preset {}", all[all.len() - 1].name);
    assert!(window.get_by_label(&last).is_focused());
}

#[test]
fn a_and_b_keep_their_settings_and_leave_the_listener_alone() {
    let mut window = window("pair");
    let turn = |window: &mut Harness<Stage>, key: Key| {
        window.key_press_modifiers(Modifiers::ALT, key);
        window.run();
    };
    turn(&mut window, Key::B);
    window.get_by_label("Band gain").focus();
    window.run();
    (0..4).for_each(|_| press(&mut window, Key::ArrowUp));
    window.state_mut().settings.bypass = true;
    turn(&mut window, Key::A);
    let a = window.state().settings;
    assert_eq!((a.low_band_gain_db, a.bypass), (0.0, true));
    turn(&mut window, Key::B);
    assert_eq!(window.state().settings.low_band_gain_db, 2.0);
}

#[test]
fn blind_shows_nothing_that_could_tell() {
    let mut window = window("blind");
    window.key_press_modifiers(Modifiers::ALT, Key::B);
    window.run();
    window.get_by_label("Band gain").focus();
    window.run();
    (0..4).for_each(|_| press(&mut window, Key::ArrowUp));
    window.get_by_label("compare without names").focus();
    window.run();
    press(&mut window, Key::Enter);
    let seen = |window: &Harness<Stage>| -> Vec<String> {
        words(&window.output().shapes).into_iter().map(|w| w.text).collect()
    };
    let (mut heard, before) = (Vec::new(), seen(&window));
    for name in ["listen to 1", "listen to 2", "listen to 1"] {
        window.get_by_label(name).focus();
        window.run();
        press(&mut window, Key::Enter);
        heard.push(window.state().settings.low_band_gain_db);
        let mut now = seen(&window);
        let mut was = before.clone();
        now.sort();
        was.sort();
        assert_eq!(now, was, "the words change with what is heard");
    }
    assert!(heard[0] != heard[1] && heard[0] == heard[2], "{heard:?}");
    window.get_by_label("say which is which").focus();
    window.run();
    press(&mut window, Key::Enter);
    let told = window.state().state.message.clone().expect("a sentence");
    // 1 is heard now; B is the one with 2 dB.
    let one = if heard[2] == 2.0 { "1 was B" } else { "1 was A" };
    assert!(told.starts_with(one), "{told} while {heard:?}");
}

#[test]
fn a_and_b_are_equally_loud_within_a_tenth_of_a_decibel() {
    let rate_hz = 48_000.0;
    let a = Settings { octave_level_db: -60.0, ..Settings::default() };
    let b = Settings { low_band_gain_db: 9.0, low_band_centre_hz: 60.0, ..a };
    // Noise of no special kind: the fractions of n² times the golden ratio.
    let fraction = |n: usize| ((n * n) as f64 * 0.618_033_988_749_895) % 1.0;
    let count = ((LASTS_S + 0.5) * rate_hz) as usize;
    let noise: Vec<f64> = (0..count).map(|n| 0.1 * (fraction(n) - 0.5)).collect();
    let slow: Vec<f64> = (0..count)
        .map(|n| 0.1 * (std::f64::consts::TAU * 60.0 * n as f64 / rate_hz).sin() + noise[n])
        .collect();
    let levels = |settings: [Settings; 2]| {
        let mut twin = LoudnessMatch::new(rate_hz, 1, settings);
        slow.chunks(700).for_each(|chunk| twin.hear(Tap::Before, &[chunk]));
        twin.levels_db().expect("levels")
    };
    let before = levels([a, b]);
    assert!(before[1] - before[0] > 1.0, "{before:?}: nothing to match");
    let mut pair = Comparison::default();
    pair.put_other(b);
    let (set, words) = pair.match_levels(a, before);
    assert_eq!(set, a, "the softer one must stay as it is");
    assert!(words.starts_with('B'), "{words}");
    let after = levels([set, pair.other(set)]);
    assert!((after[0] - after[1]).abs() <= 0.1, "{after:?}");
    assert!(pair.other(set).output_gain_db < 0.0);
}

#[test]
fn silence_is_not_compared() {
    let mut pair = Comparison::default();
    let (set, words) = pair.match_levels(Settings::default(), [-400.0, -400.0]);
    assert_eq!(set, Settings::default());
    assert!(words.contains("Nothing sounds"), "{words}");
}

#[test]
fn nine_of_twelve_is_what_a_coin_does_in_seven_of_a_hundred() {
    // (220 + 66 + 12 + 1)/2^12, the upper end of Pascal's twelfth row.
    let trials = Trials { right: 9, all: 12 };
    assert!((trials.by_chance() - 299.0 / 4096.0).abs() < 1e-12);
    assert_eq!(trials.words().as_deref(), Some("9 of 12 right; a coin does as well in 7 %."));
    assert_eq!(Trials { right: 0, all: 5 }.by_chance(), 1.0);
    assert_eq!(Trials::default().words(), None);
}

#[test]
fn an_answer_tells_nothing_about_the_next() {
    // Who always answers 1, and who answers the one that does not sound: neither is right more
    // often than a coin, and being right says nothing about the next time.
    let mut pair = Comparison::default();
    let a = Settings::default();
    let b = Settings { low_band_gain_db: 3.0, ..a };
    pair.put_other(b);
    let (mut set, trials) = (a, 4000);
    pair.hide();
    let mut right = [0, 0];
    let mut twice = [0, 0];
    let mut before = [false, false];
    for _ in 0..trials {
        let silent = !pair.is_second();
        for (i, answer) in [false, silent].into_iter().enumerate() {
            let is_right = pair.letter(answer) == "B";
            right[i] += i32::from(is_right);
            twice[i] += i32::from(is_right && before[i]);
            before[i] = is_right;
        }
        if pair.toss() {
            let to = pair.other(set);
            pair.turn(set);
            set = to;
        }
    }
    // Six standard deviations of 4000 coins, and of 4000 pairs of coins.
    for (right, twice) in right.into_iter().zip(twice) {
        assert!((right - trials / 2).abs() < 190, "{right} of {trials}");
        assert!((twice - trials / 4).abs() < 250, "{twice} twice of {trials}");
    }
}

#[test]
fn trials_are_counted_and_told_at_the_end_alone() {
    let mut window = window("trials");
    window
        .state_mut()
        .state
        .comparison
        .put_other(Settings { low_band_gain_db: 3.0, ..Settings::default() });
    window.key_press_modifiers(Modifiers::ALT, Key::X);
    window.run();
    let mut right = 0;
    for trial in 1..=3 {
        let seen = words(&window.output().shapes);
        let asked = format!("trial {trial}: which of them is B?");
        assert!(seen.iter().any(|w| w.text == asked), "{asked}");
        assert!(!seen.iter().any(|w| w.text.contains("right")), "told too early");
        right += i32::from(window.state().state.comparison.letter(false) == "B");
        window.get_by_label("1 is B").focus();
        window.run();
        press(&mut window, Key::Enter);
    }
    window.get_by_label("say which is which").focus();
    window.run();
    press(&mut window, Key::Enter);
    let told = window.state().state.message.clone().expect("a sentence");
    assert!(told.contains(&format!("{right} of 3 right; a coin")), "{told}");
    assert!(!window.state().state.comparison.is_blind());
}
