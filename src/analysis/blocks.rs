//! The Fourier transform of one weighted block, with its work space.

use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};

use super::window::Window;

/// One bin of a transform.
pub(crate) type Bin = Complex<f64>;

/// Transforms blocks of one length under one window.
pub(crate) struct Blocks {
    window: Window,
    plan: Arc<dyn RealToComplex<f64>>,
    weights: Vec<f64>,
    /// Makes powers by AES17 of the squares of a full block's transform.
    scale: f64,
    input: Vec<f64>,
    scratch: Vec<Bin>,
}

impl Blocks {
    /// For blocks of `length` points, an even number.
    pub(crate) fn new(length: usize, window: Window) -> Self {
        let plan = RealFftPlanner::new().plan_fft_forward(length);
        let weights = window.coefficients(length);
        Self {
            scale: scale(length, &weights),
            weights,
            input: plan.make_input_vec(),
            scratch: plan.make_scratch_vec(),
            window,
            plan,
        }
    }

    /// The transform of the weighted `block`, not scaled, written to `into`; a shorter block is
    /// weighted over its own length. Answers with what makes powers by AES17 of its squares.
    pub(crate) fn transform(&mut self, block: &[f32], into: &mut [Bin]) -> f64 {
        let length = self.input.len();
        let scale = match block.len() < length {
            true => {
                let weights = self.window.coefficients(block.len());
                weigh(block, &weights, &mut self.input);
                scale(length, &weights)
            }
            false => {
                weigh(block, &self.weights, &mut self.input);
                self.scale
            }
        };
        self.plan
            .process_with_scratch(&mut self.input, into, &mut self.scratch)
            .expect("the work space has the plan's lengths");
        scale
    }
}

/// Adds `scale` times the power of a transform to each bin of `sum`, which may end sooner: the
/// bins add up to the block's AES17 power.
pub(crate) fn add_powers(transform: &[Bin], scale: f64, sum: &mut [f64]) {
    let ends = [0, transform.len() - 1];
    let before = ends.map(|bin| sum.get(bin).copied());
    for (sum, x) in sum.iter_mut().zip(transform) {
        *sum += scale * x.norm_sqr();
    }
    // 0 Hz and the Nyquist frequency have no negative counterpart.
    for (bin, before) in ends.into_iter().zip(before) {
        if let Some(before) = before {
            sum[bin] = before + 0.5 * scale * transform[bin].norm_sqr();
        }
    }
}

/// Twice the mean square (AES17), and twice again for the negative frequencies.
fn scale(length: usize, weights: &[f64]) -> f64 {
    4.0 / (length as f64 * square_sum(weights).max(f64::MIN_POSITIVE))
}

fn weigh(block: &[f32], weights: &[f64], input: &mut [f64]) {
    for ((x, s), w) in input.iter_mut().zip(block).zip(weights) {
        *x = f64::from(*s) * w;
    }
    let there = block.len().min(input.len());
    input[there..].fill(0.0);
}

/// Sum of squares, in eight lanes so that the processor can work on them side by side.
fn square_sum(weights: &[f64]) -> f64 {
    let mut lanes = [0.0; 8];
    for eight in weights.chunks(8) {
        lanes.iter_mut().zip(eight).for_each(|(lane, w)| *lane += w * w);
    }
    lanes.iter().sum()
}
