//! The tasks of the trade as a newcomer does them, by the keyboard alone. Every key, chord and
//! typed text is one action; a key that is held is one, and so is every Tab on the way. The counts
//! stand in docs/window.md, and pictures of the ends are written.

use egui::{Event, Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::path::PathBuf;
use underpin::editor::export::keep_all;
use underpin::editor::measuring::loudness_match::{LASTS_S, LoudnessMatch};
use underpin::editor::model::action::Action;
use underpin::editor::model::state::View;
use underpin::measure::layers::Layers;
use underpin::path::{Path, Tap};
use underpin::plot::Palette;
use underpin::presets::Preset;
use underpin::report::Sheet;
use window_tests::{STEP_S, Stage, level_pink, nothing, picture, stage, words};

/// A hand on the keyboard that counts what it does.
struct Hand {
    window: Harness<'static, Stage>,
    actions: usize,
}

impl Hand {
    /// A window as it opens, with a folder of its own.
    fn new(name: &str, sheet: Sheet) -> Self {
        let mut shown = Stage::new(sheet, Palette::Day);
        shown.state.folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("tasks").join(name);
        let _ = std::fs::remove_dir_all(&shown.state.folder);
        let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
        window.run();
        Self { window, actions: 0 }
    }

    fn stage(&mut self) -> &mut Stage {
        self.window.state_mut()
    }

    fn key(&mut self, key: Key) {
        self.chord(Modifiers::NONE, key);
    }

    fn chord(&mut self, with: Modifiers, key: Key) {
        self.actions += 1;
        self.window.key_press_modifiers(with, key);
        self.window.run();
        self.window.run_steps(2);
    }

    fn hold_enter(&mut self) {
        self.actions += 1;
        self.window.key_down(Key::Enter);
        self.window.run_steps((1.2 / STEP_S) as usize);
        self.window.key_up(Key::Enter);
        self.window.run();
    }

    /// Goes on by Tab until what is known by this name has the focus.
    #[track_caller]
    fn tab_to(&mut self, name: &str) {
        for _ in 0..60 {
            if self.window.query_by_label(name).is_some_and(|node| node.is_focused()) {
                return;
            }
            self.key(Key::Tab);
        }
        panic!("Tab does not come to {name:?}");
    }

    /// Types into what has the focus, and ends it by Enter.
    fn write(&mut self, text: &str) {
        self.actions += 1;
        self.window.event(Event::Text(text.into()));
        self.window.run();
        self.key(Key::Enter);
    }

    /// Opens the number that has the focus, and types its value.
    fn put(&mut self, text: &str) {
        self.key(Key::Enter);
        self.window.run_steps(2);
        self.write(text);
    }

    /// From region to region by F6, until what begins with this has the focus.
    #[track_caller]
    fn go_to_region(&mut self, name: &str) {
        for _ in 0..5 {
            if self.window.query_by_label(name).is_some_and(|node| node.is_focused()) {
                return;
            }
            self.key(Key::F6);
        }
        panic!("F6 does not come to {name:?}");
    }

    fn go_to_the_line(&mut self) {
        self.go_to_region("Input trim");
    }

    fn back_to(&mut self, name: &str) {
        for _ in 0..10 {
            if self.window.query_by_label(name).is_some_and(|node| node.is_focused()) {
                return;
            }
            self.chord(Modifiers::SHIFT, Key::Tab);
        }
        panic!("Shift+Tab does not come to {name:?}");
    }

    fn says(&self, part: &str) -> bool {
        let words = words(&self.window.output().shapes);
        // A sentence is drawn word by word.
        let all: Vec<&str> = words.iter().map(|word| word.text.as_str()).collect();
        all.join(" ").contains(part)
    }

    #[track_caller]
    fn ends(mut self, name: &str, actions: usize) {
        picture(&mut self.window, &format!("task-{name}"));
        assert_eq!(self.actions, actions, "actions of {name}");
    }
}

#[test]
fn a_half_of_60_hz_is_found() {
    let mut hand = Hand::new("half", nothing());
    hand.key(Key::T);
    hand.hold_enter();
    let started = |action: &Action| matches!(action, Action::Start(..));
    assert!(hand.stage().actions.iter().any(started), "nothing sounds");
    hand.stage().play(60.0, -20.0);
    hand.chord(Modifiers::COMMAND, Key::Num4);
    assert_eq!(hand.stage().state.view, View::Partials);
    assert!(hand.says("below the tone") && hand.says("half") && hand.says("30"));
    hand.ends("half", 3);
}

/// The gain in dB of a peaking filter of the second order `octaves` from its centre: half its gain
/// in dB at the edges of `wide` octaves (R. Bristow-Johnson, *Audio EQ Cookbook*, analog prototype).
fn bell_db(gain_db: f64, wide: f64, octaves: f64) -> f64 {
    let a = 10f64.powf(gain_db / 40.0);
    let q = 0.5 / (0.5 * std::f64::consts::LN_2 * wide).sinh();
    let x = octaves.exp2() - (-octaves).exp2();
    let square = |y: f64| y * y;
    10.0 * ((square(x) + square(a / q)) / (square(x) + square(1.0 / (a * q)))).log10()
}

#[test]
fn ten_db_are_lifted_at_30_hz_and_nothing_by_125_hz() {
    let mut hand = Hand::new("lift", level_pink(20.0, Default::default()));
    hand.go_to_the_line();
    hand.tab_to("Octave level");
    hand.key(Key::Home);
    hand.tab_to("Band gain");
    hand.put("10");
    hand.tab_to("Band centre");
    hand.put("30");
    // The target: 8 dB at 20 and at 40 Hz, 2 dB at 80 Hz.
    hand.key(Key::V);
    hand.back_to("target own");
    hand.key(Key::Enter);
    hand.go_to_region("cursor");
    for (point, steps) in [("target at 20 Hz", 4), ("target at 40 Hz", 4), ("target at 80 Hz", 1)] {
        hand.tab_to(point);
        (0..steps).for_each(|_| hand.key(Key::PageUp));
    }
    let settings = hand.stage().settings;
    hand.stage().sheet = level_pink(20.0, settings);
    hand.stage().reading += 1;
    hand.chord(Modifiers::COMMAND, Key::Num2);
    assert!(hand.says("off by") && hand.says("target"), "no target in the Bands");
    let bands = Layers::thirds(&hand.stage().sheet.runs[0].readings, 25.0, 160.0).bands;
    let lifted = |hz: f64| {
        let off = |band: f64| (band / hz).ln().abs();
        let band = bands.iter().min_by(|a, b| off(a.hz).total_cmp(&off(b.hz)));
        band.map(|band| band.out - band.given).expect("a band")
    };
    // A third is a sixth of an octave to either side; and 0.3 dB for 20 s of noise.
    let wanted = bell_db(10.0, 1.0, (31.5f64 / 30.0).log2());
    assert!((lifted(31.5) - wanted).abs() < 0.6, "{} dB at 31.5 Hz", lifted(31.5));
    let wanted = bell_db(10.0, 1.0, (125.0f64 / 30.0).log2());
    assert!((0.3..0.5).contains(&wanted) && (lifted(125.0) - wanted).abs() < 0.3);
    hand.ends("lift", 38);
}

#[test]
fn clipping_is_seen_just_before_it_is_heard() {
    let mut hand = Hand::new("clip", nothing());
    hand.key(Key::T);
    hand.hold_enter();
    let play = |hand: &mut Hand| {
        hand.stage().play(60.0, -3.0);
        let true_peak = hand.stage().sheet.runs[0].out().level.true_peak_dbtp;
        hand.stage().over_s = if true_peak > 0.0 { 0.04 } else { 0.0 };
        hand.window.run();
        true_peak
    };
    hand.go_to_the_line();
    hand.tab_to("Octave level");
    hand.key(Key::Home);
    hand.tab_to("Output gain");
    // By half a decibel: the room that is left is read at the end of the line before it is gone.
    let mut left = play(&mut hand);
    while left < -0.5 {
        assert!(hand.says("dB left") && hand.says("nothing clipped"), "at {left} dBTP");
        hand.key(Key::ArrowUp);
        left = play(&mut hand);
    }
    assert!(left < 0.0 && hand.says("dB left") && hand.says("nothing clipped"));
    (0..2).for_each(|_| hand.key(Key::ArrowUp));
    let over = play(&mut hand);
    // A tone of -3 dBFS, 3.5 dB up.
    assert!((over - 0.5).abs() < 0.05, "{over} dBTP");
    assert!(hand.says("0.5 dB over") && hand.says("clipped 40 ms"), "nothing is said of it");
    // A sentence stands for a second at least.
    hand.window.run_steps((1.2 / STEP_S) as usize);
    assert!(hand.says("leaves full scale by 0.5 dB"), "the sentence does not say so");
    hand.ends("clip", 33);
}

#[test]
fn a_and_b_are_matched_and_told_apart_in_ten_blind_trials() {
    let mut hand = Hand::new("blind", level_pink(20.0, Default::default()));
    hand.chord(Modifiers::ALT, Key::B);
    hand.go_to_the_line();
    hand.tab_to("Band gain");
    hand.put("6");
    hand.chord(Modifiers::ALT, Key::A);
    hand.go_to_region("Spectrum");
    hand.tab_to("make A and B equally loud");
    hand.key(Key::Enter);
    match_levels(hand.stage());
    hand.chord(Modifiers::ALT, Key::X);
    assert!(hand.stage().state.comparison.is_blind());
    for trial in 1..=10 {
        assert!(hand.says(&format!("trial {trial}: which of them is B?")));
        // Who listens to the other too needs one more; this one knows by the first.
        hand.tab_to("1 is B");
        hand.key(Key::Enter);
    }
    hand.tab_to("say which is which");
    hand.key(Key::Enter);
    let told = hand.stage().state.message.clone().expect("a sentence");
    assert!(told.contains("of 10 right; a coin does as well in"), "{told}");
    hand.window.run();
    hand.ends("blind", 56);
}

/// What the host does when it is asked to make both equally loud.
fn match_levels(stage: &mut Stage) {
    assert!(stage.actions.contains(&Action::Match), "nobody asked for it");
    let (now, rate_hz) = (stage.settings, 48_000.0);
    let mut twin = LoudnessMatch::new(rate_hz, 1, [now, stage.state.comparison.other(now)]);
    let count = ((LASTS_S + 0.5) * rate_hz) as usize;
    let tone = |n: usize| 0.1 * (std::f64::consts::TAU * 45.0 * n as f64 / rate_hz).sin();
    let sound: Vec<f64> = (0..count).map(tone).collect();
    sound.chunks(700).for_each(|chunk| twin.hear(Tap::Before, &[chunk]));
    let levels = twin.levels_db().expect("levels");
    let (settings, _) = stage.state.comparison.match_levels(now, levels);
    stage.settings = settings;
    assert!(stage.state.comparison.other(settings).output_gain_db < 0.0, "B was not turned down");
}

#[test]
fn a_curve_is_kept_laid_over_and_exported() {
    let mut hand = Hand::new("curve", level_pink(20.0, Default::default()));
    hand.key(Key::V);
    hand.write("before");
    assert_eq!(hand.stage().state.shelf.traces[0].name, "before");
    hand.go_to_the_line();
    hand.tab_to("Band gain");
    hand.put("6");
    let settings = hand.stage().settings;
    hand.stage().sheet = level_pink(20.0, settings);
    hand.stage().reading += 1;
    hand.window.run();
    assert!(hand.says("before"), "the curve has no name in the picture");
    picture(&mut hand.window, "task-curve-laid-over");
    hand.key(Key::E);
    hand.key(Key::Enter);
    assert!(hand.stage().actions.contains(&Action::KeepAll), "nothing was kept");
    let stage = hand.window.state();
    let told = keep_all(&stage.state, &stage.shown()).expect("files");
    let folder = stage.state.folder.clone();
    let files = std::fs::read_dir(folder).expect("a folder").count();
    assert_eq!(files, 4, "{told}");
    hand.ends("curve", 20);
}

#[test]
fn a_preset_is_made_and_the_program_takes_it() {
    let mut hand = Hand::new("preset", nothing());
    hand.go_to_the_line();
    hand.tab_to("Octave level");
    hand.put("-3");
    hand.key(Key::P);
    hand.tab_to("name of the preset");
    hand.write("My car");
    let file = hand.stage().state.folder.join("presets/my-car.toml");
    // What the program reads with `--preset FILE`, and the line that it renders through.
    let text = std::fs::read_to_string(file).expect("a file");
    let preset = Preset::parse(&text).expect("a preset");
    let render = |settings| {
        let mut path = Path::new(48_000.0, 1);
        path.set(&settings);
        let mut sound: Vec<f32> = (0..9_600).map(|n| 0.2 * (0.008 * n as f32).sin()).collect();
        path.process(&mut [&mut sound], &mut ());
        sound
    };
    assert_eq!(preset.settings.octave_level_db, -3.0);
    assert_eq!(render(preset.settings), render(hand.stage().settings));
    hand.ends("preset", 11);
}
