//! The ceiling against time: how long it holds, how it lets go, and that it hears both channels.
//!
//! The hold of one period of 20 Hz and the return by 6 dB in half a second are the project's own
//! promises (docs/octave.md names none: common practice, no source).

use crate::line::{amplitude_db, settings, sine};
use underpin::path::Path;
use underpin::settings::Settings;

const RATE: f64 = 48_000.0;

fn ceiling_at(dbfs: &str) -> Settings {
    settings(&[("octave.level_db", "off"), ("output.ceiling", "on"), ("output.ceiling_dbfs", dbfs)])
}

fn through(settings: &Settings, left: &[f32], right: &[f32]) -> [Vec<f32>; 2] {
    let mut path = Path::new(RATE, 2);
    path.set(settings);
    let (mut left, mut right) = (left.to_vec(), right.to_vec());
    path.process(&mut [&mut left, &mut right], &mut ());
    [left, right]
}

/// Seconds `from_s` to `to_s` of a signal.
fn part(signal: &[f32], from_s: f64, to_s: f64) -> &[f32] {
    &signal[(from_s * RATE) as usize..(to_s * RATE) as usize]
}

#[test]
fn a_steady_low_tone_keeps_a_steady_gain() {
    // A gain that moved within the period would make harmonics; a clipper at 6 dB makes 22.6 %
    // of the third (Fourier series of the clipped sine).
    let tone = sine(1.0, 20.0, RATE, 2.0);
    let [out, _] = through(&ceiling_at("-6"), &tone, &tone);
    let settled = part(&out, 1.0, 2.0);
    let level = amplitude_db(settled, 20.0, RATE);
    assert!((level + 6.0).abs() < 0.02, "{level} dB");
    for order in [3.0, 5.0, 7.0] {
        let harmonic = amplitude_db(settled, 20.0 * order, RATE) - level;
        assert!(harmonic < -90.0, "order {order}: {harmonic} dB");
    }
}

#[test]
fn the_gain_waits_and_then_returns_by_6_db_in_half_a_second() {
    // One swing 12 dB over, then a tone that needs no ceiling and shows the gain.
    let swing_s = 0.0025;
    let mut input = sine(1.0, 200.0, RATE, swing_s);
    input.extend(sine(0.1, 200.0, RATE, 2.0));
    let [out, _] = through(&ceiling_at("-12"), &input, &input);
    let gain = |from_s: f64| {
        let window = |signal: &[f32]| {
            let from_s = swing_s + from_s;
            amplitude_db(part(signal, from_s, from_s + 0.01), 200.0, RATE)
        };
        window(&out) - window(&input)
    };
    // A window holds two periods and shows the gain in its middle; the top was 1.25 ms before.
    for (after_s, db) in [(0.0, -12.0), (0.03, -12.0), (0.294, -9.0), (0.544, -6.0), (1.1, 0.0)] {
        assert!((gain(after_s) - db).abs() < 0.15, "{after_s} s: {} dB, not {db}", gain(after_s));
    }
}

#[test]
fn the_right_channel_is_heard_and_both_share_one_gain() {
    let (quiet, loud) = (sine(0.01, 1000.0, RATE, 1.0), sine(1.0, 100.0, RATE, 1.0));
    for (left, right) in [(&quiet, &loud), (&loud, &quiet)] {
        let out = through(&ceiling_at("-6"), left, right);
        let settled = |side: usize| part(&out[side], 0.5, 1.0);
        let (low, high) = if std::ptr::eq(left, &quiet) { (0, 1) } else { (1, 0) };
        // Quiet: 40 dB down, and the 6 dB that the loud one asks for.
        let shared = amplitude_db(settled(low), 1000.0, RATE);
        assert!((shared + 46.0).abs() < 0.05, "{shared} dB");
        let kept = amplitude_db(settled(high), 100.0, RATE);
        assert!((kept + 6.0).abs() < 0.02, "{kept} dB");
        let third = amplitude_db(settled(high), 300.0, RATE);
        assert!(third < -90.0, "clipped, not turned down: {third} dB");
    }
}
