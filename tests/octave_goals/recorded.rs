//! Recordings: how near an engine comes to what could be made of them offline (G10).
//!
//! The offline ideal sees the whole recording: it takes the source band
//! without delay, makes it analytic by one transform and halves its angle. It
//! is whole-band halving itself, so it says little about chords; for those,
//! what counts is the energy that lies on the halves of the source's peaks.

use super::fit::{blackman_harris, db, dot};
use super::hits::{Part, best_correlation};
use super::render;
use super::signals::{Random, pink};
use realfft::num_complex::Complex64;
use realfft::{RealFftPlanner, RealToComplex};
use std::sync::Arc;
use underpin::settings::Settings;

/// A mono recording.
#[derive(Clone)]
pub(crate) struct Recording {
    pub(crate) name: String,
    pub(crate) rate_hz: f64,
    pub(crate) samples: Vec<f64>,
}

/// Only every eighth sample is judged, as for generated signals.
const STEP: usize = 8;

/// Where the ideal's source band ends, and where it ends in variants that are as good.
const EDGES_HZ: [f64; 2] = [15.0, 200.0];
const OTHER_EDGES_HZ: [[f64; 2]; 5] =
    [[5.0, 200.0], [10.0, 200.0], [15.0, 180.0], [15.0, 220.0], [5.0, 240.0]];

impl Recording {
    /// With silence before and after, and scaled to an r.m.s. value in the source band of `rms`.
    pub(crate) fn placed(&self, before_s: f64, after_s: f64, rms: f64) -> Self {
        let band = source_band(&self.samples, self.rate_hz);
        let power = band.iter().map(|z| 0.5 * z.norm_sqr()).sum::<f64>() / band.len() as f64;
        let silence = |seconds: f64| vec![0.0; (seconds * self.rate_hz) as usize];
        let loud = self.samples.iter().map(|x| x * rms / power.sqrt()).collect();
        let samples = [silence(before_s), loud, silence(after_s)].concat();
        Self { samples, ..self.clone() }
    }
}

/// The analytic source band, 30..160 Hz with edges of an octave below and a quarter above, at
/// every eighth sample.
fn source_band(x: &[f64], rate_hz: f64) -> Vec<Complex64> {
    band_within(EDGES_HZ, x, rate_hz)
}

/// The same with other edges: nothing up to the first, all from 15 Hz above it to 40 Hz below the
/// second, nothing beyond.
fn band_within(edges_hz: [f64; 2], x: &[f64], rate_hz: f64) -> Vec<Complex64> {
    let n = x.len().next_multiple_of(2 * STEP);
    let mut input = x.to_vec();
    input.resize(n, 0.0);
    let mut planner = RealFftPlanner::new();
    let mut bins = vec![Complex64::default(); n / 2 + 1];
    planner.plan_fft_forward(n).process(&mut input, &mut bins).unwrap();
    let edge = |x: f64| 0.5 - 0.5 * (std::f64::consts::PI * x.clamp(0.0, 1.0)).cos();
    for (i, bin) in bins.iter_mut().enumerate() {
        let hz = i as f64 * rate_hz / n as f64;
        *bin *= edge((hz - edges_hz[0]) / 15.0) * edge((edges_hz[1] - hz) / 40.0);
    }
    // Two real inverses: the band, and the band a quarter turn behind.
    let mut inverse = |bins: &[Complex64]| {
        let mut bins = bins.to_vec();
        bins[0] = Complex64::default();
        bins[n / 2] = Complex64::default();
        let mut out = vec![0.0; n];
        planner.plan_fft_inverse(n).process(&mut bins, &mut out).unwrap();
        out
    };
    let real = inverse(&bins);
    bins.iter_mut().for_each(|bin| *bin *= Complex64::new(0.0, -1.0));
    let imaginary = inverse(&bins);
    let pairs = real.iter().zip(&imaginary).step_by(STEP);
    pairs.map(|(&re, &im)| Complex64::new(re, im) / n as f64).collect()
}

