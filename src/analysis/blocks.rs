//! The Fourier transform of one weighted block, with its work space.

use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};

use super::window::Window;

/// Transforms blocks of one length under one window.
pub(crate) struct Blocks {
    window: Window,
    plan: Arc<dyn RealToComplex<f64>>,
    weights: Arc<[f64]>,
    input: Vec<f64>,
    output: Vec<Complex<f64>>,
    scratch: Vec<Complex<f64>>,
}

impl Blocks {
    /// For blocks of `length` points, an even number.
    pub(crate) fn new(length: usize, window: Window) -> Self {
        let plan = RealFftPlanner::new().plan_fft_forward(length);
        Self {
            weights: window.coefficients(length).into(),
            input: plan.make_input_vec(),
            output: plan.make_output_vec(),
            scratch: plan.make_scratch_vec(),
            window,
            plan,
        }
    }

    /// The transform of the weighted `block`, not scaled.
    pub(crate) fn transform(&mut self, block: &[f32]) -> &[Complex<f64>] {
        let weights = self.weights.clone();
        self.transform_with(block, &weights)
    }

    /// Adds `share` of the block's power to each bin of `sum`: the bins add up to the
    /// block's AES17 power. A shorter block is weighted over its own length.
    pub(crate) fn add_powers(&mut self, block: &[f32], share: f64, sum: &mut [f64]) {
        let length = self.input.len();
        let weights = match block.len() < length {
            true => self.window.coefficients(block.len()).into(),
            false => self.weights.clone(),
        };
        let energy = square_sum(&weights).max(f64::MIN_POSITIVE);
        // Twice the mean square (AES17), and twice again for the negative
        // frequencies, which 0 Hz and the Nyquist frequency do not have.
        let scale = share * 4.0 / (length as f64 * energy);
        let output = self.transform_with(block, &weights);
        let ends = [0, output.len() - 1];
        let before = ends.map(|bin| sum.get(bin).copied());
        for (sum, x) in sum.iter_mut().zip(output) {
            *sum += scale * x.norm_sqr();
        }
        for (bin, before) in ends.into_iter().zip(before) {
            if let Some(before) = before {
                sum[bin] = before + 0.5 * scale * output[bin].norm_sqr();
            }
        }
    }

    fn transform_with(&mut self, block: &[f32], weights: &[f64]) -> &[Complex<f64>] {
        for ((x, s), w) in self.input.iter_mut().zip(block).zip(weights) {
            *x = f64::from(*s) * w;
        }
        let there = block.len().min(self.input.len());
        self.input[there..].fill(0.0);
        self.plan
            .process_with_scratch(&mut self.input, &mut self.output, &mut self.scratch)
            .expect("the work space has the plan's lengths");
        &self.output
    }
}

/// Sum of squares, in eight lanes so that the processor can work on them side by side.
fn square_sum(weights: &[f64]) -> f64 {
    let mut lanes = [0.0; 8];
    for eight in weights.chunks(8) {
        lanes.iter_mut().zip(eight).for_each(|(lane, w)| *lane += w * w);
    }
    lanes.iter().sum()
}
