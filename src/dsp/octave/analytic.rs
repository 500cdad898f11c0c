//! The source band as an analytic signal: band, then the all-pass pair of the response that is
//! heard; and the way back, from halves to the octave part.

use super::allpass_pair::AllpassPair;
use super::band::{Band, Edges};
use super::voice::Voice;
use crate::settings::{Response, Settings};
use num_complex::Complex64;

/// How one method hears: the edges of its band and the sections of its all-pass pairs.
#[derive(Clone, Copy)]
pub(super) struct Hearing {
    pub(super) edges: Edges,
    pub(super) clean_sections: usize,
    pub(super) fast_sections: usize,
}

/// Filters of one method.
pub(super) struct Analytic {
    band: Band,
    clean: Voice<AllpassPair>,
    fast: Voice<AllpassPair>,
}

impl Analytic {
    pub(super) fn new(hearing: Hearing, rate_hz: f64, ratio: usize) -> Self {
        let pair = |sections| Voice::new(AllpassPair::new(sections, rate_hz), rate_hz);
        Self {
            band: Band::new(hearing.edges, rate_hz, ratio),
            clean: pair(hearing.clean_sections),
            fast: pair(hearing.fast_sections),
        }
    }

    pub(super) fn set(&mut self, settings: &Settings) {
        let fast = settings.octave_response == Response::Fast;
        self.band.set(settings);
        self.clean.set(!fast);
        self.fast.set(fast);
    }

    pub(super) fn reset(&mut self) {
        self.band.reset();
        self.clean.restart().reset();
        self.fast.restart().reset();
    }

    /// The analytic signal after sample `x`.
    #[inline]
    pub(super) fn push(&mut self, x: f64) -> Complex64 {
        let x = self.band.before(x);
        let mut z = Complex64::ZERO;
        for voice in [&mut self.clean, &mut self.fast] {
            if let Some((share, pair)) = voice.step() {
                z += pair.push(x) * share;
            }
        }
        z
    }

    /// The octave part from halves.
    #[inline]
    pub(super) fn after(&mut self, y: f64) -> f64 {
        self.band.after(y)
    }

    /// The gain that makes the level of the half of `hz` exact (see [`Band::make_up`]).
    pub(super) fn make_up(&self, hz: f64) -> f64 {
        self.band.make_up(hz)
    }

    /// The mirror image of a partial x that turns by `turn` a sample: the analytic signal holds
    /// ρ·x* beside it. The pairs are known, so ρ is: the conjugate of (A - jB)/(A + jB).
    pub(super) fn image(&self, turn: Complex64) -> Complex64 {
        let mut sum = [Complex64::ZERO; 2];
        for (share, pair) in [self.clean.part(), self.fast.part()] {
            if share > 0.0 {
                let [positive, negative] = pair.sides(turn);
                sum = [sum[0] + positive * share, sum[1] + negative * share];
            }
        }
        let [positive, negative] = sum;
        (negative / positive).conj()
    }

    /// Ends what has become inaudible, and lets a pair that is no longer heard start afresh.
    pub(super) fn flush(&mut self) {
        self.band.flush();
        for voice in [&mut self.clean, &mut self.fast] {
            voice.own().flush();
            if let Some(pair) = voice.fell_silent() {
                pair.reset();
            }
        }
    }
}
