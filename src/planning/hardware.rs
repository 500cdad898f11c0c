//! The line's linear part as bought hardware takes it: coefficients, or the numbers of one
//! parametric band in the three usual definitions of its width.

pub use crate::dsp::sections::{Section, sections};

use crate::dsp::chain;
use crate::settings::Settings;
use crate::units::power_to_db;

/// Sample rates of usual processors, in Hz.
pub const RATES_HZ: [f64; 3] = [44_100.0, 48_000.0, 96_000.0];

/// The band in which errors are told, in Hz: what the low end of the line is about.
const BAND_HZ: (f64, f64) = (10.0, 400.0);

/// Quality of one band in the three usual definitions. All three are the same filter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Qualities {
    /// Centre over the width between the points of half the gain in dB (Audio EQ Cookbook).
    pub half_gain: f64,
    /// Quality of the poles for a lift and of the zeros for a cut: the half-gain one times 10^(|gain|/40).
    pub poles: f64,
    /// Centre over the width between the points 3 dB below the top (above the bottom for a cut); `None`
    /// for a gain of 3 dB or less, which has none.
    pub three_db: Option<f64>,
}

impl Qualities {
    /// Of a band with `gain_db` and `width_oct` octaves between its half-gain points.
    pub fn new(gain_db: f64, width_oct: f64) -> Self {
        let a = 10f64.powf(gain_db.abs() / 40.0);
        let half_gain = 0.5 / (0.5 * std::f64::consts::LN_2 * width_oct).sinh();
        // |H|² = (u² + A²/Q²)/(u² + 1/(A·Q)²) with u = f/f0 - f0/f, solved for half of A⁴.
        let square = a.powi(4) - 2.0;
        let three_db = (square > 1e-9).then(|| half_gain * square.sqrt() / a);
        Self { half_gain, poles: half_gain * a, three_db }
    }
}

/// Width in octaves of a quality: 2·asinh(1/(2Q))/ln 2.
pub fn width_oct(q: f64) -> f64 {
    2.0 * (0.5 / q).asinh() / std::f64::consts::LN_2
}

/// Level in dB that `sections` give at `hz`: H(z) on the unit circle.
pub fn response_db(sections: &[Section], hz: f64, sample_rate_hz: f64) -> f64 {
    let w = std::f64::consts::TAU * hz / sample_rate_hz;
    let power = |p: [f64; 3]| {
        // |p|² by half angles: the plain sum loses its digits where zeros lie near z = 1.
        let s = (0.5 * w).sin().powi(2);
        let at_dc = p[0] + p[1] + p[2];
        at_dc * at_dc - 4.0 * s * (p[0] * p[1] + p[1] * p[2] + 4.0 * p[0] * p[2] * (1.0 - s))
    };
    let one = |section: &Section| power(section.b) / power([1.0, section.a[0], section.a[1]]);
    power_to_db(sections.iter().map(one).product())
}

/// Largest difference in dB between `sections` and the line's own response from 10 to 400 Hz.
pub fn error_db(sections: &[Section], settings: &Settings, sample_rate_hz: f64) -> f64 {
    let line =
        |hz| chain::response_db(settings, hz, sample_rate_hz) - f64::from(settings.output_gain_db);
    largest(|hz| response_db(sections, hz, sample_rate_hz) - line(hz))
}

/// The same sections with their coefficients as a device keeps them that counts in 32-bit floats.
pub fn in_single_precision(sections: &[Section]) -> Vec<Section> {
    let single = |c: f64| f64::from(c as f32);
    let rounded = |s: &Section| Section { b: s.b.map(single), a: s.a.map(single), ..s.clone() };
    sections.iter().map(rounded).collect()
}

/// Largest size of `error` from 10 to 400 Hz, looked at 24 times an octave.
fn largest(error: impl Fn(f64) -> f64) -> f64 {
    let count = 24.0 * (BAND_HZ.1 / BAND_HZ.0).log2();
    let steps = (0..=count as i32).map(|i| BAND_HZ.0 * (f64::from(i) / 24.0).exp2());
    steps.map(|hz| error(hz).abs()).fold(0.0, f64::max)
}

/// A band as it is typed in: gain to 0.1 dB, centre to 1 Hz, quality to two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Typed {
    /// Gain in dB.
    pub gain_db: f64,
    /// Centre in Hz.
    pub centre_hz: f64,
    /// Quality between the half-gain points.
    pub q: f64,
    /// Largest difference in dB that the rounding makes from 10 to 400 Hz.
    pub error_db: f64,
}

impl Typed {
    /// The low band of `settings`.
    pub fn new(settings: &Settings) -> Self {
        let [gain_db, centre_hz, width] =
            [settings.low_band_gain_db, settings.low_band_centre_hz, settings.low_band_width_oct]
                .map(f64::from);
        let to = |value: f64, step: f64| (value / step).round() * step;
        let q = to(Qualities::new(gain_db, width).half_gain, 0.01).max(0.01);
        let mut typed = *settings;
        typed.low_band_gain_db = to(gain_db, 0.1) as f32;
        typed.low_band_centre_hz = to(centre_hz, 1.0) as f32;
        typed.low_band_width_oct = width_oct(q) as f32;
        let at = |settings: &Settings, hz| chain::response_db(settings, hz, 48_000.0);
        let error_db = largest(|hz| at(&typed, hz) - at(settings, hz));
        Self { gain_db: to(gain_db, 0.1), centre_hz: to(centre_hz, 1.0), q, error_db }
    }
}
