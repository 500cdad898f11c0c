//! A value that glides to its target in a straight line, so that no change clicks.

/// How long a change takes, in seconds: short for a hand, long for the ear's click.
const GLIDE_S: f64 = 0.02;

/// A gliding value. At rest it is exactly its target.
#[derive(Clone, Copy, Debug)]
pub(super) struct Glide {
    now: f64,
    target: f64,
    step: f64,
    left: u32,
    length: u32,
}

impl Glide {
    /// A value at rest at `value`, that will be stepped `rate_hz` times a second.
    pub(super) fn new(value: f64, rate_hz: f64) -> Self {
        let length = (GLIDE_S * rate_hz).ceil().max(1.0) as u32;
        Self { now: value, target: value, step: 0.0, left: 0, length }
    }

    /// Starts towards `target`; the same target again changes nothing.
    pub(super) fn set(&mut self, target: f64) {
        if target != self.target {
            self.target = target;
            self.left = self.length;
            self.step = (target - self.now) / f64::from(self.length);
        }
    }

    /// Goes to the target at once.
    pub(super) fn finish(&mut self) {
        self.now = self.target;
        self.left = 0;
    }

    /// One step; the value after it.
    #[inline]
    pub(super) fn step(&mut self) -> f64 {
        if self.left > 0 {
            self.left -= 1;
            self.now = if self.left == 0 { self.target } else { self.now + self.step };
        }
        self.now
    }

    /// The value now.
    pub(super) fn value(&self) -> f64 {
        self.now
    }

    /// True while the value has not arrived.
    pub(super) fn moves(&self) -> bool {
        self.left > 0
    }

    /// True when the value rests at `value`.
    pub(super) fn rests_at(&self, value: f64) -> bool {
        self.left == 0 && self.now == value
    }
}
