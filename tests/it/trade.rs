//! Facts of the trade: what people see who put such an effect behind a factory
//! radio and look at its output (common practice, no source).
//!
//! The radio is modelled by first-order high-pass filters written here.

use crate::line::{amplitude_db, render, settings, sine};
use underpin::analysis::bands::{Fraction, bands};
use underpin::analysis::spectrum::Spectrum;
use underpin::analysis::window::Window;
use underpin::settings::Settings;
use underpin::signal::{Kind, Pink, Source};

const RATE: f64 = 48_000.0;

/// Pink noise as a factory radio gives it: about 10 dB less at 30 Hz than at 250 Hz.
/// A first-order high-pass at 90 Hz: -10·lg(1 + (90/30)²) = -10 dB.
fn radio_noise() -> Vec<f32> {
    let pink = Pink { level_dbfs: -20.0, period_s: 16.0, ..Pink::default() };
    let source = Source::new(&Kind::Pink(pink), RATE, 3).expect("pink").lasting(18.0);
    let keep = (-std::f64::consts::TAU * 90.0 / RATE).exp();
    let (mut last, mut high) = (0.0, 0.0);
    let filtered = source.map(|x| {
        high = keep * high + 0.5 * (1.0 + keep) * (x - last);
        last = x;
        high as f32
    });
    filtered.collect()
}

/// Third-octave levels, in dB re the 250 Hz band of what the radio gives.
struct Thirds(Vec<(f64, f64)>);

impl Thirds {
    /// After two seconds to settle.
    fn of(signal: &[f32]) -> Self {
        let levels = |signal: &[f32]| {
            let exact: Vec<f64> = signal[96_000..].iter().map(|x| f64::from(*x)).collect();
            bands(&Spectrum::of(&[&exact], RATE, Window::Hann), Fraction::Third)
        };
        let radio = levels(&radio_noise());
        let reference = radio.iter().find(|b| b.nominal_hz == 250.0).expect("a band").level_db;
        Self(levels(signal).iter().map(|b| (b.nominal_hz, b.level_db - reference)).collect())
    }

    fn at(&self, hz: f64) -> f64 {
        self.0.iter().find(|(nominal, _)| *nominal == hz).expect("a band").1
    }

    fn peak_hz(&self) -> f64 {
        self.0.iter().filter(|b| b.0 < 250.0).max_by(|a, b| a.1.total_cmp(&b.1)).expect("bands").0
    }
}

/// The effect up, with the band at `centre` Hz and `width` octaves.
fn effect(centre: &str, width: &str) -> Thirds {
    let settings = settings(&[
        ("octave.level_db", "6"),
        ("low_band.gain_db", "6"),
        ("low_band.centre_hz", centre),
        ("low_band.width_oct", width),
    ]);
    Thirds::of(&render(&settings, RATE, &radio_noise()))
}

/// Amplitude of the half of a tone that came up, in dB re full scale.
fn half_db(settings: &Settings, tone_hz: f64) -> f64 {
    let out = render(settings, RATE, &sine(0.25, tone_hz, RATE, 5.0));
    amplitude_db(&out[144_000..], tone_hz / 2.0, RATE)
}

#[test]
fn tones_bring_up_their_halves_and_the_more_the_more_it_is_raised() {
    for tone_hz in [100.0, 80.0, 60.0] {
        let halves = ["off", "-18", "-12", "-6", "0", "6"]
            .map(|level| half_db(&settings(&[("octave.level_db", level)]), tone_hz));
        assert!(halves[0] < -120.0, "{tone_hz} Hz has a half without the effect: {}", halves[0]);
        for pair in halves[1..].windows(2) {
            // The levels lie 6 dB apart; half a decibel is what an ear can just tell.
            assert!((pair[1] - pair[0] - 6.0).abs() < 0.5, "{tone_hz} Hz: {halves:?}");
        }
    }
}

#[test]
fn the_radio_gives_ten_decibels_less_at_30_hz() {
    let radio = Thirds::of(&radio_noise());
    assert!((radio.at(31.5) + 10.0).abs() < 1.5, "{}", radio.at(31.5));
}

#[test]
fn with_the_band_low_and_narrow_the_bottom_comes_level() {
    let (radio, out) = (Thirds::of(&radio_noise()), effect("38", "1"));
    // Level with 250 Hz: within 3 dB around 25 Hz, where 11 dB were missing.
    assert!(radio.at(25.0) < -10.0 && out.at(25.0).abs() < 3.0, "25 Hz: {}", out.at(25.0));
    assert!(out.at(20.0) > -4.0, "20 Hz: {}", out.at(20.0));
    assert!((40.0..=50.0).contains(&out.peak_hz()), "peak at {}", out.peak_hz());
    // Untouched again: within 1 dB of what the radio gives, and a little more in the band next
    // to the octave notes, where the second-order low-pass after halving lets some noise by.
    for hz in [125.0, 160.0, 200.0] {
        let most_db = if hz == 125.0 { 1.5 } else { 1.0 };
        let more_db = out.at(hz) - radio.at(hz);
        assert!(more_db.abs() < most_db, "{hz} Hz: {more_db}");
    }
}

#[test]
fn with_the_band_at_its_top_the_peak_moves_up_and_the_bottom_drops() {
    let (low, high) = (effect("38", "1"), effect("80", "1"));
    assert!(high.peak_hz() > low.peak_hz(), "{} then {}", low.peak_hz(), high.peak_hz());
    for hz in [20.0, 25.0, 31.5] {
        assert!(high.at(hz) < low.at(hz) - 1.0, "{hz} Hz: {} then {}", low.at(hz), high.at(hz));
    }
}

#[test]
fn with_the_band_widest_the_bottom_returns_with_more_near_100_hz() {
    let (narrow, wide) = (effect("80", "1"), effect("80", "4"));
    for hz in [20.0, 25.0, 31.5, 100.0] {
        assert!(wide.at(hz) > narrow.at(hz), "{hz} Hz: {} then {}", narrow.at(hz), wide.at(hz));
    }
}
