//! How a run was measured, in words: transform, averages, smoothing, and how far it has settled.

use super::Run;
use crate::analysis::spectrum::Spectrum;
use crate::figures::short;

/// How a run was measured: what, length of the transform, resolution, window, averages,
/// smoothing and tilt; with or without its name.
pub fn how(run: &Run, with_name: bool) -> String {
    let smoothing = match run.is_tone() {
        true => "every line by itself",
        false => "1/6 octave, flat for pink",
    };
    let name = if with_name { format!("{} \u{b7} ", run.name) } else { String::new() };
    let seconds = short(run.readings.seconds, 0);
    format!("{name}{} \u{b7} mean of {seconds} s \u{b7} {smoothing}", transform(run))
}

/// The same in the fewest words.
pub fn in_short(run: &Run) -> String {
    format!("{} \u{b7} {} s", transform(run), short(run.readings.seconds, 0))
}

fn transform(run: &Run) -> String {
    let spectrum = &run.out().spectrum;
    let (block_s, df) = (short(1.0 / spectrum.df_hz, 2), short(spectrum.df_hz, 2));
    format!("FFT {block_s} s \u{b7} \u{394}f {df} Hz \u{b7} {}", spectrum.window.name())
}

/// The lowest third octave that is looked at, its width in Hz (IEC 61260-1, 20 Hz).
const LOWEST_BAND_HZ: f64 = 4.62;

/// What is near enough, in dB (one standard deviation).
const SETTLED_DB: f64 = 0.5;

/// How long until the 20 Hz third is within 0.5 dB for noise: the standard deviation of its
/// level is 4.343/√(B·T) dB (Bendat & Piersol, *Random Data*).
pub fn settled(run: &Run) -> String {
    if run.is_tone() {
        return "0 dB = the tone".into();
    }
    match left_s(&run.readings.before.spectrum) {
        left if left < 0.5 => "settled to 0.5 dB".into(),
        left => format!("20 Hz settles in {left:.0} s"),
    }
}

fn left_s(spectrum: &Spectrum) -> f64 {
    let needed = (10.0 / std::f64::consts::LN_10 / SETTLED_DB).powi(2) / LOWEST_BAND_HZ;
    (needed - spectrum.equivalent_s()).max(0.0)
}
