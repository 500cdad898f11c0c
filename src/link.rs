//! Between the audio thread and the window; the test signal's way there and
//! back is `measuring`. No other code is shared by those two threads.
//!
//! The audio thread writes what it hears at every tap into a ring and its
//! latches into atomics; the window drains the ring into the same analysers the
//! program uses. Nobody waits: a full ring loses sound and says so.

pub mod bench;
pub mod measuring;

use crate::path::{FAULT, Listen, MOST_FRAMES, Tap};
use atomic_float::AtomicF64;
use rtrb::{Consumer, Producer, RingBuffer};
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};

use bench::Measured;
use measuring::{Feed, Remote};

/// The taps in the order of the line.
const TAPS: [Tap; 6] = [Tap::Before, Tap::Dry, Tap::Octave, Tap::Blend, Tap::LowBand, Tap::After];

/// Frames the ring holds: 1.4 s at 48 kHz, 0.34 s at 192 kHz. Memory that is
/// never written is never used.
const RING: usize = 1 << 16;

/// One moment at every tap, both channels, the run it belongs to, and how often the settings
/// had changed by then.
#[derive(Clone, Copy)]
struct Frame {
    taps: [[f64; 2]; TAPS.len()],
    run: u32,
    changes: u32,
}

const SILENCE: Frame = Frame { taps: [[0.0; 2]; TAPS.len()], run: 0, changes: 0 };

/// Levels and latches, readable from any thread at any time.
#[derive(Default)]
pub struct Meters {
    overs: AtomicU32,
    over_frames: AtomicU64,
    lost: AtomicU64,
    sample_rate_hz: AtomicF64,
    channels: AtomicU32,
    run: AtomicU32,
    /// What is to be measured, and what the present run is of, by their numbers.
    measured: AtomicU32,
    run_measured: AtomicU32,
}

impl Meters {
    /// How often the output left full scale since the latch was cleared, in runs of samples.
    pub fn overs(&self) -> u32 {
        self.overs.load(Ordering::Relaxed)
    }

    /// How long the output was beyond full scale since the latch was cleared, in seconds; of
    /// the channel in which it was longer.
    pub fn over_s(&self) -> f64 {
        let rate_hz = self.sample_rate_hz().max(1.0);
        self.over_frames.load(Ordering::Relaxed) as f64 / rate_hz
    }

    /// Clears the clip latch.
    pub fn clear_overs(&self) {
        self.overs.store(0, Ordering::Relaxed);
        self.over_frames.store(0, Ordering::Relaxed);
    }

    /// Sample rate of the present run in Hz; 0 before the first.
    pub fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz.load(Ordering::Relaxed)
    }

    /// Frames that found the ring full since the plugin was loaded.
    pub fn lost(&self) -> u64 {
        self.lost.load(Ordering::Relaxed)
    }
}

/// The audio thread's end: a listener at every tap of the line.
pub struct Taps {
    /// Test signals in place of the input.
    pub feed: Feed,
    meters: Arc<Meters>,
    ring: Producer<Frame>,
    stretch: [Frame; MOST_FRAMES],
    run: u32,
    changes: u32,
    watched: bool,
    over: bool,
    measured: Measured,
}

/// The window's end.
pub struct UiEnd {
    /// Starts and stops test signals.
    pub remote: Remote,
    /// Levels and latches.
    pub meters: Arc<Meters>,
    /// What sounds at every post; a thread of its own may hear it.
    pub receiver: TapReceiver,
}

/// Hears what the audio thread sends.
pub struct TapReceiver {
    meters: Arc<Meters>,
    ring: Consumer<Frame>,
    lanes: [[[f64; MOST_FRAMES]; 2]; TAPS.len()],
    run: u32,
    /// Changes of the settings before what was heard last; none before the first frame of a run.
    changes: Option<u32>,
    is_changed: bool,
    lost: u64,
}

/// Lays the wires; both ends are made together, off the audio thread.
pub fn connect() -> (Taps, UiEnd) {
    let (producer, consumer) = RingBuffer::new(RING);
    let meters = Arc::new(Meters::default());
    let (feed, remote) = measuring::connect();
    let taps = Taps {
        feed,
        meters: meters.clone(),
        ring: producer,
        stretch: [SILENCE; MOST_FRAMES],
        run: 0,
        changes: 0,
        watched: false,
        over: false,
        measured: Measured::Line,
    };
    let lanes = [[[0.0; MOST_FRAMES]; 2]; TAPS.len()];
    let receiver = TapReceiver {
        meters: meters.clone(),
        ring: consumer,
        lanes,
        run: 0,
        changes: None,
        is_changed: false,
        lost: 0,
    };
    (taps, UiEnd { remote, meters, receiver })
}

impl Taps {
    /// Starts a run at another rate or with other channels. Real-time safe.
    pub fn start(&mut self, sample_rate_hz: f64, channels: usize) {
        self.feed.start(sample_rate_hz);
        self.meters.sample_rate_hz.store(sample_rate_hz, Ordering::Relaxed);
        self.meters.channels.store(channels as u32, Ordering::Relaxed);
        self.next_run();
    }

    /// From here on listeners start afresh.
    fn next_run(&mut self) {
        self.run = self.run.wrapping_add(1);
        self.meters.run_measured.store(self.measured.number(), Ordering::Relaxed);
        self.meters.run.store(self.run, Ordering::Release);
    }

