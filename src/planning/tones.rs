//! The tones of the track: amplitude of the tone, its harmonics and its odd
//! halves by least squares at known frequencies, so that no whole number of
//! periods is needed.

use std::f64::consts::TAU;

use realfft::num_complex::Complex64;

use super::resample::GRID_HZ;
use crate::numeric::{dot, solve};
use crate::units::gain_to_db;

/// Settling and fading that is left out at either end of a tone, in seconds.
const EDGE_S: f64 = 0.15;
/// Highest frequency the grid passes, in Hz.
const TOP_HZ: f64 = 5200.0;

/// Sums kept side by side: enough that none waits for the one before it.
const LANES: usize = 8;

/// One tone as heard.
#[derive(Clone, Debug, PartialEq)]
pub struct ToneReading {
    /// Frequency in Hz.
    pub hz: f64,
    /// Level it was played at, peak in dBFS.
    pub played_dbfs: f64,
    /// Multiples of half the tone: (multiple of the tone, peak amplitude), the tone itself among them.
    pub parts: Vec<(f64, f64)>,
    /// What is none of these: r.m.s. in dBFS (AES17).
    pub rest_dbfs: f64,
}

impl ToneReading {
    /// Reads the tone of a section `seconds` long that starts `from_s` after the track's start.
    pub fn new(samples: &[f32], from_s: f64, seconds: f64, hz: f64, played_dbfs: f64) -> Self {
        let [from, to] =
            [from_s + EDGE_S, from_s + seconds - EDGE_S].map(|s| (s * GRID_HZ) as usize);
        let stretch: Vec<f64> =
            (from..to).map(|n| samples.get(n).map_or(0.0, |x| f64::from(*x))).collect();
        let multiples: Vec<f64> = [0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]
            .into_iter()
            .filter(|m| m * hz < TOP_HZ)
            .collect();
        let (amplitudes, rest) = lines(&stretch, multiples.iter().map(|m| m * hz));
        let parts = multiples.into_iter().zip(amplitudes.iter().map(|a| a.norm())).collect();
        Self { hz, played_dbfs, parts, rest_dbfs: gain_to_db((2.0 * rest).sqrt()) }
    }

    /// Peak amplitude at a multiple of the tone; 0 when it was not looked for.
    pub fn amplitude(&self, multiple: f64) -> f64 {
        self.parts.iter().find(|(m, _)| *m == multiple).map_or(0.0, |(_, a)| *a)
    }

    /// Level of the tone in dBFS.
    pub fn dbfs(&self) -> f64 {
        gain_to_db(self.amplitude(1.0))
    }

    /// Gain of the tone from the track's file to the capture's, dB.
    pub fn gain_db(&self) -> f64 {
        self.dbfs() - self.played_dbfs
    }

    /// Harmonic distortion re the fundamental (THD_F), orders 2 to 7 below 5.2 kHz, as a share.
    pub fn thd(&self) -> f64 {
        let sum: f64 = self.parts.iter().filter(|(m, _)| *m >= 2.0).map(|(_, a)| a * a).sum();
        sum.sqrt() / self.amplitude(1.0).max(1e-12)
    }

    /// The share that noise alone would read as distortion.
    pub fn thd_floor(&self) -> f64 {
        let harmonics = self.parts.iter().filter(|(m, _)| *m >= 2.0).count() as f64;
        let bins = (GRID_HZ / 2.0 * 2.0).max(1.0);
        10f64.powf(self.rest_dbfs / 20.0) * (harmonics / bins).sqrt()
            / self.amplitude(1.0).max(1e-12)
    }
}

/// Complex amplitudes of cosines at the given frequencies (phase at the stretch's start), and the
/// mean square of what is left.
fn lines(stretch: &[f64], hz: impl Iterator<Item = f64>) -> (Vec<Complex64>, f64) {
    let mut waves: Vec<Vec<f64>> = vec![vec![1.0; stretch.len()]];
    for hz in hz {
        let turn = Complex64::from_polar(1.0, TAU * hz / GRID_HZ);
        let mut at = Complex64::new(1.0, 0.0);
        let (mut cos, mut sin) =
            (Vec::with_capacity(stretch.len()), Vec::with_capacity(stretch.len()));
        for _ in stretch {
            cos.push(at.re);
            sin.push(at.im);
            at *= turn;
        }
        waves.extend([cos, sin]);
    }
    let product = |a: &[f64], b: &[f64]| dot::<_, LANES>(a, b);
    let mut matrix = vec![vec![0.0; waves.len()]; waves.len()];
    for i in 0..waves.len() {
        for j in 0..=i {
            matrix[i][j] = product(&waves[i], &waves[j]);
            matrix[j][i] = matrix[i][j];
        }
    }
    let right: Vec<f64> = waves.iter().map(|a| product(a, stretch)).collect();
    let at = solve(matrix, right.clone());
    let explained: f64 = at.iter().zip(&right).map(|(a, r)| a * r).sum();
    let rest = (product(stretch, stretch) - explained).max(0.0) / stretch.len().max(1) as f64;
    (at[1..].chunks_exact(2).map(|c| Complex64::new(c[0], -c[1])).collect(), rest)
}
