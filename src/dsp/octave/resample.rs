//! From the host's rate to a low one and back.
//!
//! All that matters here is below 200 Hz, so the core runs at about 3 kHz. Both
//! ways use the same kernel: a box of `ratio` samples, convolved with itself
//! four times (Hogenauer 1981, without his integrators, which in floating
//! point would never come back to exact zero). It has fourfold zeros at every
//! multiple of the low rate, exactly where images and aliases of the low end
//! lie: sinc⁴ gives -99 dB for what would alias onto 160 Hz. It is a cubic
//! B-spline, sums to one in every phase, and takes 0.63 ms at 48 kHz.

/// The low rate aimed at, in Hz. 1.5 kHz would do for purity but is 2 ms later.
const LOW_RATE_HZ: f64 = 3000.0;

/// Samples of the host per sample of the core.
pub fn ratio(sample_rate_hz: f64) -> usize {
    (sample_rate_hz / LOW_RATE_HZ).round().max(1.0) as usize
}

/// Gain of one way at `hz`: |sin(πf·R/fs) / (R·sin(πf/fs))|⁴.
pub(super) fn gain(hz: f64, low_rate_hz: f64, ratio: usize) -> f64 {
    // sin(x)/x to x⁶: what is left out is under 10⁻⁶ below a quarter of the rate.
    let sinc = |x: f64| {
        let square = x * x;
        1.0 - square / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0))
    };
    let half = std::f64::consts::PI * hz / low_rate_hz;
    (sinc(half) / sinc(half / ratio as f64)).powi(4)
}

/// box⁴, 4·ratio values (the last three are zero) that sum to one.
fn kernel(ratio: usize) -> Vec<f64> {
    let length = 4 * ratio;
    let mut kernel = vec![0.0; length];
    kernel[0] = 1.0;
    for _ in 0..4 {
        let before = kernel.clone();
        for (i, value) in kernel.iter_mut().enumerate() {
            *value = before[i.saturating_sub(ratio - 1)..=i].iter().sum::<f64>() / ratio as f64;
        }
    }
    kernel
}

/// Collects samples of the host; every `ratio` of them make one of the core, of mid and of side.
pub struct Decimator {
    taps: Vec<[f64; 4]>,
    sums: [[f64; 2]; 4],
}

impl Decimator {
    /// For `ratio` samples of the host per sample of the core. Allocates.
    pub fn new(ratio: usize) -> Self {
        // Half of each, because the mid is ½L + ½R and the side ½L - ½R.
        let kernel = kernel(ratio);
        let taps = (0..ratio)
            .map(|phase| [0, 1, 2, 3].map(|k| 0.5 * kernel[k * ratio + ratio - 1 - phase]));
        Self { taps: taps.collect(), sums: [[0.0; 2]; 4] }
    }

    /// Back to silence.
    pub fn reset(&mut self) {
        self.sums = [[0.0; 2]; 4];
    }

    /// Takes in samples from `phase` on.
    #[inline]
    pub fn push(&mut self, phase: usize, left: &[f64], right: &[f64]) {
        let mut sums = self.sums;
        for ((taps, &left), &right) in self.taps[phase..].iter().zip(left).zip(right) {
            let both = [left + right, left - right];
            for k in 0..4 {
                for i in 0..2 {
                    sums[k][i] += taps[k] * both[i];
                }
            }
        }
        self.sums = sums;
    }

    /// The samples of mid and side that `ratio` pushed samples have completed.
    pub fn take(&mut self) -> [f64; 2] {
        let [done, next, third, fourth] = self.sums;
        self.sums = [next, third, fourth, [0.0; 2]];
        done
    }
}

/// Draws the core's samples out to the host's rate.
pub struct Interpolator {
    taps: Vec<[f64; 4]>,
    latest: [f64; 4],
}

impl Interpolator {
    /// For `ratio` samples of the host per sample of the core. Allocates.
    pub fn new(ratio: usize) -> Self {
        let kernel = kernel(ratio);
        let gain = ratio as f64;
        let taps = (0..ratio).map(|phase| [0, 1, 2, 3].map(|k| gain * kernel[k * ratio + phase]));
        Self { taps: taps.collect(), latest: [0.0; 4] }
    }

    /// Back to silence.
    pub fn reset(&mut self) {
        self.latest = [0.0; 4];
    }

    /// The samples from `phase` on.
    #[inline]
    pub fn fill(&self, phase: usize, out: &mut [f64]) {
        let [a, b, c, d] = self.latest;
        for (taps, out) in self.taps[phase..].iter().zip(out) {
            *out = (taps[0] * a + taps[1] * b) + (taps[2] * c + taps[3] * d);
        }
    }

    /// The next sample of the core.
    pub fn push(&mut self, sample: f64) {
        let [a, b, c, _] = self.latest;
        self.latest = [sample, a, b, c];
    }
}
