//! Sines and noise written out plainly, so that no test signal comes from the code under test.

use std::f64::consts::TAU;

/// A sine of peak `amplitude`, starting at `phase_deg`.
pub(crate) fn sine(hz: f64, amplitude: f64, phase_deg: f64, rate: f64, seconds: f64) -> Vec<f64> {
    let samples = (seconds * rate).round() as usize;
    let at = |i: usize| amplitude * (TAU * hz * i as f64 / rate + phase_deg.to_radians()).sin();
    (0..samples).map(at).collect()
}

/// The sum of several signals of one length.
pub(crate) fn sum(signals: &[Vec<f64>]) -> Vec<f64> {
    (0..signals[0].len()).map(|i| signals.iter().map(|s| s[i]).sum()).collect()
}

/// White noise of variance 1: Box-Muller over the 64-bit generator of Knuth (MMIX).
pub(crate) struct Noise(pub(crate) u64);

impl Noise {
    /// The next `samples` values.
    pub(crate) fn take(&mut self, samples: usize) -> Vec<f64> {
        (0..samples).map(|_| (-2.0 * self.unit().ln()).sqrt() * (TAU * self.unit()).cos()).collect()
    }

    /// Even in 0..1, 0 left out.
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }
}

/// Fails when `got` is further than `tolerance` from `want`.
#[track_caller]
pub(crate) fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want} ± {tolerance}");
}
