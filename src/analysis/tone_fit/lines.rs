//! Amplitudes and phases at known frequencies, all at once.
//!
//! With time counted from the middle, the products of the columns have closed
//! forms: sums of cosines, Σ cos(θ·t) = sin(N·θ/2)/sin(θ/2) (Dirichlet). Cosines
//! and sines fall into two systems as small as the number of lines, whatever the
//! length of the stretch.

use std::f64::consts::TAU;

use realfft::num_complex::Complex;

use super::solve::solve;
use super::{Sine, from_middle};
use crate::numeric::dot;

/// Phasors are computed for the start of each block of this many samples, and
/// from a table within it.
pub(super) const BLOCK: usize = 256;

/// Sums kept side by side: enough that none waits for the one before it.
const LANES: usize = 8;

/// How the samples of a stretch are weighted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// All alike: least scatter when nothing but the lines and white noise is there.
    Even,
    /// By a Hann window: what is not asked for, a few cycles per stretch away,
    /// does not disturb.
    Hann,
}

/// Lines found at known frequencies.
#[derive(Clone, Debug, PartialEq)]
pub struct Lines {
    /// One sine for each frequency, in the order asked for.
    pub sines: Vec<Sine>,
    /// Mean value, as a share of full scale.
    pub dc: f64,
}

impl Weight {
    /// The weight of sample `n` of `length`, symmetric about the middle.
    pub fn at(self, n: usize, length: usize) -> f64 {
        match self {
            Self::Even => 1.0,
            Self::Hann => 0.5 + 0.5 * (TAU * from_middle(n, length) / length as f64).cos(),
        }
    }

    /// The weights of all `length` samples.
    pub fn all(self, length: usize) -> Vec<f64> {
        let mut weights = vec![if self == Self::Even { 1.0 } else { 0.5 }; length];
        if self == Self::Hann {
            add_cosine(&mut weights, 0.5, TAU / length as f64, 0.0);
        }
        weights
    }

    /// Σ w(t)·cos(θ·t) over `length` samples, with `theta` in radians per sample.
    pub fn sum(self, theta: f64, length: usize) -> f64 {
        let bin = TAU / length as f64;
        match self {
            Self::Even => dirichlet(theta, length),
            Self::Hann => {
                0.5 * dirichlet(theta, length)
                    + 0.25 * (dirichlet(theta - bin, length) + dirichlet(theta + bin, length))
            }
        }
    }
}

impl Lines {
    /// What the lines and the mean leave over of the samples they were found in.
    pub fn left_over(&self, samples: &[f64], sample_rate_hz: f64) -> Vec<f64> {
        let mut left: Vec<f64> = samples.iter().map(|x| x - self.dc).collect();
        for sine in self.sines.iter().filter(|sine| sine.amplitude > 0.0) {
            let theta = TAU * sine.hz / sample_rate_hz;
            add_cosine(&mut left, -sine.amplitude, theta, sine.middle_turns);
        }
        left
    }
}

/// Σ cos(θ·t) over `length` samples centred on 0, for |θ| < 2π.
fn dirichlet(theta: f64, length: usize) -> f64 {
    let half = theta / 2.0;
    if half.abs() < 1e-12 { length as f64 } else { (half * length as f64).sin() / half.sin() }
}

/// The sines at `hz` and the mean that together leave the least over. `None`
/// when the stretch is too short to tell the frequencies apart.
pub fn several(samples: &[f64], sample_rate_hz: f64, hz: &[f64], weight: Weight) -> Option<Lines> {
    let length = samples.len();
    let angles: Vec<f64> = hz.iter().map(|hz| TAU * hz / sample_rate_hz).collect();
    let mut weighted = weight.all(length);
    weighted.iter_mut().zip(samples).for_each(|(w, x)| *w *= x);
    let (cosines, sines): (Vec<f64>, Vec<f64>) =
        angles.iter().map(|angle| project(&weighted, *angle)).map(|z| (z.re, z.im)).unzip();

    // The mean is a cosine at 0 Hz.
    let mut with_zero = vec![0.0];
    with_zero.extend(&angles);
    let mut right = vec![weighted.iter().sum::<f64>()];
    right.extend(&cosines);
    let product = |a: f64, b: f64, sign: f64| {
        0.5 * (weight.sum(a - b, length) + sign * weight.sum(a + b, length))
    };
    let even = solve(table(&with_zero, |a, b| product(a, b, 1.0)), right)?;
    let odd = solve(table(&angles, |a, b| product(a, b, -1.0)), sines)?;

    let sine = |i: usize| Sine::new(hz[i], even[i + 1], odd[i]);
    Some(Lines { sines: (0..hz.len()).map(sine).collect(), dc: even[0] })
}

fn table(angles: &[f64], entry: impl Fn(f64, f64) -> f64) -> Vec<Vec<f64>> {
    angles.iter().map(|a| angles.iter().map(|b| entry(*a, *b)).collect()).collect()
}

/// Σ x·e^(iθ·t), t from the middle, with `theta` in radians per sample.
pub fn project(samples: &[f64], theta: f64) -> Complex<f64> {
    let turns = Turns::new(theta);
    let block_sum = |(block, part): (usize, &[f64])| {
        let start = theta * from_middle(block * BLOCK, samples.len());
        let within = Complex::new(
            dot::<_, LANES>(part, &turns.cosines),
            dot::<_, LANES>(part, &turns.sines),
        );
        Complex::from_polar(1.0, start) * within
    };
    samples.chunks(BLOCK).enumerate().map(block_sum).sum()
}

/// Adds a·cos(θ·t + φ), t from the middle, with `theta` in radians per sample and φ in turns.
fn add_cosine(samples: &mut [f64], amplitude: f64, theta: f64, middle_turns: f64) {
    let turns = Turns::new(theta);
    let length = samples.len();
    for (block, part) in samples.chunks_mut(BLOCK).enumerate() {
        let start = theta * from_middle(block * BLOCK, length) + TAU * middle_turns;
        let (sine, cosine) = start.sin_cos();
        let (sine, cosine) = (amplitude * sine, amplitude * cosine);
        for ((x, c), s) in part.iter_mut().zip(&turns.cosines).zip(&turns.sines) {
            *x += cosine * c - sine * s;
        }
    }
}

/// Cosines and sines of one block, from its first sample on.
pub(super) struct Turns {
    pub(super) cosines: [f64; BLOCK],
    pub(super) sines: [f64; BLOCK],
}

impl Turns {
    /// At `theta` radians per sample: a few steps and a few strides, and their products.
    pub(super) fn new(theta: f64) -> Self {
        const STRIDE: usize = 16;
        let at = |n: usize| Complex::from_polar(1.0, theta * n as f64);
        let steps: [Complex<f64>; STRIDE] = std::array::from_fn(at);
        let mut turns = Self { cosines: [0.0; BLOCK], sines: [0.0; BLOCK] };
        for from in (0..BLOCK).step_by(STRIDE) {
            let stride = at(from);
            for (n, step) in steps.iter().enumerate() {
                let turn = stride * step;
                (turns.cosines[from + n], turns.sines[from + n]) = (turn.re, turn.im);
            }
        }
        turns
    }
}
