//! The noise floor of a capture in third-octave bands: from the track's
//! silence, and from the scatter of the comb's blocks where noise comes with
//! the signal (codecs, automatic gain).

use std::f64::consts::TAU;

use realfft::RealFftPlanner;

use super::resample::GRID_HZ;
use super::response::Response;
use crate::units::{db_to_power, power_to_db};

/// Scatter this far above the silence is noise that comes with the signal, dB.
const WITH_SIGNAL_DB: f64 = 6.0;

/// Standard deviation of a band's noise by scatter, dB: eleven lines in four to sixteen blocks.
const SCATTER_SD_DB: f64 = 0.7;

/// Noise in one third-octave band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoiseBand {
    /// Exact mid frequency in Hz.
    pub hz: f64,
    /// Level in dBFS (AES17).
    pub dbfs: f64,
    /// Standard deviation in dB, 4.343/√(B·T).
    pub sd_db: f64,
    /// Whether it comes with the signal and is not there in silence.
    pub with_signal: bool,
}

/// Noise in the bands from 12.5 Hz to 1 kHz, from a silent stretch on the grid, Hann-weighted,
/// with fractional band edges.
pub fn in_silence(samples: &[f32]) -> Vec<NoiseBand> {
    let n = samples.len();
    let forward = RealFftPlanner::new().plan_fft_forward(n);
    let window = |i: usize| 0.5 - 0.5 * (TAU * i as f64 / n as f64).cos();
    let mut input: Vec<f64> = (0..n).map(|i| window(i) * f64::from(samples[i])).collect();
    let mut bins = forward.make_output_vec();
    forward.process(&mut input, &mut bins).expect("lengths fit");
    // 3/8 is the mean square of a Hann window; AES17 power is twice the mean square.
    let unit = 4.0 / (0.375 * (n * n) as f64);
    let power: Vec<f64> = bins.iter().map(|x| unit * x.norm_sqr()).collect();
    let (df, seconds) = (GRID_HZ / n as f64, n as f64 / GRID_HZ);
    thirds()
        .map(|hz| {
            let (low, high) = edges(hz);
            let share = |i: usize| {
                let (from, to) = ((i as f64 - 0.5) * df, (i as f64 + 0.5) * df);
                ((to.min(high) - from.max(low)) / df).clamp(0.0, 1.0)
            };
            let sum: f64 = power.iter().enumerate().map(|(i, p)| p * share(i)).sum();
            let sd_db = 4.343 / ((high - low) * seconds).sqrt();
            NoiseBand { hz, dbfs: power_to_db(sum), sd_db, with_signal: false }
        })
        .collect()
}

/// The noise that a response was measured in: silence and scatter together, or the scatter's alone
/// where that is more than 6 dB higher.
pub fn with_signal(silence: &[NoiseBand], response: &Response) -> Vec<NoiseBand> {
    silence
        .iter()
        .map(|band| {
            let (low, high) = edges(band.hz);
            let near: Vec<f64> = response
                .noise_dbfs
                .iter()
                .filter(|(hz, _)| (low / 1.1..high * 1.1).contains(hz))
                .map(|(_, dbfs)| db_to_power(*dbfs))
                .collect();
            let mean = near.iter().sum::<f64>() / near.len().max(1) as f64;
            let dbfs = power_to_db(mean * (high - low) / 0.5);
            if near.is_empty() {
                return *band;
            }
            if dbfs > band.dbfs + WITH_SIGNAL_DB {
                return NoiseBand { dbfs, sd_db: SCATTER_SD_DB, with_signal: true, ..*band };
            }
            // Two readings of one noise: each counts by its variance.
            let [a, b] = [band.sd_db, SCATTER_SD_DB].map(|sd| 1.0 / (sd * sd));
            let dbfs = (a * band.dbfs + b * dbfs) / (a + b);
            NoiseBand { dbfs, sd_db: (a + b).sqrt().recip(), ..*band }
        })
        .collect()
}

/// Exact mid frequencies from 12.5 Hz to 1 kHz (IEC 61260-1, base 10).
pub fn thirds() -> impl Iterator<Item = f64> {
    (11..=30).map(|k| 10f64.powf(f64::from(k) / 10.0))
}

/// Edges of a third-octave band.
pub fn edges(hz: f64) -> (f64, f64) {
    (hz * 10f64.powf(-0.05), hz * 10f64.powf(0.05))
}
