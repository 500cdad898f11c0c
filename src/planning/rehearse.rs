//! Pink noise with the radio's response, to try settings on, and its bands.
//!
//! The noise repeats exactly after its period, so the bands of everything
//! linear in it have no scatter at all.

use std::f64::consts::TAU;

use realfft::RealFftPlanner;
use realfft::num_complex::Complex64;

use super::tune::bands_hz;
use crate::analysis::bands::third_edges;
use crate::curve::Curve;
use crate::path::Path;
use crate::settings::Settings;
use crate::units::{db_to_gain, power_to_db};

/// Sample rate of the rehearsal in Hz.
const RATE_HZ: f64 = 48_000.0;
/// Samples of one period: 11 s.
const PERIOD: usize = 1 << 19;
/// Samples that settle the line before a period is heard: 3 s.
const SETTLE: usize = 144_000;
/// Peak of the noise before any settings: room for every lift.
const PEAK: f64 = 0.1;
/// The mid band levels are told re, Hz.
const MID_HZ: (f64, f64) = (250.0, 1000.0);

/// A radio's bass to try settings on.
#[derive(Clone, Debug, PartialEq)]
pub struct Rehearsal {
    noise: Vec<f32>,
}

impl Rehearsal {
    /// Pink noise as a radio gives it; the same at every call. `given` is dB re the mid band.
    pub fn new(given: &Curve) -> Self {
        Self { noise: noise(given) }
    }

    /// One period of the noise at 48 kHz.
    pub fn noise(&self) -> &[f32] {
        &self.noise
    }

    /// Levels of the tuned bands after the line with `settings`, dB re the mid band's level per
    /// third of an octave. The end of a period settles the line, the next is heard.
    pub fn levels_db(&self, settings: &Settings) -> Vec<f64> {
        let mut path = Path::new(RATE_HZ, 1);
        path.set(settings);
        let mut settling = self.noise[PERIOD - SETTLE..].to_vec();
        path.process(&mut [&mut settling], &mut ());
        let mut out = self.noise.clone();
        path.process(&mut [&mut out], &mut ());
        levels_db(&out)
    }
}

/// One period of pink noise, 10 Hz to 1.5 kHz.
fn noise(given: &Curve) -> Vec<f32> {
    let inverse = RealFftPlanner::new().plan_fft_inverse(PERIOD);
    let mut bins = inverse.make_input_vec();
    let mut state = 1u64;
    for (k, bin) in bins.iter_mut().enumerate() {
        let hz = k as f64 * RATE_HZ / PERIOD as f64;
        if (10.0..1500.0).contains(&hz) {
            // Knuth's linear congruential generator; its upper bits are even enough for phases.
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let turn = TAU * (state >> 11) as f64 / (1u64 << 53) as f64;
            *bin = Complex64::from_polar(db_to_gain(given.at(hz).unwrap_or(0.0)) / hz.sqrt(), turn);
        }
    }
    let mut wave = inverse.make_output_vec();
    inverse.process(&mut bins, &mut wave).expect("lengths fit");
    let peak = wave.iter().fold(0f64, |p, x| p.max(x.abs())).max(1e-12);
    wave.iter().map(|x| (PEAK * x / peak) as f32).collect()
}

fn levels_db(out: &[f32]) -> Vec<f64> {
    let forward = RealFftPlanner::new().plan_fft_forward(PERIOD);
    let mut input: Vec<f64> = out.iter().take(PERIOD).map(|x| f64::from(*x)).collect();
    input.resize(PERIOD, 0.0);
    let mut bins = forward.make_output_vec();
    forward.process(&mut input, &mut bins).expect("lengths fit");
    let power = |from: f64, to: f64| -> f64 {
        let [a, b] = [from, to].map(|hz| (hz * PERIOD as f64 / RATE_HZ).round() as usize);
        bins[a..b].iter().map(|x| x.norm_sqr()).sum()
    };
    // Two octaves hold 6.02 thirds (base 10).
    let thirds = (MID_HZ.1 / MID_HZ.0).log10() * 10.0;
    let mid = power(MID_HZ.0, MID_HZ.1) / thirds;
    bands_hz()
        .map(|hz| {
            let (from, to) = third_edges(hz);
            power_to_db(power(from, to) / mid.max(1e-30))
        })
        .collect()
}
