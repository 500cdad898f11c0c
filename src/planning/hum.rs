//! Steady tones that are not the track's: mains hum and its harmonics, whine.
//! Found where the comb is silent (on whole hertz) and taken out where it
//! leaks into the comb's lines.
//!
//! Over a block of 2 s a tone at bin κ reads c·e^{jπ(κ−k)}·sinc(κ − k) at bin k, which is
//! c·e^{jπκ}·sin(πκ)/(π(κ − k)): the even bins, where no line of the comb is, tell both c and κ.
//! A tone exactly on a whole hertz leaks nowhere and needs no taking out.

use std::f64::consts::PI;

use realfft::num_complex::Complex64;

use super::statistics::median;

/// The leakage beside a tone must stand this far over what is usual, as a ratio of amplitudes: by
/// chance (both of two Rayleigh amplitudes) once in a million bins.
const STANDS_OUT: f64 = 3.5;
/// Neighbours on either side that tell what is usual, in even bins (16 Hz).
const NEAR: usize = 16;
/// Even bins on either side that a tone is fitted on.
const FITTED: usize = 5;
/// Lowest bin looked at: 8 Hz.
const FROM_BIN: usize = 16;
/// Highest bin looked at: 1.2 kHz.
const TO_BIN: usize = 2400;
/// Most tones of a block: a mains line with its harmonics.
const MOST: usize = 16;
/// What a tone must explain of the power around it.
const EXPLAINED: f64 = 0.7;

/// A tone in a block's spectrum.
#[derive(Clone, Copy, Debug)]
struct Tone {
    /// Place in bins.
    place: f64,
    /// Its complex amplitude times e^{jπ·place}·sin(π·place)/π.
    strength: Complex64,
}

impl Tone {
    /// What it puts into a bin.
    fn at(&self, bin: usize) -> Complex64 {
        self.strength / (self.place - bin as f64)
    }
}

/// Takes the leaking tones out of the spectrum of one block of 2 s (bins of half a hertz).
pub(super) fn take_out(bins: &mut [Complex64]) {
    let top = TO_BIN.min(bins.len().saturating_sub(2 * NEAR + 2));
    for _ in 0..MOST {
        let Some(peak) = strongest(bins, top) else { return };
        let Some(tone) = fitted(bins, peak) else { return };
        for (bin, value) in bins.iter_mut().enumerate() {
            // A line of the comb on the tone's own bin cannot be told from it: its scatter will.
            if (bin as f64 - tone.place).abs() > 0.5 {
                *value -= tone.at(bin);
            } else if bin.is_multiple_of(2) {
                *value = Complex64::ZERO;
            }
        }
    }
}

/// The even bin whose even neighbours hold most leakage. A product of distortion, which lies on
/// a whole hertz, has none.
fn strongest(bins: &[Complex64], top: usize) -> Option<usize> {
    let amplitudes: Vec<f64> = bins[..top + 2 * NEAR].iter().step_by(2).map(|x| x.norm()).collect();
    (FROM_BIN / 2..top / 2)
        .filter(|&i| amplitudes[i] >= amplitudes[i - 1] && amplitudes[i] >= amplitudes[i + 1])
        .map(|i| {
            let near = &amplitudes[i.saturating_sub(NEAR)..i + NEAR];
            let leaks = amplitudes[i - 1].min(amplitudes[i + 1]);
            (2 * i, leaks / median(near.iter().copied()).max(1e-12))
        })
        .filter(|(_, ratio)| *ratio > STANDS_OUT)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(bin, _)| bin)
}

/// The tone whose leakage fits the even bins around `peak` best.
fn fitted(bins: &[Complex64], peak: usize) -> Option<Tone> {
    let near: Vec<usize> =
        (peak.saturating_sub(2 * FITTED)..=peak + 2 * FITTED).step_by(2).collect();
    let all: f64 = near.iter().map(|&k| bins[k].norm_sqr()).sum();
    let at = |place: f64| -> (Complex64, f64) {
        let kernel = |k: usize| 1.0 / (place - k as f64);
        let weight: f64 = near.iter().map(|&k| kernel(k).powi(2)).sum();
        let sum: Complex64 = near.iter().map(|&k| bins[k] * kernel(k)).sum();
        (sum / weight, sum.norm_sqr() / weight)
    };
    let best = |middle: f64, step: f64, count: i32| {
        (-count..=count)
            .map(|i| middle + f64::from(i) * step)
            .filter(|place| (place - peak as f64).abs() > 1e-6)
            .max_by(|a, b| at(*a).1.total_cmp(&at(*b).1))
            .unwrap_or(middle)
    };
    let middle = peak as f64;
    let place = best(best(best(middle, 0.05, 24), 0.005, 10), 0.0005, 10);
    let (strength, explained) = at(place);
    let sure = explained > EXPLAINED * all && (PI * place).sin().abs() > 1e-6;
    sure.then_some(Tone { place, strength })
}
