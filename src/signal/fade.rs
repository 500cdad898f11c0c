//! A start and an end without a click: gain along a raised cosine.

use super::elementary::cos_turns;

/// Lengths of the two fades in samples; 0 for none.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fade {
    pub(super) in_samples: u64,
    pub(super) out_samples: u64,
}

impl Fade {
    /// The gain at sample `n` of a signal of `length` samples.
    pub(super) fn gain(self, n: u64, length: Option<u64>) -> f64 {
        let left = length.map_or(u64::MAX, |length| length - 1 - n);
        rise(n, self.in_samples) * rise(left, self.out_samples)
    }
}

/// From 0 at 0 to 1 at `over` and beyond.
fn rise(n: u64, over: u64) -> f64 {
    if n >= over {
        return 1.0;
    }
    0.5 - 0.5 * cos_turns(0.5 * n as f64 / over as f64)
}
