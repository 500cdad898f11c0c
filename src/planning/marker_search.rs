//! Finds the track's markers in one channel on the 12-kHz grid.
//!
//! Each stretch is correlated with a rising and a falling chirp; the share of
//! the local energy that a chirp explains (1 for a clean one, signal over
//! signal plus noise otherwise) is level-free, so one threshold serves every
//! gain. Four peaks in order whose gaps lie on the 10-ms grid and whose check
//! holds are a marker; anything else is not.

use std::sync::Arc;

use realfft::num_complex::Complex64;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};

use super::resample::GRID_HZ;
use crate::numeric::kaiser;
use crate::signal::track::marker::{BASE, CHIRP_S, GAP_S, GAP_STEP_S, Marker, chirp};

/// Length of the transform.
const SIZE: usize = 16_384;
/// Length of a chirp in samples of the grid.
const CHIRP: usize = (CHIRP_S * GRID_HZ) as usize;
/// Half the length of the band-pass the local energy is taken behind.
const BAND_HALF: usize = 120;
/// Edges of that band-pass in Hz: the chirp's band and a little more.
const BAND_HZ: [f64; 2] = [500.0, 3800.0];
/// New places that one transform says something about.
const HOP: usize = SIZE - CHIRP - 2 * BAND_HALF;
/// A peak must explain this share of the local energy: by chance less than once in 10¹³ samples
/// of noise, (1 − t)^(BT − 1) with BT = 600.
const LEAST_SHARE: f64 = 0.05;
/// Two peaks of one kind are further apart than this, in samples (0.6 ms): an echo of the marker
/// must not hide it.
const GUARD: f64 = 7.0;
/// Of markers on the same place the earliest counts that reaches this share of the best: the
/// direct sound before its echo.
const NEARLY: f64 = 0.7;
/// How far a gap may be off its grid, in seconds: 300 ppm of 0.6 s, up and down moving apart, and noise.
const GAP_SLACK_S: f64 = 0.0006;
/// Markers nearer than this are one, in samples (50 ms).
const SAME_MARKER: f64 = 600.0;
/// Power below which nothing can be there (−120 dBFS over a chirp).
const NOTHING: f64 = 1e-12 * CHIRP as f64;

/// A marker found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Its numbers.
    pub marker: Marker,
    /// Middle of its four chirps, in samples of the grid.
    pub centroid: f64,
    /// Mean share of the local energy its chirps explain, 0..1.
    pub share: f64,
}

#[derive(Clone, Copy)]
struct Peak {
    place: f64,
    share: f64,
}

/// The peaks of one kind of chirp, found while the values stream by.
#[derive(Default)]
struct Peaks {
    before: [f64; 2],
    candidate: Option<Peak>,
    recent: Vec<Peak>,
}

impl Peaks {
    /// Takes the value at `place`; true when a peak has just been settled.
    fn push(&mut self, place: f64, share: f64) -> bool {
        let [far, near] = self.before;
        self.before = [near, share];
        let settled = self.candidate.take_if(|c| place - c.place > GUARD);
        if near > LEAST_SHARE && near >= far && near > share {
            let (a, b, c) = (far.sqrt(), near.sqrt(), share.sqrt());
            let peak = Peak { place: place - 1.0 + 0.5 * (a - c) / (a - 2.0 * b + c), share: near };
            if self.candidate.is_none_or(|old| old.share < near) {
                self.candidate = Some(peak);
            }
        }
        self.recent.extend(settled);
        settled.is_some()
    }

    fn forget_before(&mut self, place: f64) {
        self.recent.retain(|peak| peak.place >= place);
    }
}

/// The search in one channel.
pub struct MarkerSearch {
    forward: Arc<dyn RealToComplex<f64>>,
    inverse: Arc<dyn ComplexToReal<f64>>,
    /// Spectra of: rising real, rising imaginary, falling real, falling imaginary, band-pass.
    filters: Vec<Vec<Complex64>>,
    chirp_energy: f64,
    kept: Vec<f64>,
    kept_from: u64,
    rising: Peaks,
    falling: Peaks,
}

impl MarkerSearch {
    /// A search that has heard nothing yet.
    pub fn new() -> Self {
        let mut planner = RealFftPlanner::new();
        let forward = planner.plan_fft_forward(SIZE);
        let inverse = planner.plan_fft_inverse(SIZE);
        let part = |rising: bool, imaginary: bool| {
            let wave = (0..CHIRP).map(|i| chirp(i as f64 / GRID_HZ, rising));
            spectrum(&*forward, wave.map(|(re, im)| if imaginary { im } else { re }), 0)
        };
        let wave = (0..CHIRP).map(|i| chirp(i as f64 / GRID_HZ, true));
        let chirp_energy = wave.map(|(re, im)| re * re + im * im).sum();
        let band = spectrum(&*forward, band_pass().into_iter(), BAND_HALF);
        let filters =
            vec![part(true, false), part(true, true), part(false, false), part(false, true), band];
        Self {
            forward,
            inverse,
            filters,
            chirp_energy,
            // So that place 0 of the grid is the first a transform can speak about.
            kept: vec![0.0; BAND_HALF],
            kept_from: 0,
            rising: Peaks::default(),
            falling: Peaks::default(),
        }
    }

    /// Takes the next samples and appends the markers that are now complete to `found`.
    pub fn push(&mut self, samples: &[f32], found: &mut Vec<Found>) {
        self.kept.extend(samples.iter().map(|x| f64::from(*x)));
        let mut done = 0;
        while self.kept.len() - done >= SIZE {
            self.stretch(done, found);
            done += HOP;
            self.kept_from += HOP as u64;
        }
        self.kept.drain(..done);
    }

