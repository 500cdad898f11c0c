//! A one-pole average that comes to rest at exact zero.

/// Averages below this end: far under any audible power (-400 dB), far over the
/// subnormal numbers that would make silence dear.
const FLUSH: f64 = 1e-40;

/// y += (x - y)·(1 - e^{-1/(τ·rate)}).
#[derive(Clone, Copy, Debug)]
pub(super) struct Smooth {
    value: f64,
    rate: f64,
}

impl Smooth {
    pub(super) fn new(seconds: f64, rate_hz: f64) -> Self {
        Self { value: 0.0, rate: -libm::expm1(-1.0 / (seconds * rate_hz)) }
    }

    pub(super) fn reset(&mut self) {
        self.value = 0.0;
    }

    /// Goes to `value` at once.
    pub(super) fn set(&mut self, value: f64) {
        self.value = value;
    }

    /// The average now.
    #[inline]
    pub(super) fn value(&self) -> f64 {
        self.value
    }

    /// The average, after taking in `x`.
    #[inline]
    pub(super) fn push(&mut self, x: f64) -> f64 {
        self.push_slowly(x, 1.0)
    }

    /// The same at `pace` (0..1) times the usual rate.
    #[inline]
    pub(super) fn push_slowly(&mut self, x: f64, pace: f64) -> f64 {
        let value = self.value + self.rate * pace * (x - self.value);
        self.value = if value.abs() < FLUSH { 0.0 } else { value };
        self.value
    }
}
