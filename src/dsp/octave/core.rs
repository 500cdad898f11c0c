//! The octave core, one low-rate sample at a time:
//!
//! ```text
//!                                 ┌► tracked ─┐
//! x ► source band ► quadrature z ─┼► halved  ─┼► low-pass ► y
//!                                 └► divided ─┘
//! ```
//!
//! Only the methods that are heard run; a change of method cross-fades.

use super::band::Band;
use super::complex::Complex;
use super::divide::Divider;
use super::halved::Halved;
use super::quadrature::Quadrature;
use super::tracked::Tracked;
use crate::dsp::glide::Glide;
use crate::dsp::tick::Tick;
use crate::settings::{Method, Response, Settings};

/// Sections of the quadrature pair: clean keeps its spurs under -75 dB, fast is 5 ms earlier.
const CLEAN_SECTIONS: usize = 8;
const FAST_SECTIONS: usize = 6;

/// How much of something is heard, and whether it has anything to forget.
struct Share {
    glide: Glide,
    used: bool,
}

impl Share {
    fn new(rate_hz: f64) -> Self {
        Self { glide: Glide::new(0.0, rate_hz), used: false }
    }

    fn set(&mut self, heard: bool) {
        self.glide.set(f64::from(heard));
    }

    /// The share for the next sample, if any.
    #[inline]
    fn step(&mut self) -> Option<f64> {
        let share = self.glide.step();
        self.used |= share > 0.0;
        (share > 0.0).then_some(share)
    }

    /// True once after the last sample that was heard.
    fn falls_silent(&mut self) -> bool {
        self.glide.rests_at(0.0) && std::mem::take(&mut self.used)
    }
}

/// Everything between the two resamplers.
pub(super) struct Core {
    band: Band,
    clean: Quadrature,
    clean_share: Share,
    fast: Quadrature,
    fast_share: Share,
    phase_deg: Glide,
    turn: Complex,
    halved: Halved,
    halved_share: Share,
    tracked: Tracked,
    tracked_share: Share,
    divider: Divider,
    divided_share: Share,
    tick: Tick,
}

impl Core {
    pub(super) fn new(rate_hz: f64, ratio: usize) -> Self {
        let share = || Share::new(rate_hz);
        Self {
            band: Band::new(rate_hz, ratio),
            clean: Quadrature::new(CLEAN_SECTIONS, rate_hz),
            clean_share: share(),
            fast: Quadrature::new(FAST_SECTIONS, rate_hz),
            fast_share: share(),
            phase_deg: Glide::new(0.0, rate_hz),
            turn: Complex::ONE,
            halved: Halved::new(rate_hz),
            halved_share: share(),
            tracked: Tracked::new(rate_hz),
            tracked_share: share(),
            divider: Divider::new(false),
            divided_share: share(),
            tick: Tick::default(),
        }
    }

    pub(super) fn set(&mut self, settings: &Settings) {
        let heard = |method| settings.octave_method == method;
        let fast = settings.octave_response == Response::Fast;
        self.band.set(settings);
        self.halved.set(settings);
        self.tracked.set(settings);
        self.fast_share.set(fast);
        self.clean_share.set(!fast);
        self.phase_deg.set(f64::from(settings.octave_phase_deg));
        self.tracked_share.set(heard(Method::Tracked));
        self.halved_share.set(heard(Method::Halved));
        self.divided_share.set(heard(Method::Divided));
    }

    pub(super) fn reset(&mut self) {
        self.band.reset();
        self.clean.reset();
        self.fast.reset();
        self.phase_deg.finish();
        for share in [
            &mut self.clean_share,
            &mut self.fast_share,
            &mut self.divided_share,
            &mut self.halved_share,
            &mut self.tracked_share,
        ] {
            share.glide.finish();
            share.used = false;
        }
        self.turn = turn(self.phase_deg.value());
        self.halved.reset();
        self.tracked.reset();
        self.divider = Divider::new(self.turn.re < 0.0);
        self.tick = Tick::default();
    }

    /// The octave part of one sample; never an infinity or a not-a-number.
    pub(super) fn push(&mut self, x: f64) -> f64 {
        if self.tick.due() {
            self.slow_work();
        }
        if self.phase_deg.moves() {
            self.turn = turn(self.phase_deg.step());
        }
        let x = self.band.before(x);
        let z = self.pointer(x);
        let mut y = 0.0;
        if let Some(share) = self.tracked_share.step() {
            let band = &self.band;
            y += share * (self.tracked.push(z, |hz| band.make_up(hz)) * self.turn).re;
        }
        if let Some(share) = self.halved_share.step() {
            y += share * (self.halved.push(z, |hz| self.band.make_up(hz)) * self.turn).re;
        }
        if let Some(share) = self.divided_share.step() {
            y += share * self.divider.push(z, self.turn);
        }
        let y = self.band.after(y);
        if y.is_finite() {
            return y;
        }
        self.reset();
        0.0
    }

    fn pointer(&mut self, x: f64) -> Complex {
        let mut z = Complex::ZERO;
        if let Some(share) = self.clean_share.step() {
            z += self.clean.push(x) * share;
        }
        if let Some(share) = self.fast_share.step() {
            z += self.fast.push(x) * share;
        }
        z
    }

    /// Every few samples: ends what has become inaudible and lets what is not heard start afresh.
    fn slow_work(&mut self) {
        self.band.flush();
        self.clean.flush();
        self.fast.flush();
        self.forget();
    }

    fn forget(&mut self) {
        if self.fast_share.falls_silent() {
            self.fast.reset();
        }
        if self.clean_share.falls_silent() {
            self.clean.reset();
        }
        if self.halved_share.falls_silent() {
            self.halved.reset();
        }
        if self.tracked_share.falls_silent() {
            self.tracked.reset();
        }
        if self.divided_share.falls_silent() {
            self.divider = Divider::new(self.turn.re < 0.0);
        }
    }
}

/// The phase setting as a pointer.
fn turn(degrees: f64) -> Complex {
    Complex::turn(degrees.to_radians())
}
