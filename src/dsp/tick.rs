//! The clock that slow work follows: it falls due every few samples of the
//! signal, wherever the host's blocks begin and end.

/// Samples between two ticks.
const TICK_SAMPLES: u32 = 16;

/// Counts samples and says when slow work is due.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Tick {
    count: u32,
}

impl Tick {
    /// True on the first sample and on every 16th after it.
    #[inline]
    pub(super) fn due(&mut self) -> bool {
        let due = self.count == 0;
        self.count = (self.count + 1) % TICK_SAMPLES;
        due
    }

    /// Lets `samples` go by without the work.
    pub(super) fn pass(&mut self, samples: usize) {
        self.count = (self.count + (samples % TICK_SAMPLES as usize) as u32) % TICK_SAMPLES;
    }
}
