//! What is halved of two channels: the mid, or the side where the mid is nearly nothing.
//!
//! Always one core: two independent halvings of left and right could come out
//! in opposite polarity and cancel in the room. The mid is ½L + ½R, the side
//! ½L - ½R, so fading from one to the other is turning the right channel's
//! share from ½ to -½.

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
    sums: [f64; 2],
    takes_side: bool,
    share: f64,
    step: f64,
}

impl Source {
    pub(super) fn new(low_rate_hz: f64) -> Self {
        Self {
            mid: Smooth::new(POWER_S, low_rate_hz),
            side: Smooth::new(POWER_S, low_rate_hz),
            sums: [0.0; 2],
            takes_side: false,
            share: 0.0,
            step: (1.0 / (FADE_S * low_rate_hz)).min(1.0),
        }
    }

    pub(super) fn reset(&mut self) {
        self.mid.reset();
        self.side.reset();
        self.sums = [0.0; 2];
        self.takes_side = false;
        self.share = 0.0;
    }

    /// The shares of left and right in the source.
    #[inline]
    pub(super) fn shares(&self) -> [f64; 2] {
        [0.5, 0.5 - self.share]
    }

    /// Listens to samples of both channels. Their sums over one low-rate sample
    /// are low-passed enough to judge by.
    #[inline]
    pub(super) fn push(&mut self, left: &[f64], right: &[f64]) {
        for (&left, &right) in left.iter().zip(right) {
            self.sums[0] += left + right;
            self.sums[1] += left - right;
        }
    }

    /// Judges, after every low-rate sample's worth of pushes.
    pub(super) fn choose(&mut self) {
        let [mid, side] = self.sums.map(|sum| sum * sum);
        self.sums = [0.0; 2];
        let (mid, side) = (self.mid.push(mid), self.side.push(side));
        if side > LEAD * mid {
            self.takes_side = true;
        } else if mid > LEAD * side {
            self.takes_side = false;
        }
        let way = if self.takes_side { self.step } else { -self.step };
        self.share = (self.share + way).clamp(0.0, 1.0);
    }
}
