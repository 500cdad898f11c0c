//! The Fourier transform of one weighted block, with its work space.

use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};

use super::window::Window;

/// Transforms blocks of one length under one window.
pub(crate) struct Blocks {
    window: Window,
    plan: Arc<dyn RealToComplex<f64>>,
    weights: Vec<f64>,
    input: Vec<f64>,
    output: Vec<Complex<f64>>,
    scratch: Vec<Complex<f64>>,
}

impl Blocks {
    /// For blocks of `length` points, an even number.
    pub(crate) fn new(length: usize, window: Window) -> Self {
        let plan = RealFftPlanner::new().plan_fft_forward(length);
        Self {
            window,
            weights: window.coefficients(length),
            input: plan.make_input_vec(),
            output: plan.make_output_vec(),
            scratch: plan.make_scratch_vec(),
            plan,
        }
    }

    /// The transform of `block`, scaled so that the squared magnitudes add up to the
    /// block's AES17 power. A shorter block is weighted over its own length.
    pub(crate) fn transform(&mut self, block: &[f32]) -> &[Complex<f64>] {
        let length = self.input.len();
        let short = (block.len() < length).then(|| self.window.coefficients(block.len()));
        let weights = short.as_deref().unwrap_or(&self.weights);
        self.input.fill(0.0);
        for ((x, s), w) in self.input.iter_mut().zip(block).zip(weights) {
            *x = f64::from(*s) * w;
        }
        let energy: f64 = weights.iter().map(|w| w * w).sum();
        self.plan
            .process_with_scratch(&mut self.input, &mut self.output, &mut self.scratch)
            .expect("the work space has the plan's lengths");
        // Twice the mean square (AES17), and twice again for the negative
        // frequencies, which 0 Hz and the Nyquist frequency do not have.
        let scale = (4.0 / (length as f64 * energy.max(f64::MIN_POSITIVE))).sqrt();
        let last = self.output.len() - 1;
        self.output.iter_mut().for_each(|x| *x *= scale);
        for single in [0, last] {
            self.output[single] *= 0.5f64.sqrt();
        }
        &self.output
    }

    /// Adds `share` of the block's power to each bin of `sum`, AES17.
    pub(crate) fn add_powers(&mut self, block: &[f32], share: f64, sum: &mut [f64]) {
        for (sum, x) in sum.iter_mut().zip(self.transform(block)) {
            *sum += share * x.norm_sqr();
        }
    }
}