    /// Ends the file.
    pub fn finish(&mut self, found: &mut Vec<Found>) {
        self.push(&[0.0; SIZE + HOP], found);
    }

    /// Looks at the stretch from sample `from` of those that are kept.
    fn stretch(&mut self, from: usize, found: &mut Vec<Found>) {
        let mut input = self.kept[from..from + SIZE].to_vec();
        let mut heard = self.forward.make_output_vec();
        self.forward.process(&mut input, &mut heard).expect("lengths fit");
        let [up_re, up_im, down_re, down_im, band] =
            [0, 1, 2, 3, 4].map(|i| self.filtered(&heard, &self.filters[i]));
        let mut energy: f64 = band[BAND_HALF..BAND_HALF + CHIRP].iter().map(|x| x * x).sum();
        for i in BAND_HALF..BAND_HALF + HOP {
            let place = (self.kept_from as usize + i - BAND_HALF) as f64;
            let unit = 2.0 / (self.chirp_energy * (energy.max(0.0) + NOTHING));
            let up = unit * (up_re[i].powi(2) + up_im[i].powi(2));
            let down = unit * (down_re[i].powi(2) + down_im[i].powi(2));
            self.rising.push(place, up);
            if self.falling.push(place, down) {
                if let Some(new) = self.complete() {
                    add(found, new);
                }
                self.rising.forget_before(place - 3.0 * GRID_HZ);
                self.falling.forget_before(place - 3.0 * GRID_HZ);
            }
            energy += band[i + CHIRP].powi(2) - band[i].powi(2);
        }
    }

    /// The correlation of what was heard with one filter.
    fn filtered(&self, heard: &[Complex64], filter: &[Complex64]) -> Vec<f64> {
        let mut product: Vec<Complex64> =
            heard.iter().zip(filter).map(|(x, h)| x * h.conj() / SIZE as f64).collect();
        // The ends of a real signal's spectrum are real; rounding may have left a trace.
        product[0].im = 0.0;
        product[SIZE / 2].im = 0.0;
        let mut out = self.inverse.make_output_vec();
        self.inverse.process(&mut product, &mut out).expect("lengths fit");
        out
    }

    /// The marker that ends with the falling chirp just settled, if one does.
    fn complete(&self) -> Option<Found> {
        let last = self.falling.recent.last()?;
        let mut all = Vec::new();
        for (third, c) in before(&self.rising.recent, last) {
            for (second, b) in before(&self.falling.recent, third) {
                for (first, a) in before(&self.rising.recent, second) {
                    let Some(marker) = Marker::decode([a, b, c]) else { continue };
                    let peaks = [first, second, third, last];
                    let share = peaks.iter().map(|p| p.share).sum::<f64>() / 4.0;
                    let middle = peaks.iter().map(|p| p.place).sum::<f64>() / 4.0;
                    let centroid = middle + CHIRP as f64 / 2.0;
                    all.push(Found { marker, centroid, share: share.min(1.0) });
                }
            }
        }
        all.into_iter().max_by(|a, b| a.share.total_cmp(&b.share))
    }
}

/// Adds a marker to those found, unless it is one of them heard again through an echo.
fn add(found: &mut Vec<Found>, new: Found) {
    let near = |old: &&mut Found| {
        old.marker == new.marker && (old.centroid - new.centroid).abs() < SAME_MARKER
    };
    match found.iter_mut().find(near) {
        Some(old) if old.share < NEARLY * new.share => *old = new,
        Some(_) => {}
        None => found.push(new),
    }
}

impl Default for MarkerSearch {
    fn default() -> Self {
        Self::new()
    }
}

/// The peaks that lie a number's gap before `peak`, with that number.
fn before<'a>(peaks: &'a [Peak], peak: &'a Peak) -> impl Iterator<Item = (&'a Peak, u8)> {
    peaks.iter().filter_map(|earlier| {
        let steps = ((peak.place - earlier.place) / GRID_HZ - GAP_S) / GAP_STEP_S;
        let number = steps.round();
        let near = (steps - number).abs() * GAP_STEP_S < GAP_SLACK_S;
        (near && (0.0..f64::from(BASE)).contains(&number)).then_some((earlier, number as u8))
    })
}

/// The spectrum of a filter whose middle is `lead` samples after its start.
fn spectrum(
    forward: &dyn RealToComplex<f64>,
    wave: impl Iterator<Item = f64>,
    lead: usize,
) -> Vec<Complex64> {
    let mut input = vec![0.0; SIZE];
    for (i, value) in wave.enumerate() {
        input[(i + SIZE - lead) % SIZE] = value;
    }
    let mut out = forward.make_output_vec();
    forward.process(&mut input, &mut out).expect("lengths fit");
    out
}

/// A linear-phase band-pass by the window method (Kaiser, β = 6).
fn band_pass() -> Vec<f64> {
    let low_pass = |x: f64, hz: f64| {
        let step = 2.0 * hz / GRID_HZ;
        if x == 0.0 {
            step
        } else {
            (std::f64::consts::PI * step * x).sin() / (std::f64::consts::PI * x)
        }
    };
    let half = BAND_HALF as f64;
    (0..=2 * BAND_HALF)
        .map(|i| {
            let x = i as f64 - half;
            kaiser(x / half, 6.0) * (low_pass(x, BAND_HZ[1]) - low_pass(x, BAND_HZ[0]))
        })
        .collect()
}
