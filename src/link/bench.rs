//! What is measured: the line, a device or a radio. Chosen by a hand in the window, never saved.
//!
//! With a device or a radio nothing that arrives goes out: the audio thread copies it into the ring
//! and plays a test signal or silence, so that no feedback can arise.

use super::{FAULT, Frame, MOST_FRAMES, SILENCE, TAPS, Taps};
use std::sync::atomic::Ordering;

/// What is measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Measured {
    /// This effect: what comes in goes through it.
    #[default]
    Line,
    /// A device between output and input: a test signal goes out, what comes back is heard.
    Device,
    /// A radio that plays the track: silence goes out, what arrives is heard.
    Radio,
}

impl Measured {
    /// All with their words.
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Line, "the line"), (Self::Device, "a device"), (Self::Radio, "a radio")];

    /// The one of a number; the line for a number of none.
    pub(super) fn of(number: u32) -> Self {
        Self::ALL.get(number as usize).map_or(Self::Line, |(measured, _)| *measured)
    }

    /// Its number.
    pub(super) fn number(self) -> u32 {
        Self::ALL.iter().position(|(measured, _)| *measured == self).unwrap_or_default() as u32
    }

    /// Its words.
    pub fn words(self) -> &'static str {
        Self::ALL[self.number() as usize].1
    }

    /// The next one, round and round.
    #[must_use]
    pub fn next(self) -> Self {
        Self::of((self.number() + 1) % Self::ALL.len() as u32)
    }
}

/// Places of the taps that a bench uses, in the order of the line: what is sent, what comes back.
const SENT: usize = 0;
const RETURNED: usize = TAPS.len() - 1;

impl Taps {
    /// What is measured from now on; a change is a run of its own, and begins in silence.
    /// `[audio thread]`
    pub fn measured(&mut self) -> Measured {
        let wanted = self.meters.measured();
        if wanted != self.measured {
            self.measured = wanted;
            self.feed.silence();
            self.next_run();
        }
        wanted
    }

    /// Takes what arrives and puts what goes out in its place: the test signal for a device,
    /// silence for a radio. True while anything sounds. `[audio thread]`
    pub fn exchange(&mut self, block: &mut [&mut [f32]]) -> bool {
        let frames = block.first().map_or(0, |channel| channel.len());
        let mut sounds = false;
        for from in (0..frames).step_by(MOST_FRAMES) {
            let to = frames.min(from + MOST_FRAMES);
            sounds = self.exchange_stretch(block, from, to);
        }
        sounds
    }

    fn exchange_stretch(&mut self, block: &mut [&mut [f32]], from: usize, to: usize) -> bool {
        let Self { stretch, feed, .. } = self;
        let is_device = self.measured == Measured::Device;
        let arrives = if is_device { RETURNED } else { SENT };
        let mut over = 0;
        for (frame, at) in stretch.iter_mut().zip(from..to) {
            *frame = SILENCE;
            copy(frame, arrives, block, at);
            over += usize::from(frame.taps[arrives].iter().any(|x| x.abs() > 1.0));
        }
        block.iter_mut().for_each(|channel| channel[from..to].fill(0.0));
        let sounds = match block {
            [left, right] if is_device => {
                feed.fill(&mut [&mut left[from..to], &mut right[from..to]])
            }
            [only] if is_device => feed.fill(&mut [&mut only[from..to]]),
            _ => false,
        };
        if is_device {
            for (frame, at) in stretch.iter_mut().zip(from..to) {
                copy(frame, SENT, block, at);
            }
        }
        self.count_over(over);
        if self.watched {
            self.send(to - from);
        }
        sounds
    }
}

/// Copies a moment of a block into a frame; what is no sound is silence.
fn copy(frame: &mut Frame, tap: usize, block: &[&mut [f32]], at: usize) {
    for (side, channel) in block.iter().take(2).enumerate() {
        let x = channel[at];
        frame.taps[tap][side] = if x.abs() <= FAULT { x.into() } else { 0.0 };
    }
}

impl super::Meters {
    /// What is measured from the next block on.
    pub fn measure(&self, what: Measured) {
        self.measured.store(what.number(), Ordering::Relaxed);
    }

    /// What is measured.
    pub fn measured(&self) -> Measured {
        Measured::of(self.measured.load(Ordering::Relaxed))
    }
}
