//! Sines fitted to samples by least squares: exact where a spectrum has too few
//! cycles to tell.
//!
//! [`one`] finds frequency, amplitude, phase and mean of a single sine: the
//! four-parameter fit of IEEE Std 1057. [`several`] finds amplitudes and phases
//! at frequencies that are known. Time is counted from the middle of the
//! stretch: there cosines and sines do not disturb each other, and frequency
//! and phase neither.

mod lines;
mod solve;
mod start;

use std::f64::consts::TAU;

use realfft::num_complex::Complex;

pub use lines::{Lines, Weight, project, several};
pub use start::{hann_spectrum, strongest_hz};

use lines::{BLOCK, Turns};
use solve::solve;

/// A frequency has settled when a step moves it by less than this many cycles
/// over the whole stretch; what is left then is the square of that.
const SETTLED_CYCLES: f64 = 1e-9;

/// Steps after which a fit that has not settled has failed.
const MOST_STEPS: usize = 40;

/// One sine a·cos(2π·f·t + φ), with t from the middle of the stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sine {
    /// Frequency in Hz.
    pub hz: f64,
    /// Peak amplitude, as a share of full scale.
    pub amplitude: f64,
    /// Phase of a cosine in the middle of the stretch, in turns.
    pub middle_turns: f64,
}

/// A sine with what it stands on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// The sine.
    pub sine: Sine,
    /// Mean value, as a share of full scale.
    pub dc: f64,
    /// Mean square of what the sine and the mean leave over.
    pub residual_mean_square: f64,
}

impl Sine {
    /// The sine of a cosine and a sine amplitude in the middle of the stretch.
    fn new(hz: f64, cosine: f64, sine: f64) -> Self {
        Self { hz, amplitude: cosine.hypot(sine), middle_turns: (-sine).atan2(cosine) / TAU }
    }

    /// The sine at sample `n` of a stretch of `length` samples.
    pub fn at(&self, n: usize, length: usize, sample_rate_hz: f64) -> f64 {
        let cycles = self.hz / sample_rate_hz * from_middle(n, length);
        self.amplitude * (TAU * (cycles + self.middle_turns)).cos()
    }

    /// Phase of a cosine at the first sample in degrees, −180 < φ ≤ 180.
    pub fn start_deg(&self, length: usize, sample_rate_hz: f64) -> f64 {
        let turns = self.middle_turns + self.hz / sample_rate_hz * from_middle(0, length);
        let within = turns - turns.round();
        360.0 * if within <= -0.5 { within + 1.0 } else { within }
    }
}

/// The sine that leaves the least over, with its frequency sought from
/// `start_hz`, which must lie within about half a cycle per stretch of it.
///
/// # Errors
/// One sentence when the stretch is shorter than a cycle and a half or no sine
/// is found near the start.
pub fn one(
    samples: &[f64],
    sample_rate_hz: f64,
    start_hz: f64,
    weight: Weight,
) -> Result<Fit, String> {
    let seconds = samples.len() as f64 / sample_rate_hz;
    if samples.len() < 8 || seconds * start_hz < 1.5 {
        return Err(format!("{seconds:.3} s are too short to find a tone of {start_hz} Hz in."));
    }
    let lost = || format!("No tone was found near {start_hz} Hz.");
    let weights = weight.all(samples.len());
    let mut hz = start_hz;
    let mut found = step(samples, hz / sample_rate_hz, None, &weights).ok_or_else(lost)?;
    for _ in 0..MOST_STEPS {
        let last = Some((found[1], found[2]));
        found = step(samples, hz / sample_rate_hz, last, &weights).ok_or_else(lost)?;
        // A stride of more than half a cycle per stretch would jump to another lobe.
        let cycles = found[3] * samples.len() as f64 / TAU;
        hz += cycles.clamp(-0.5, 0.5) / seconds;
        if !hz.is_finite() || (hz - start_hz).abs() > 0.5 * start_hz {
            return Err(lost());
        }
        if cycles.abs() <= SETTLED_CYCLES {
            break;
        }
    }
    let [dc, cosine, sine, _] =
        step(samples, hz / sample_rate_hz, None, &weights).ok_or_else(lost)?;
    let sine = Sine::new(hz, cosine, sine);
    let left = Lines { sines: vec![sine], dc }.left_over(samples, sample_rate_hz);
    let sum: f64 = left.iter().map(|x| x * x).sum();
    Ok(Fit { sine, dc, residual_mean_square: sum / samples.len() as f64 })
}

/// Sample number `n` counted from the middle of `length` samples.
fn from_middle(n: usize, length: usize) -> f64 {
    n as f64 - (length - 1) as f64 / 2.0
}

/// One linear step of the fit at `cycles` per sample: mean, cosine and sine
/// amplitude, and by how many radians per sample the frequency is off. Without
/// the amplitudes of the `last` step the frequency is kept.
fn step(
    samples: &[f64],
    cycles: f64,
    last: Option<(f64, f64)>,
    weights: &[f64],
) -> Option<[f64; 4]> {
    let (cosine, sine) = last.unwrap_or_default();
    // Counting time in half stretches keeps the four columns of one size.
    let scale = samples.len() as f64 / 2.0;
    let mut products = [[0.0; 4]; 4];
    let mut projected = [0.0; 4];
    let turns = Turns::new(TAU * cycles);
    for (block, part) in samples.chunks(BLOCK).enumerate() {
        let first = from_middle(block * BLOCK, samples.len());
        let phasor = Complex::from_polar(1.0, TAU * cycles * first);
        for (n, x) in part.iter().enumerate() {
            let Complex { re: c, im: s } = phasor * Complex::new(turns.cosines[n], turns.sines[n]);
            let row = [1.0, c, s, (first + n as f64) / scale * (sine * c - cosine * s)];
            let w = weights[block * BLOCK + n];
            for i in 0..4 {
                projected[i] += w * row[i] * x;
                for j in 0..=i {
                    products[i][j] += w * row[i] * row[j];
                }
            }
        }
    }
    let unknowns = if last.is_some() { 4 } else { 3 };
    let matrix = products[..unknowns].iter().map(|row| row[..unknowns].to_vec()).collect();
    let mut found = solve(matrix, projected[..unknowns].to_vec())?;
    found.resize(4, 0.0);
    Some([found[0], found[1], found[2], found[3] / scale])
}
