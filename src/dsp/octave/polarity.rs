//! The same hit, the same polarity.
//!
//! Half an angle has two answers, and which one a drum hit gets depends on what
//! was there before it: left alone, hits come out upright or inverted at
//! random. So a new hit, at the moment its level rises, is turned to point the
//! way the last hit did at that moment.

use super::phasor::Phasor;
use super::smooth::Smooth;
use num_complex::Complex64;

/// A hit can come once the level has fallen this far below its peak: -16 dB.
const ARM: f64 = 0.0225;
/// It is there once the level is this near the peak again, -10 dB ...
const THERE: f64 = 0.09;
/// ... and this far above its own average: rising, not lingering.
const RISE: f64 = 2.0;
/// The level follows a hit within a fraction of a cycle.
const LEVEL_S: f64 = 0.002;
/// The average that a rise is judged against: about a hit's length.
const AVERAGE_S: f64 = 0.1;
/// The peak is forgotten in seconds (of power: half that).
const MEMORY_S: f64 = 0.75;
/// A turn fades through zero: under a tenth of a cycle, no click.
const TURN_S: f64 = 0.003;

/// Watches for hits and answers with the sign to use, gliding from -1 to 1.
pub(super) struct Polarity {
    part: Smooth,
    whole: Smooth,
    average: Smooth,
    peak: f64,
    memory: f64,
    armed: bool,
    reference: Complex64,
    sign: f64,
    now: f64,
    step: f64,
}

impl Polarity {
    pub(super) fn new(low_rate_hz: f64) -> Self {
        Self {
            part: Smooth::new(LEVEL_S, low_rate_hz),
            whole: Smooth::new(LEVEL_S, low_rate_hz),
            average: Smooth::new(AVERAGE_S, low_rate_hz),
            peak: 0.0,
            memory: libm::exp(-1.0 / (MEMORY_S * low_rate_hz)),
            armed: true,
            reference: Complex64::ZERO,
            sign: 1.0,
            now: 1.0,
            step: (2.0 / (TURN_S * low_rate_hz)).min(2.0),
        }
    }

    /// The sign aimed at, 1 or -1.
    pub(super) fn sign(&self) -> f64 {
        self.sign
    }

    /// The sign for a part of power `part` that points along `direction`, in a whole of power `whole`.
    #[inline]
    pub(super) fn push(&mut self, part: f64, whole: f64, direction: Complex64) -> f64 {
        let part = self.part.push(part);
        let whole = self.whole.push(whole);
        let average = self.average.push(whole);
        let peak = part.max(self.peak * self.memory);
        self.peak = if peak < 1e-40 { 0.0 } else { peak };
        if part < ARM * self.peak {
            self.armed = true;
        } else if self.armed && part > THERE * self.peak && whole > RISE * average {
            self.armed = false;
            if (direction * self.sign).along(self.reference) < 0.0 {
                self.sign = -self.sign;
            }
            self.reference = direction * self.sign;
        }
        self.now = if self.sign > 0.0 {
            (self.now + self.step).min(1.0)
        } else {
            (self.now - self.step).max(-1.0)
        };
        self.now
    }
}
