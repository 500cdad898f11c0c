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

/// Everything between the two resamplers.
pub(super) struct Core {
    band: Band,
    clean: Quadrature,
    fast: Quadrature,
    fast_share: Glide,
    phase_deg: Glide,
    turn: Complex,
    halved: Halved,
    halved_share: Glide,
    tracked: Tracked,
    tracked_share: Glide,
    divider: Divider,
    divided_share: Glide,
    tick: Tick,
}

impl Core {
    pub(super) fn new(rate_hz: f64, ratio: usize) -> Self {
        let share = || Glide::new(0.0, rate_hz);
        Self {
            band: Band::new(rate_hz, ratio),
            clean: Quadrature::new(CLEAN_SECTIONS, rate_hz),
            fast: Quadrature::new(FAST_SECTIONS, rate_hz),
            fast_share: share(),
            phase_deg: share(),
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
        let share = |method| f64::from(settings.octave_method == method);
        self.band.set(settings);
        self.halved.set(settings);
        self.tracked.set(settings);
        self.fast_share.set(f64::from(settings.octave_response == Response::Fast));
        self.phase_deg.set(f64::from(settings.octave_phase_deg));
        self.tracked_share.set(share(Method::Tracked));
        self.halved_share.set(share(Method::Halved));
        self.divided_share.set(share(Method::Divided));
    }

    pub(super) fn reset(&mut self) {
        self.band.reset();
        self.clean.reset();
        self.fast.reset();
        for glide in [
            &mut self.fast_share,
            &mut self.phase_deg,
            &mut self.divided_share,
            &mut self.halved_share,
            &mut self.tracked_share,
        ] {
            glide.finish();
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
        let share = self.tracked_share.step();
        if share > 0.0 {
            let band = &self.band;
            y += share * (self.tracked.push(z, |hz| band.make_up(hz)) * self.turn).re;
        }
        let share = self.halved_share.step();
        if share > 0.0 {
            y += share * (self.halved.push(z) * self.turn).re;
        }
        let share = self.divided_share.step();
        if share > 0.0 {
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
        let share = self.fast_share.step();
        if share == 0.0 {
            self.clean.push(x)
        } else if share == 1.0 {
            self.fast.push(x)
        } else {
            self.clean.push(x) * (1.0 - share) + self.fast.push(x) * share
        }
    }

    /// Every few samples: ends what has become inaudible and lets what is not heard start afresh.
    fn slow_work(&mut self) {
        self.band.flush();
        self.clean.flush();
        self.fast.flush();
        self.forget();
    }

    fn forget(&mut self) {
        if self.fast_share.rests_at(0.0) {
            self.fast.reset();
        }
        if self.fast_share.rests_at(1.0) {
            self.clean.reset();
        }
        if self.halved_share.rests_at(0.0) {
            self.halved.reset();
        }
        if self.tracked_share.rests_at(0.0) {
            self.tracked.reset();
        }
        if self.divided_share.rests_at(0.0) {
            self.divider = Divider::new(self.turn.re < 0.0);
        }
    }
}

/// The phase setting as a pointer.
fn turn(degrees: f64) -> Complex {
    Complex::turn(degrees.to_radians())
}
