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

    /// Points from one block to the next: half a block, or a whole one where nothing is faded out.
    pub(crate) fn hop(self, length: usize) -> usize {
        match self {
            Self::Rectangular => length,
            _ => length / 2,
        }
    }

    /// Independent averages that `blocks` overlapping blocks are worth (Welch 1967).
    pub(crate) fn independent(self, blocks: f64) -> f64 {
        if blocks <= 1.0 {
            return blocks.max(0.0);
        }
        let alike = match self {
            Self::Rectangular => 0.0,
            _ => self.half_overlap_correlation().powi(2),
        };
        blocks / (1.0 + 2.0 * (1.0 - 1.0 / blocks) * alike)
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

    /// Correlation of the weights with themselves, half a block later.
    fn half_overlap_correlation(self) -> f64 {
        let terms = self.terms();
        let shifted = terms[1..].iter().zip([-0.5, 0.5].iter().cycle());
        let product: f64 = terms[0].powi(2) + shifted.map(|(a, sign)| sign * a * a).sum::<f64>();
        // The product's other half is the wrap-round, which blocks do not have.
        product / 2.0 / self.mean_square()
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
