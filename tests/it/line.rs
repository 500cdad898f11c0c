//! What the tests share: running the path over whole signals, and simple
//! reference sums written apart from the program's own analysis.

use std::f64::consts::TAU;

use underpin::path::Path;
use underpin::settings::Settings;

/// Settings from (key, value) pairs on top of the defaults.
#[track_caller]
pub(crate) fn settings(pairs: &[(&str, &str)]) -> Settings {
    pairs.iter().fold(Settings::default(), |settings, (key, text)| {
        settings.with(key, text).expect("setting")
    })
}

/// A sine of `amplitude` at `hz`.
pub(crate) fn sine(amplitude: f64, hz: f64, rate_hz: f64, seconds: f64) -> Vec<f32> {
    let frames = (seconds * rate_hz) as usize;
    (0..frames).map(|i| (amplitude * (TAU * hz * i as f64 / rate_hz).sin()) as f32).collect()
}

/// White noise from a 64-bit congruential generator (Knuth's MMIX constants).
pub(crate) fn noise(amplitude: f64, frames: usize, seed: u64) -> Vec<f32> {
    let mut state = seed;
    let mut next = || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    (0..frames).map(|_| (amplitude * (2.0 * next() - 1.0)) as f32).collect()
}

/// A mono signal through a fresh path, in one block.
pub(crate) fn render(settings: &Settings, rate_hz: f64, input: &[f32]) -> Vec<f32> {
    let mut path = Path::new(rate_hz, 1);
    path.set(settings);
    let mut out = input.to_vec();
    path.process(&mut [&mut out], &mut ());
    out
}

/// Amplitude of the line at `hz`: a sum over whole periods against sine and cosine.
pub(crate) fn amplitude(signal: &[f32], hz: f64, rate_hz: f64) -> f64 {
    let (mut re, mut im) = (0.0, 0.0);
    for (i, x) in signal.iter().enumerate() {
        let (sin, cos) = (TAU * hz * i as f64 / rate_hz).sin_cos();
        re += f64::from(*x) * cos;
        im += f64::from(*x) * sin;
    }
    2.0 * re.hypot(im) / signal.len() as f64
}

/// The same in dB re 1.
pub(crate) fn amplitude_db(signal: &[f32], hz: f64, rate_hz: f64) -> f64 {
    20.0 * amplitude(signal, hz, rate_hz).log10()
}

/// Largest absolute sample.
pub(crate) fn peak(signal: &[f32]) -> f32 {
    signal.iter().fold(0.0, |peak, x| peak.max(x.abs()))
}
