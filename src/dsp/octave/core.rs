//! The octave core, one low-rate sample at a time:
//!
//! ```text
//!    ┌► source band ► analytic signal ► tracked ► low-pass ─┐
//! x ─┼► source band ► analytic signal ► halved  ► low-pass ─┼► y
//!    └► source band ► analytic signal ► divided ► low-pass ─┘
//! ```
//!
//! Only the methods that are heard run; a change of method cross-fades.

use super::analytic::{Analytic, Hearing};
use super::divide::{self, Divider};
use super::halved::{self, Halved};
use super::halver::Halver;
use super::phasor::Phasor;
use super::tracked::{self, Tracked};
use super::voice::Voice;
use crate::dsp::glide::Glide;
use crate::dsp::tick::Tick;
use crate::settings::{Method, Settings};
use num_complex::Complex64;

/// A method with the filters it wants.
struct Line<H> {
    analytic: Analytic,
    halver: H,
}

impl<H: Halver> Line<H> {
    fn voice(halver: H, hearing: Hearing, rate_hz: f64, ratio: usize) -> Voice<Self> {
        Voice::new(Self { analytic: Analytic::new(hearing, rate_hz, ratio), halver }, rate_hz)
    }

    fn set(&mut self, settings: &Settings) {
        self.analytic.set(settings);
        self.halver.set(settings);
    }

    fn reset(&mut self, turn: Complex64) {
        self.analytic.reset();
        self.halver.reset(turn);
    }

    #[inline]
    fn push(&mut self, x: f64, turn: Complex64) -> f64 {
        let z = self.analytic.push(x);
        let half = self.halver.push(z, turn, &self.analytic);
        self.analytic.after(half)
    }
}

/// Everything between the two resamplers.
pub(super) struct Core {
    tracked: Voice<Line<Tracked>>,
    halved: Voice<Line<Halved>>,
    divided: Voice<Line<Divider>>,
    phase_deg: Glide,
    turn: Complex64,
    tick: Tick,
}

/// Does the same to the line of every method.
macro_rules! every_line {
    ($core:ident, $voice:ident => $work:expr) => {{
        let $voice = &mut $core.tracked;
        $work;
        let $voice = &mut $core.halved;
        $work;
        let $voice = &mut $core.divided;
        $work;
    }};
}

impl Core {
    pub(super) fn new(rate_hz: f64, ratio: usize) -> Self {
        Self {
            tracked: Line::voice(Tracked::new(rate_hz), tracked::HEARING, rate_hz, ratio),
            halved: Line::voice(Halved::new(rate_hz), halved::HEARING, rate_hz, ratio),
            divided: Line::voice(Divider::new(false), divide::HEARING, rate_hz, ratio),
            phase_deg: Glide::new(0.0, rate_hz),
            turn: Complex64::ONE,
            tick: Tick::default(),
        }
    }

    pub(super) fn set(&mut self, settings: &Settings) {
        every_line!(self, voice => voice.own().set(settings));
        self.phase_deg.set(f64::from(settings.octave_phase_deg));
        self.tracked.set(settings.octave_method == Method::Tracked);
        self.halved.set(settings.octave_method == Method::Halved);
        self.divided.set(settings.octave_method == Method::Divided);
    }

    pub(super) fn reset(&mut self) {
        self.phase_deg.finish();
        self.turn = turn(self.phase_deg.value());
        self.tick = Tick::default();
        every_line!(self, voice => voice.restart().reset(self.turn));
    }

    /// The octave part of one sample; never an infinity or a not-a-number.
    pub(super) fn push(&mut self, x: f64) -> f64 {
        if self.tick.due() {
            self.slow_work();
        }
        if self.phase_deg.moves() {
            self.turn = turn(self.phase_deg.step());
        }
        let mut y = 0.0;
        every_line!(self, voice => if let Some((share, line)) = voice.step() {
            y += share * line.push(x, self.turn);
        });
        if y.is_finite() {
            return y;
        }
        self.reset();
        0.0
    }

    /// Every few samples: ends what has become inaudible and lets what is not heard start afresh.
    fn slow_work(&mut self) {
        every_line!(self, voice => {
            if let Some(line) = voice.heard() {
                line.analytic.flush();
            }
            if let Some(line) = voice.fell_silent() {
                line.reset(self.turn);
            }
        });
    }
}

/// The phase setting as a phasor.
fn turn(degrees: f64) -> Complex64 {
    Complex64::turn(degrees.to_radians())
}
