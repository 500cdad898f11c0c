//! To the 12-kHz grid the planning works on: first by a fixed ratio, exactly,
//! while the file is read; then, when the clocks are known, onto the track's
//! own time.
//!
//! Windowed sinc with a Kaiser window, β = 9: stop band 90 dB down by Kaiser's rule for FIR
//! filters, β = 0.1102·(A − 8.7) ("Nonrecursive digital filter design using the I0-sinh window
//! function", IEEE ISCAS, 1974).

use crate::numeric::{dot, kaiser, sinc};

/// Sample rate of the planning's grid in Hz.
pub const GRID_HZ: f64 = 12_000.0;

const BETA: f64 = 9.0;

/// Taps on either side, in samples of the grid: flat within 0.01 dB to 4.9 kHz.
const REACH: f64 = 18.0;

/// Brings one channel from its sample rate to [`GRID_HZ`], in pieces of any length.
///
/// Sample `n` that comes out stands at `n / GRID_HZ` seconds of the input.
pub struct Decimator {
    up: u64,
    down: u64,
    half: usize,
    taps: Vec<f32>,
    kept: Vec<f32>,
    kept_from: u64,
    next: u64,
}

impl Decimator {
    /// For input at a whole number of Hz, at least [`GRID_HZ`].
    pub fn new(sample_rate_hz: u32) -> Self {
        let (rate, grid) = (u64::from(sample_rate_hz), GRID_HZ as u64);
        let common = gcd(rate, grid);
        let (up, down) = (grid / common, rate / common);
        let ratio = sample_rate_hz as f64 / GRID_HZ;
        let half = (REACH * ratio).ceil() as usize;
        let taps = (0..up)
            .flat_map(|phase| {
                let shift = phase as f64 / up as f64;
                (0..2 * half).map(move |i| {
                    let x = (i as f64 - (half - 1) as f64 - shift) / ratio;
                    (sinc(x) * kaiser(x / REACH, BETA) / ratio) as f32
                })
            })
            .collect();
        // The first output needs the samples before the file: silence.
        Self { up, down, half, taps, kept: vec![0.0; half - 1], kept_from: 0, next: 0 }
    }

    /// Takes the next samples and appends what can be said to `out`; what is not a finite number
    /// is silence.
    pub fn push(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        self.kept.extend(samples.iter().map(|x| if x.is_finite() { *x } else { 0.0 }));
        let width = 2 * self.half;
        loop {
            let place = self.next * self.down;
            let first = (place / self.up - self.kept_from) as usize;
            let Some(window) = self.kept.get(first..first + width) else {
                let done = first.min(self.kept.len());
                self.kept.drain(..done);
                self.kept_from += done as u64;
                return;
            };
            let phase = (place % self.up) as usize;
            out.push(dot::<_, LANES>(window, &self.taps[phase * width..][..width]));
            self.next += 1;
        }
    }

    /// Ends the file: says what the last samples still hold.
    pub fn finish(&mut self, out: &mut Vec<f32>) {
        self.push(&vec![0.0; self.half], out);
    }
}

/// Reads a signal between its samples.
pub struct Reader {
    table: Vec<f32>,
}

const PHASES: usize = 1024;
const WIDTH: usize = 32;

impl Reader {
    /// Lays the table of the interpolator.
    pub fn new() -> Self {
        let half = WIDTH as f64 / 2.0;
        let table = (0..=PHASES)
            .flat_map(|phase| {
                let shift = phase as f64 / PHASES as f64;
                (0..WIDTH).map(move |i| {
                    let x = i as f64 - (half - 1.0) - shift;
                    (sinc(x) * kaiser(x / half, BETA)) as f32
                })
            })
            .collect();
        Self { table }
    }

    /// The value of `samples` at `place` (in samples); silence outside.
    pub fn at(&self, samples: &[f32], place: f64) -> f32 {
        let whole = place.floor();
        let first = whole as i64 - (WIDTH as i64 / 2 - 1);
        let Some(window) =
            usize::try_from(first).ok().and_then(|first| samples.get(first..first + WIDTH))
        else {
            return 0.0;
        };
        let fine = (place - whole) * PHASES as f64;
        let (row, share) = (fine as usize, fine.fract() as f32);
        let below = dot::<_, LANES>(window, &self.table[row * WIDTH..][..WIDTH]);
        let above = dot::<_, LANES>(window, &self.table[(row + 1) * WIDTH..][..WIDTH]);
        below + share * (above - below)
    }
}

impl Default for Reader {
    fn default() -> Self {
        Self::new()
    }
}

/// Sums kept side by side: enough that none waits for the one before it.
const LANES: usize = 16;

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
