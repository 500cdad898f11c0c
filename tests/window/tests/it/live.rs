//! What sounds now: levels against sines, the wave caught where the bass rises, and what the Scope
//! shows of music.

use egui::{Key, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use std::f64::consts::TAU;
use underpin::editor::measuring::live::Live;
use underpin::editor::model::now::Now;
use underpin::editor::model::state::{Open, View};
use underpin::path::{Listen, Tap};
use underpin::plot::Palette;
use window_tests::{Stage, now, pink, stage, words};

const RATE_HZ: f64 = 48_000.0;

/// What is heard of `seconds` of a wave, in pieces of an odd length.
fn heard(seconds: f64, wave: impl Fn(f64) -> f64) -> Now {
    let mut live = Live::new(RATE_HZ);
    let all: Vec<f64> =
        (0..(seconds * RATE_HZ) as usize).map(|n| wave(n as f64 / RATE_HZ)).collect();
    for piece in all.chunks(701) {
        let half: Vec<f64> = piece.iter().map(|x| 0.5 * x).collect();
        live.hear(Tap::Before, &[piece, piece]);
        live.hear(Tap::Octave, &[&half]);
        live.hear(Tap::After, &[&half, &half]);
    }
    live.now(None)
}

#[test]
fn levels_are_those_of_the_latest_moment() {
    // AES17: a sine of peak 0.1 is -20 dBFS; then one of 0.01 for half a second is -40 dBFS, while
    // the peak of -20 dBFS is held.
    let now = heard(1.5, |t| if t < 1.0 { 0.1 } else { 0.01 } * (TAU * 50.0 * t).sin());
    assert!((now.before.rms_dbfs + 40.0).abs() < 0.05, "{:?}", now.before);
    assert!((now.before.peak_dbfs + 20.0).abs() < 0.05, "{:?}", now.before);
    // Half of it comes out.
    assert!((now.after.rms_dbfs + 46.02).abs() < 0.05, "{:?}", now.after);
    // Two seconds and more later it is forgotten.
    let now = heard(4.0, |t| if t < 1.0 { 0.1 } else { 0.01 } * (TAU * 50.0 * t).sin());
    assert!((now.before.peak_dbfs + 40.0).abs() < 0.05, "{:?}", now.before);
}

#[test]
fn the_wave_begins_where_the_bass_rises_whatever_else_sounds() {
    let wave = |t: f64| 0.3 * (TAU * 50.0 * t).sin() + 0.2 * (TAU * 2000.0 * t).sin();
    let starts: Vec<Vec<f64>> = [1.0, 1.0037, 1.0101, 1.0199]
        .into_iter()
        .map(|seconds| heard(seconds, wave).wave.before)
        .collect();
    // 50 Hz alone, by its correlation with a sine and a cosine over five whole periods.
    for wave in &starts {
        let n = (0.1 * RATE_HZ) as usize;
        assert_eq!(wave.len(), n);
        let part = |turn: fn(f64) -> f64| -> f64 {
            wave.iter().enumerate().map(|(i, x)| x * turn(TAU * 50.0 * i as f64 / RATE_HZ)).sum()
        };
        let degrees = part(f64::cos).atan2(part(f64::sin)).to_degrees();
        // The filter that hears the bass is late by 2·atan(50/120) = 45 degrees.
        assert!((degrees - 45.0).abs() < 8.0, "{degrees} degrees");
    }
}

#[test]
fn music_has_a_wave_and_a_way_to_a_tone() {
    for view in [View::Scope, View::Partials] {
        let mut shown = Stage::new(pink(5.0), Palette::Day);
        shown.state.view = view;
        shown.now = Some(now());
        let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
        window.run();
        let seen = words(&window.output().shapes);
        let says = |text: &str| seen.iter().any(|word| word.text == text);
        assert_eq!(says("goes in"), view == View::Scope);
        assert_eq!(says("each row reaches \u{b1}0.5 of full scale"), view == View::Scope);
        window.get_by_label("start with a 60 Hz tone").focus();
        window.run();
        window.key_press(Key::Enter);
        window.run();
        let stage = window.state();
        assert_eq!(stage.state.open, Open::TestSignal);
        assert!(stage.sounds_s.is_none(), "it must not start by itself");
        assert!(window.get_by_label("hold to start").is_focused());
    }
}

#[test]
fn both_ends_have_a_meter_of_now() {
    let mut shown = Stage::new(pink(5.0), Palette::Day);
    shown.now = Some(now());
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    for (name, rms) in [("level that arrives", -21.3), ("level that comes out", -18.2)] {
        let node = window.get_by_label(name);
        let value = node.accesskit_node().numeric_value().expect("a value");
        assert!((value - rms).abs() < 1e-9, "{name}: {value}");
    }
}
