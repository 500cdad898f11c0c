//! Windows for spectra, as sums of cosines in their periodic form.
//!
//! A window of `length` points is one period of the sum, without the repeated
//! last point, so that its figures hold at any length. Figures and names: Harris,
//! "On the use of windows for harmonic analysis with the DFT", Proc. IEEE 66 (1978).

use std::f64::consts::TAU;

/// A window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Window {
    /// No weighting: right for signals that repeat exactly in the block.
    Rectangular,
    /// Hann: the default for noise and music.
    Hann,
    /// Four-term Blackman-Harris (-92 dB side lobes): for lines.
    BlackmanHarris,
}

impl Window {
    /// Its name in the trade.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Rectangular => "no window",
            Self::Hann => "Hann",
            Self::BlackmanHarris => "Blackman-Harris",
        }
    }

    /// The weights of a block of `length` points.
    pub fn coefficients(self, length: usize) -> Vec<f64> {
        let step = TAU / length.max(1) as f64;
        let at = |i: usize| {
            let terms = self.terms().iter().enumerate();
            terms.map(|(k, a)| a * ((k * i) as f64 * step).cos()).sum()
        };
        (0..length).map(at).collect()
    }

    /// Mean of the weights: what an amplitude is multiplied by.
    pub fn coherent_gain(self) -> f64 {
        self.terms()[0]
    }

    /// Equivalent noise bandwidth in bins.
    pub fn enbw_bins(self) -> f64 {
        self.mean_square() / self.coherent_gain().powi(2)
    }

    /// Distance in bins from the middle of a line to the end of its main lobe.
    pub fn half_lobe_bins(self) -> f64 {
        self.terms().len() as f64
    }

    /// Independent averages that `blocks` blocks are worth, each a share `hop` of a block
    /// after the one before (Welch 1967).
    pub(crate) fn independent(self, blocks: f64, hop: f64) -> f64 {
        if blocks <= 1.0 {
            return blocks.max(0.0);
        }
        let apart = (1..).map(|k| (f64::from(k), f64::from(k) * hop));
        let overlapping = apart.take_while(|(k, shift)| *k < blocks && *shift < 1.0);
        let shared =
            overlapping.map(|(k, shift)| (1.0 - k / blocks) * self.correlation(shift).powi(2));
        blocks / (1.0 + 2.0 * shared.sum::<f64>())
    }

    /// How much more a band of noise varies in one weighted block than in an
    /// unweighted one: `N·Σw⁴ / (Σw²)²`. What is faded out is not measured.
    pub(crate) fn variance_factor(self) -> f64 {
        // The fourth power has 13 cosines at most: 64 points hold its mean exactly.
        const POINTS: usize = 64;
        let fourth: f64 = self.coefficients(POINTS).iter().map(|w| w.powi(4)).sum();
        fourth / POINTS as f64 / self.mean_square().powi(2)
    }

    /// Mean square of the weights.
    fn mean_square(self) -> f64 {
        let terms = self.terms();
        terms[0].powi(2) + terms[1..].iter().map(|a| a * a / 2.0).sum::<f64>()
    }

    /// Correlation of the weights with themselves, a share `shift` of a block later.
    fn correlation(self, shift: f64) -> f64 {
        const POINTS: usize = 1024;
        let weights = self.coefficients(POINTS);
        let later = &weights[(shift * POINTS as f64).round() as usize..];
        let product: f64 = weights.iter().zip(later).map(|(a, b)| a * b).sum();
        product / POINTS as f64 / self.mean_square()
    }

    /// Amplitudes of the cosines at 0, 1, 2 ... cycles a block.
    fn terms(self) -> &'static [f64] {
        match self {
            Self::Rectangular => &[1.0],
            Self::Hann => &[0.5, -0.5],
            Self::BlackmanHarris => &[0.35875, -0.48829, 0.14128, -0.01168],
        }
    }
}
