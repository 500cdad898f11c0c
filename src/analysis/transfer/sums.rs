//! The sums of two signals' powers and of their products, bin by bin, and what they tell.

use realfft::num_complex::Complex;

use super::super::window::Window;
use super::{Transfer, TransferPoint, gain_sd_db};
use crate::units::power_to_db;

/// Frequencies that are shown, in Hz.
const FROM_HZ: f64 = 5.0;
const TO_HZ: f64 = 20_000.0;
/// Points are averaged over this share of an octave.
const AVERAGED_OCTAVES: f64 = 1.0 / 24.0;
/// Power below which a frequency of the first signal holds nothing, re its strongest bin.
const NOTHING: f64 = 1e-12;

/// Sums over the blocks, bin by bin.
pub(crate) struct Sums {
    first: Vec<f64>,
    second: Vec<f64>,
    cross: Vec<Complex<f64>>,
}

impl Sums {
    pub(crate) fn new(bins: usize) -> Self {
        let zeros = vec![0.0; bins];
        Self { first: zeros.clone(), second: zeros, cross: vec![Complex::default(); bins] }
    }

    /// Adds one channel's block of both signals.
    pub(crate) fn add(&mut self, first: &[Complex<f64>], second: &[Complex<f64>]) {
        for (k, (x, y)) in first.iter().zip(second).enumerate() {
            self.first[k] += x.norm_sqr();
            self.second[k] += y.norm_sqr();
            self.cross[k] += x.conj() * y;
        }
    }

    /// What the sums tell, for a second signal that was `delay_s` late.
    pub(crate) fn transfer(&self, df_hz: f64, averages: f64, delay_s: f64) -> Transfer {
        Transfer { delay_s, points: self.points(df_hz, averages), averages }
    }

    /// The points from the sums.
    fn points(&self, df_hz: f64, averages: f64) -> Vec<TransferPoint> {
        let floor = NOTHING * self.first.iter().fold(0.0, |a: f64, b| a.max(*b));
        let end = self.first.len().min((TO_HZ / df_hz) as usize + 1);
        let mut points = Vec::new();
        let mut from = (FROM_HZ / df_hz).ceil() as usize;
        while from < end {
            let to = ((from as f64 * AVERAGED_OCTAVES.exp2()) as usize).clamp(from + 1, end);
            points.extend(self.point(from, to, df_hz, averages, floor));
            from = to;
        }
        points
    }

    /// One point over the bins `from..to`.
    fn point(
        &self,
        from: usize,
        to: usize,
        df_hz: f64,
        averages: f64,
        floor: f64,
    ) -> Option<TransferPoint> {
        let bins = (to - from) as f64;
        let first: f64 = self.first[from..to].iter().sum();
        let second: f64 = self.second[from..to].iter().sum();
        let cross: Complex<f64> = self.cross[from..to].iter().sum();
        let product = (first * second).max(f64::MIN_POSITIVE);
        let coherence = (cross.norm_sqr() / product).min(1.0);
        // Neighbouring bins of a window are not independent of each other.
        let averages = averages * (bins / Window::Hann.variance_factor()).max(1.0);
        (first > floor * bins && first > 0.0).then(|| TransferPoint {
            hz: (from + to - 1) as f64 / 2.0 * df_hz,
            gain_db: power_to_db(cross.norm_sqr() / (first * first)),
            phase_deg: cross.arg().to_degrees(),
            coherence,
            sd_db: gain_sd_db(coherence, averages),
        })
    }
}