    /// The settings are others from the next sample on. `[audio thread]`
    pub fn changed(&mut self) {
        self.changes = self.changes.wrapping_add(1);
    }

    /// Counts frames beyond full scale.
    fn count_over(&mut self, frames: usize) {
        if frames > 0 {
            self.meters.over_frames.fetch_add(frames as u64, Ordering::Relaxed);
            self.meters.overs.fetch_add(u32::from(!self.over), Ordering::Relaxed);
        }
        self.over = frames > 0;
    }

    /// Whether a window is open: without one the ring stays empty. `[audio thread]`
    pub fn watched(&mut self, watched: bool) {
        self.watched = watched;
        if !watched {
            // Nobody sees then that something else is measured, or why nothing goes out.
            self.meters.measure(Measured::Line);
        }
    }

    fn send(&mut self, frames: usize) {
        let frames = &mut self.stretch[..frames];
        for frame in &mut *frames {
            (frame.run, frame.changes) = (self.run, self.changes);
        }
        if self.ring.push_entire_slice(frames).is_err() {
            self.meters.lost.fetch_add(frames.len() as u64, Ordering::Relaxed);
        }
    }
}

impl Listen for Taps {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        if tap == Tap::After {
            let over = |samples: &&[f64]| samples.iter().filter(|s| s.abs() > 1.0).count();
            self.count_over(channels.iter().map(over).max().unwrap_or_default());
        }
        if !self.watched {
            return;
        }
        let at = TAPS.iter().position(|p| *p == tap).unwrap_or_default();
        for (side, samples) in channels.iter().take(2).enumerate() {
            for (frame, sample) in self.stretch.iter_mut().zip(*samples) {
                frame.taps[at][side] = *sample;
            }
        }
        if tap == Tap::After {
            self.send(channels.first().map_or(0, |c| c.len().min(MOST_FRAMES)));
        }
    }
}

/// What a listener must know before it hears a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Sample rate in Hz.
    pub sample_rate_hz: f64,
    /// 1 or 2.
    pub channels: usize,
    /// What is measured.
    pub measured: Measured,
}

impl TapReceiver {
    /// Throws away what lies in the ring, as when a window opens; the next run is fresh.
    pub fn discard(&mut self) {
        while let Ok(chunk) = self.ring.read_chunk(self.ring.slots()) {
            if chunk.is_empty() {
                break;
            }
            chunk.commit_all();
        }
        (self.run, self.lost) = (0, self.meters.lost());
    }

    /// The run that sounds now, if it is another than at the last call or if
    /// sound was lost since: the listener must start afresh.
    pub fn fresh(&mut self) -> Option<Run> {
        let (run, lost) = (self.meters.run.load(Ordering::Acquire), self.meters.lost());
        let sample_rate_hz = self.meters.sample_rate_hz.load(Ordering::Relaxed);
        if (run, lost) == (self.run, self.lost) || sample_rate_hz <= 0.0 {
            return None;
        }
        if lost != self.lost {
            self.discard();
        }
        (self.run, self.lost) = (run, lost);
        (self.changes, self.is_changed) = (None, false);
        let channels = self.meters.channels.load(Ordering::Relaxed) as usize;
        let measured = Measured::of(self.meters.run_measured.load(Ordering::Relaxed));
        Some(Run { sample_rate_hz, channels: channels.clamp(1, 2), measured })
    }

    /// Lets `listener` hear what arrived of the present run, up to the next change of the
    /// settings; returns how many frames that was.
    pub fn drain(&mut self, listener: &mut impl Listen) -> usize {
        let channels = self.meters.channels.load(Ordering::Relaxed).clamp(1, 2) as usize;
        let mut heard = 0;
        loop {
            let (read, n) = self.read();
            if read == 0 {
                return heard;
            }
            for (tap, lane) in TAPS.iter().zip(&self.lanes) {
                if n > 0 {
                    listener.hear(*tap, &[&lane[0][..n], &lane[1][..n]][..channels]);
                }
            }
            heard += n;
        }
    }

    /// True once where the last call of [`TapReceiver::drain`] ended at a change of the settings;
    /// what was set afterwards comes with the next call.
    pub fn is_changed(&mut self) -> bool {
        std::mem::take(&mut self.is_changed)
    }

    /// Reads frames of one setting into the lanes: how many were read, and how many are of the
    /// present run.
    fn read(&mut self) -> (usize, usize) {
        let frames = self.ring.slots().min(MOST_FRAMES);
        if self.is_changed || frames == 0 {
            return (0, 0);
        }
        let Ok(chunk) = self.ring.read_chunk(frames) else { return (0, 0) };
        let (first, second) = chunk.as_slices();
        let (mut read, mut n) = (0, 0);
        for frame in first.iter().chain(second) {
            if frame.run == self.run {
                let changes = self.changes.replace(frame.changes);
                if changes.is_some_and(|changes| changes != frame.changes) {
                    self.is_changed = true;
                    break;
                }
                for (lane, sides) in self.lanes.iter_mut().zip(&frame.taps) {
                    lane[0][n] = sides[0];
                    lane[1][n] = sides[1];
                }
                n += 1;
            }
            read += 1;
        }
        chunk.commit(read);
        (read, n)
    }
}
