//! A value that glides to its target, so that no change clicks.
//!
//! The way there is the one polynomial of fifth degree that starts with the
//! value, speed and acceleration of now and arrives at rest: even where a hand
//! or an automation moves the target on the way, the second derivative has no
//! step. What is left above 2 kHz of a switched 50 Hz tone lies under -90 dBFS
//! (`tests/it/switches.rs`); a straight line leaves -46 dBFS.

/// How long a change takes, in seconds: short for a hand, long for the ear's click.
const GLIDE_S: f64 = 0.02;

/// A gliding value. At rest it is exactly its target.
#[derive(Clone, Copy, Debug)]
pub(super) struct Glide {
    now: f64,
    target: f64,
    way: [f64; 6],
    left: u32,
    length: u32,
}

impl Glide {
    /// A value at rest at `value`, that will be stepped `rate_hz` times a second.
    pub(super) fn new(value: f64, rate_hz: f64) -> Self {
        let length = (GLIDE_S * rate_hz).ceil().max(1.0) as u32;
        Self { now: value, target: value, way: [0.0; 6], left: 0, length }
    }

    /// Starts towards `target`; the same target again changes nothing.
    pub(super) fn set(&mut self, target: f64) {
        if target != self.target {
            let [speed, acceleration] = self.motion();
            self.way = way(self.now, speed, acceleration, target);
            self.target = target;
            self.left = self.length;
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
            self.now =
                if self.left == 0 { self.target } else { polynomial(&self.way, self.gone()) };
        }
        self.now
    }

    /// Multiplies lanes of one length by the value, one step a frame.
    pub(super) fn scale<const N: usize>(&mut self, mut lanes: [&mut [f64]; N]) {
        if self.moves() {
            for i in 0..lanes[0].len() {
                let gain = self.step();
                lanes.iter_mut().for_each(|lane| lane[i] *= gain);
            }
        } else if self.now != 1.0 {
            lanes.into_iter().flatten().for_each(|x| *x *= self.now);
        }
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

    /// The share of the way that lies behind, 0..1.
    fn gone(&self) -> f64 {
        1.0 - f64::from(self.left) / f64::from(self.length)
    }

    /// Speed and acceleration now, for a way of length 1.
    fn motion(&self) -> [f64; 2] {
        if self.left == 0 {
            return [0.0; 2];
        }
        let [_, a, b, c, d, e] = self.way;
        let speed = [a, 2.0 * b, 3.0 * c, 4.0 * d, 5.0 * e, 0.0];
        let acceleration = [2.0 * b, 6.0 * c, 12.0 * d, 20.0 * e, 0.0, 0.0];
        [speed, acceleration].map(|way| polynomial(&way, self.gone()))
    }
}

/// Coefficients of p(t), t = 0..1, with p(0) = `from`, p'(0) = `speed`, p''(0) = `acceleration`,
/// p(1) = `to` and p'(1) = p''(1) = 0 (quintic Hermite interpolation).
fn way(from: f64, speed: f64, acceleration: f64, to: f64) -> [f64; 6] {
    let bend = 0.5 * acceleration;
    let rest = to - from - speed - bend;
    let slope = -speed - acceleration;
    [
        from,
        speed,
        bend,
        10.0 * rest - 4.0 * slope - bend,
        -15.0 * rest + 7.0 * slope + acceleration,
        6.0 * rest - 3.0 * slope - bend,
    ]
}

fn polynomial(way: &[f64; 6], t: f64) -> f64 {
    way.iter().rev().fold(0.0, |sum, coefficient| sum * t + coefficient)
}