/// The share of the energy of a recording that lies in the source band.
pub(crate) fn low_share(recording: &Recording) -> f64 {
    let n = recording.samples.len().next_multiple_of(2 * STEP);
    let mut input = recording.samples.clone();
    input.resize(n, 0.0);
    let mut bins = vec![Complex64::default(); n / 2 + 1];
    RealFftPlanner::new().plan_fft_forward(n).process(&mut input, &mut bins).unwrap();
    let hz = |i: usize| i as f64 * recording.rate_hz / n as f64;
    let power = |within: &dyn Fn(f64) -> bool| -> f64 {
        let chosen = bins.iter().enumerate().filter(|(i, _)| within(hz(*i)));
        chosen.map(|(_, bin)| bin.norm_sqr()).sum()
    };
    power(&|hz| (30.0..=160.0).contains(&hz)) / power(&|_| true).max(1e-30)
}

/// The offline ideal: the band with half its angle.
pub(crate) fn ideal(recording: &Recording) -> Part {
    halved_ideally(source_band(&recording.samples, recording.rate_hz))
}

/// How far the ideal agrees with its own variants: the least correlation with it of the ideals of
/// bands a little wider or narrower. Where the analytic signal passes near zero, the sign of half
/// its angle is anybody's, and no engine can be judged by it.
pub(crate) fn agreement(recording: &Recording) -> f64 {
    let x = recording.placed(0.1, 0.1, 0.1);
    let usual = ideal(&x);
    let others = OTHER_EDGES_HZ.map(|edges_hz| {
        let [other, _] = halved_ideally(band_within(edges_hz, &x.samples, x.rate_hz));
        best_correlation(&other, std::slice::from_ref(&usual), x.rate_hz / STEP as f64).0
    });
    others.into_iter().fold(1.0, f64::min)
}

fn halved_ideally(band: Vec<Complex64>) -> Part {
    let mut angle = 0.0;
    let mut last = Complex64::new(1.0, 0.0);
    let mut part = [Vec::new(), Vec::new()];
    for z in band {
        if z.norm_sqr() > 0.0 {
            angle += (z * last.conj()).arg();
            last = z;
        }
        let half = Complex64::from_polar(z.norm(), 0.5 * angle);
        part[0].push(half.re);
        part[1].push(half.im);
    }
    part
}

/// The engine's octave part of `x` at every eighth sample, followed by a tail.
fn octave_part(settings: &Settings, x: &Recording) -> Vec<f64> {
    let mut samples = x.samples.clone();
    samples.resize(samples.len().next_multiple_of(2 * STEP) + (0.05 * x.rate_hz) as usize, 0.0);
    render(settings, x.rate_hz, &samples).iter().step_by(STEP).copied().collect()
}

/// Correlation with the ideal at the best lag and phase, and level re the source band in dB.
pub(crate) fn likeness(settings: &Settings, recording: &Recording) -> [f64; 2] {
    let x = recording.placed(0.1, 0.1, 0.1);
    let (y, truth) = (octave_part(settings, &x), ideal(&x));
    let level = 0.5 * db(dot(&y, &y) / dot(&truth[0], &truth[0]).max(1e-30));
    [best_correlation(&y, &[truth], x.rate_hz / STEP as f64).0, level]
}

/// The same played so many times faster.
pub(crate) fn sped(recording: &Recording, times: f64) -> Recording {
    Recording { rate_hz: recording.rate_hz * times, ..recording.clone() }
}

/// Correlation of a hit over a note, both equally loud, with the sum of their ideals.
pub(crate) fn mixed(settings: &Settings, hit: &Recording, note: &Recording) -> f64 {
    let mut note = note.placed(0.1, 0.0, 0.1);
    // Played at the note's rate.
    let hit = Recording { rate_hz: note.rate_hz, ..hit.clone() };
    let mut hit = hit.placed(0.45, 0.0, 0.1);
    let length = (0.9 * note.rate_hz) as usize;
    note.samples.resize(length, 0.0);
    hit.samples.resize(length, 0.0);
    let mut sum = note.clone();
    sum.samples.iter_mut().zip(&hit.samples).for_each(|(sum, hit)| *sum += hit);
    let y = octave_part(settings, &sum);
    best_correlation(&y, &[ideal(&hit), ideal(&note)], note.rate_hz / STEP as f64).0
}

