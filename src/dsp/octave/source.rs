//! What is halved of two channels: the mid, or the side where the mid is nearly nothing.
//!
//! Always one core: two independent halvings of left and right could come out
//! in opposite polarity and cancel in the room. The mid is ½L + ½R, the side
//! ½L - ½R; one fades into the other.

use super::smooth::Smooth;

/// The side takes over when it is this much stronger than the mid, and the mid
/// when it is this much stronger than the side: 3 dB, so that two equal ones
/// (channels 90° apart) never alternate.
const LEAD: f64 = 2.0;

/// How long powers are compared over: a few cycles of the lowest note.
const POWER_S: f64 = 0.05;

/// How long a take-over fades.
const FADE_S: f64 = 0.02;

/// Chooses between mid and side, once a low-rate sample.
pub(super) struct Source {
    mid: Smooth,
    side: Smooth,
    takes_side: bool,
    share: f64,
    step: f64,
}

impl Source {
    pub(super) fn new(low_rate_hz: f64) -> Self {
        Self {
            mid: Smooth::new(POWER_S, low_rate_hz),
            side: Smooth::new(POWER_S, low_rate_hz),
            takes_side: false,
            share: 0.0,
            step: (1.0 / (FADE_S * low_rate_hz)).min(1.0),
        }
    }

    pub(super) fn reset(&mut self) {
        self.mid.reset();
        self.side.reset();
        self.takes_side = false;
        self.share = 0.0;
    }

    /// What is halved of the samples `[mid, side]`.
    pub(super) fn push(&mut self, [mid, side]: [f64; 2]) -> f64 {
        let (mid_power, side_power) = (self.mid.push(mid * mid), self.side.push(side * side));
        if side_power > LEAD * mid_power {
            self.takes_side = true;
        } else if mid_power > LEAD * side_power {
            self.takes_side = false;
        }
        let way = if self.takes_side { self.step } else { -self.step };
        self.share = (self.share + way).clamp(0.0, 1.0);
        mid + self.share * (side - mid)
    }
}
