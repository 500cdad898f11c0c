//! Pink noise that repeats exactly: a spectrum with |X\[k\]| ∝ k^−1/2 between two
//! frequencies, zero elsewhere, turned into one period by an inverse transform.
//!
//! Over a whole number of periods its bands are flat to the rounding of their
//! edges, which no filtered random noise is, and whatever answers with the
//! same period can be measured without the scatter of noise.

use realfft::RealFftPlanner;
use realfft::num_complex::Complex;

use super::elementary::{cos_turns, db_to_gain, sin_turns};
use super::limits;
use super::random::Random;

/// Samples are whole multiples of 1 in this: see the crate's word on reproducibility.
const GRID: f64 = (1u64 << 28) as f64;

/// How the phases of the spectral lines are chosen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Phases {
    /// At random by the seed: noise to the ear, crest factor about 13 dB.
    #[default]
    Random,
    /// By Schroeder's rule (IEEE Trans. Inf. Theory 16, 1970): a falling
    /// glide to the ear, crest factor about 6 dB.
    LowCrest,
}

/// Pink noise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pink {
    /// r.m.s. level of the whole noise in dBFS (AES17).
    pub level_dbfs: f64,
    /// Lowest frequency in Hz.
    pub from_hz: f64,
    /// Highest frequency in Hz; above half the sample rate it ends there.
    pub to_hz: f64,
    /// Time after which it repeats, in seconds, taken to a whole number of samples.
    pub period_s: f64,
    /// Choice of phases.
    pub phases: Phases,
}

impl Default for Pink {
    fn default() -> Self {
        Self {
            level_dbfs: -20.0,
            from_hz: 10.0,
            to_hz: 20_000.0,
            period_s: 2.0,
            phases: Phases::Random,
        }
    }
}

#[derive(Clone, Debug)]
pub(super) struct Player {
    period: Vec<f64>,
}

impl Player {
    pub(super) fn new(pink: &Pink, sample_rate_hz: f64, seed: u64) -> Result<Self, String> {
        limits::frequency(pink.from_hz, sample_rate_hz)?;
        limits::positive("The period", pink.period_s)?;
        let length = limits::samples(pink.period_s, sample_rate_hz) as usize;
        let df_hz = sample_rate_hz / length as f64;
        let first = (pink.from_hz / df_hz).ceil() as usize;
        let last = ((pink.to_hz / df_hz).floor() as usize).min(length.saturating_sub(1) / 2);
        if first == 0 || first > last {
            return Err(format!(
                "No pink noise fits between {} and {} Hz with a period of {} s.",
                pink.from_hz, pink.to_hz, pink.period_s
            ));
        }
        let mut period = synthesise(first, last, length, &turns(pink.phases, first, last, seed));
        // A line of magnitude k^−1/2 on either side of 0 Hz has mean square 2/k.
        let mean_square: f64 = (first..=last).map(|k| 2.0 / k as f64).sum();
        let gain = db_to_gain(pink.level_dbfs) / (2.0 * mean_square).sqrt();
        let peak = gain * period.iter().fold(0.0, |peak: f64, x| peak.max(x.abs()));
        if peak > 1.0 {
            return Err(too_loud(pink.level_dbfs, peak));
        }
        for sample in &mut period {
            *sample = (*sample * gain * GRID).round() / GRID;
        }
        Ok(Self { period })
    }

    pub(super) fn at(&self, n: u64) -> f64 {
        self.period[(n % self.period.len() as u64) as usize]
    }
}

fn too_loud(level_dbfs: f64, peak: f64) -> String {
    let over_db = 20.0 * peak.log10();
    let most_dbfs = ((level_dbfs - over_db) * 10.0).floor() / 10.0;
    format!(
        "Pink noise of {level_dbfs} dBFS r.m.s. has peaks {over_db:.1} dB above full scale: \
         at most {most_dbfs:.1} dBFS fits."
    )
}

/// The phase of each line in turns.
fn turns(phases: Phases, first: usize, last: usize, seed: u64) -> Vec<f64> {
    let mut random = Random::new(seed);
    let whole: f64 = (first..=last).map(|k| 1.0 / k as f64).sum();
    let (mut share, mut phase) = (0.0, 0.0);
    let line = |k: usize| match phases {
        Phases::Random => random.unit(),
        Phases::LowCrest => {
            phase -= share;
            share += 1.0 / (k as f64 * whole);
            phase
        }
    };
    (first..=last).map(line).collect()
}

/// One period of lines of magnitude k^−1/2 with the given phases.
fn synthesise(first: usize, last: usize, length: usize, turns: &[f64]) -> Vec<f64> {
    let inverse = RealFftPlanner::<f64>::new().plan_fft_inverse(length);
    let mut spectrum = inverse.make_input_vec();
    for (k, &turns) in (first..=last).zip(turns) {
        let magnitude = 1.0 / (k as f64).sqrt();
        spectrum[k] = Complex::new(magnitude * cos_turns(turns), magnitude * sin_turns(turns));
    }
    let mut period = inverse.make_output_vec();
    inverse.process(&mut spectrum, &mut period).expect("lengths come from the plan itself");
    period
}