/// The same hit eight times at uneven distances in faint noise: the share of the last seven
/// that come out in the polarity of their majority.
pub(crate) fn same_polarity(settings: &Settings, hit: &Recording, seed: u64) -> f64 {
    let hit = hit.placed(0.0, 0.0, 0.1);
    let mut random = Random(seed);
    let most = hit.samples.len().min((0.6 * hit.rate_hz) as usize);
    let mut starts = vec![(0.3 * hit.rate_hz) as usize];
    for _ in 0..7 {
        let gap = hit.samples.len() + (random.between(0.05, 0.25) * hit.rate_hz) as usize;
        starts.push(starts[starts.len() - 1] + gap);
    }
    let mut x = hit.clone();
    x.samples = pink(1e-4, starts[7] + hit.samples.len(), seed);
    for &start in &starts {
        x.samples[start..].iter_mut().zip(&hit.samples).for_each(|(x, hit)| *x += hit);
    }
    let y = octave_part(settings, &x);
    let cut = |start: usize| &y[start / STEP..(start + most) / STEP];
    let same = starts[1..].iter().filter(|&&start| dot(cut(start), cut(starts[1])) > 0.0).count();
    same.max(7 - same) as f64 / 7.0
}

/// Windows of 0.4 s, each a quarter after the last.
struct Frames {
    transform: Arc<dyn RealToComplex<f64>>,
    window: Vec<f64>,
}

impl Frames {
    fn new(rate_hz: f64) -> Self {
        let length = 2 * (0.2 * rate_hz) as usize;
        Self {
            transform: RealFftPlanner::new().plan_fft_forward(length),
            window: blackman_harris(length),
        }
    }

    fn powers(&self, x: &[f64]) -> Vec<f64> {
        let mut input: Vec<f64> = x.iter().zip(&self.window).map(|(x, w)| x * w).collect();
        let mut bins = self.transform.make_output_vec();
        self.transform.process(&mut input, &mut bins).unwrap();
        bins.iter().map(Complex64::norm_sqr).collect()
    }
}

/// The energy of the octave part that lies on no half of a peak of the source, re all of it, dB:
/// peaks from -30 dB re the highest of their moment, halves plus or minus 5 Hz (a window's lobe).
pub(crate) fn off_the_halves(settings: &Settings, recording: &Recording) -> f64 {
    let x = recording.placed(0.1, 0.1, 0.1);
    let rate_hz = x.rate_hz / STEP as f64;
    let source: Vec<f64> = source_band(&x.samples, x.rate_hz).iter().map(|z| z.re).collect();
    let y = octave_part(settings, &x);
    let frames = Frames::new(rate_hz);
    let length = frames.window.len();
    let hz = |bin: usize| bin as f64 * rate_hz / length as f64;
    let (mut off, mut all) = (0.0, 0.0);
    for start in (0..source.len().saturating_sub(length)).step_by(length / 4) {
        let peaks = frames.powers(&source[start..start + length]);
        let late = start + (0.012 * rate_hz) as usize;
        let halves = frames.powers(&y[late..late + length]);
        let highest = peaks.iter().fold(0.0, |a: f64, &b| a.max(b));
        let near: Vec<f64> = (1..peaks.len() - 1)
            .filter(|&i| {
                peaks[i] > 1e-3 * highest && peaks[i] >= peaks[i - 1] && peaks[i] > peaks[i + 1]
            })
            .map(|i| 0.5 * hz(i))
            .collect();
        for (bin, power) in halves.iter().enumerate() {
            all += power;
            if !near.iter().any(|half| (half - hz(bin)).abs() <= 5.0) {
                off += power;
            }
        }
    }
    0.5 * db(off / all.max(1e-30))
}
