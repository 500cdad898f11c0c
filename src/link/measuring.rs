//! Measuring mode: a test signal in place of the input, started by a hand in
//! the window and by nothing else.
//!
//! It is no setting and is never saved. A signal is made on the window's side,
//! travels to the audio thread in a box, and comes back to be thrown away. It
//! fades in from silence, is no louder than [`MOST_DBFS`] unless unlocked, and
//! ends by itself: long low tones heat a driver (common practice, no source).

use crate::signal::track::layout::Form;
use crate::signal::track::{LEVEL_STEP_DB, LEVEL_STEPS, Track};
use crate::signal::{Kick, Kind, Pink, Source, Sweep, Tone};
use atomic_float::AtomicF32;
use rtrb::{Consumer, Producer, RingBuffer};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Highest level without the unlock, dBFS by AES17: peak for tones, sweep and
/// kick, r.m.s. for noise.
pub const MOST_DBFS: f64 = -12.0;

/// Time in which a signal rises from silence, in seconds.
const FADE_IN_S: f64 = 0.3;

/// Time in which it falls at its end, in seconds.
const FADE_OUT_S: f64 = 0.1;

/// Time in which the input gives way and comes back, in seconds.
const GIVE_WAY_S: f32 = 0.02;

/// A tone below this heats without being heard, Hz.
const LOW_HZ: f64 = 40.0;

/// How long such a tone may sound, and any other signal, in seconds.
const LAST_S: [f64; 2] = [10.0, 120.0];

/// Orders, and boxes on their way back, at most.
const ORDERS: usize = 16;

/// A test signal to choose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Test {
    /// A sine of this frequency in Hz.
    Tone(f64),
    /// Sines of these frequencies in Hz at once; none where 0 stands. The level is that of their sum.
    Tones([f64; 3]),
    /// Pink noise, periodic in 2 s.
    Pink,
    /// A sweep from 10 Hz to 1 kHz in 10 s.
    Sweep,
    /// A drum stroke twice a second.
    Kick,
    /// The measuring track, which tells its own level: one of its four steps.
    Track(Form),
}

/// Highest peak of the track at its normal level, dBFS: that of its loudest tones.
const TRACK_DBFS: f64 = -1.0;

/// How many steps the track is lowered to be no louder than a level in dBFS, where it can.
fn steps(wanted_dbfs: f64) -> u8 {
    let steps = ((TRACK_DBFS - wanted_dbfs) / LEVEL_STEP_DB).ceil();
    steps.clamp(0.0, f64::from(LEVEL_STEPS - 1)) as u8
}

/// What sounds: a signal of one channel, or the track's frames from the first.
enum Playing {
    Signal(Source),
    /// Its length stands beside it: counting it would allocate.
    Track {
        track: Track,
        at: usize,
        length: usize,
    },
}

impl Playing {
    fn length(&self) -> u64 {
        match self {
            Self::Signal(source) => source.length_samples().unwrap_or(0),
            Self::Track { length, .. } => *length as u64,
        }
    }

    /// The next sample of the left and of the right channel; silence after the end.
    fn next(&mut self) -> [f32; 2] {
        match self {
            Self::Signal(source) => [source.next().unwrap_or(0.0) as f32; 2],
            Self::Track { track, at, length } if *at < *length => {
                *at += 1;
                track.frame(*at - 1).map(|x| x as f32)
            }
            Self::Track { .. } => [0.0; 2],
        }
    }
}

impl Test {
    /// The level that it has when `wanted_dbfs` is asked for, in dBFS: the track has four, of
    /// which the nearest below is taken or else the softest.
    pub fn level_dbfs(self, wanted_dbfs: f64) -> f64 {
        match self {
            Test::Track(_) => TRACK_DBFS - LEVEL_STEP_DB * f64::from(steps(wanted_dbfs)),
            _ => wanted_dbfs,
        }
    }

    fn playing(self, level_dbfs: f64, sample_rate_hz: f64) -> Result<Playing, String> {
        if let Test::Track(form) = self {
            let track = Track::new(form, steps(level_dbfs), sample_rate_hz);
            let length = track.samples();
            return Ok(Playing::Track { track, at: 0, length });
        }
        let source = Source::new(&self.kind(level_dbfs), sample_rate_hz, 1)?
            .lasting(self.lasts_s())
            .fading(FADE_IN_S, FADE_OUT_S);
        Ok(Playing::Signal(source))
    }

    fn kind(self, level_dbfs: f64) -> Kind {
        match self {
            Test::Track(_) => Kind::Silence,
            Test::Tone(hz) => Kind::Tone(Tone { hz, level_dbfs, ..Tone::default() }),
            Test::Tones(_) => {
                let count = self.sounding_hz().count().max(1) as f64;
                let level_dbfs = level_dbfs - 20.0 * count.log10();
                let tone = |hz| Tone { hz, level_dbfs, ..Tone::default() };
                Kind::Tones(self.sounding_hz().map(tone).collect())
            }
            Test::Pink => Kind::Pink(Pink { level_dbfs, ..Pink::default() }),
            Test::Sweep => Kind::Sweep(Sweep { level_dbfs, ..Sweep::default() }),
            Test::Kick => Kind::Kick(Kick { level_dbfs, every_s: Some(0.5), ..Kick::default() }),
        }
    }

    /// How long it sounds at most, in seconds.
    pub fn lasts_s(self) -> f64 {
        if let Test::Track(form) = self {
            return form.seconds();
        }
        match self.sounding_hz().any(|hz| hz < LOW_HZ) {
            true => LAST_S[0],
            false => LAST_S[1],
        }
    }

    /// The frequencies of its sines, in Hz.
    pub fn sounding_hz(self) -> impl Iterator<Item = f64> {
        let all = match self {
            Test::Tone(hz) => [hz, 0.0, 0.0],
            Test::Tones(all) => all,
            Test::Pink | Test::Sweep | Test::Kick | Test::Track(_) => [0.0; 3],
        };
        all.into_iter().filter(|hz| *hz > 0.0)
    }
}

/// What both ends can read.
#[derive(Default)]
struct Status {
    sounding: AtomicBool,
    left_s: AtomicF32,
}

enum Order {
    Play(Box<Playing>),
    Stop,
}

/// The window's end: starts and stops.
pub struct Remote {
    status: Arc<Status>,
    orders: Producer<Order>,
    spent: Consumer<Box<Playing>>,
    unlocked: bool,
}

/// The audio thread's end: puts the signal in place of the input.
pub struct Feed {
    status: Arc<Status>,
    orders: Consumer<Order>,
    spent: Producer<Box<Playing>>,
    playing: Option<Box<Playing>>,
    /// Samples that are left to play.
    left: u64,
    /// Share of the input that has given way, 0..1, and its step a sample.
    given_way: f32,
    step: f32,
    sample_rate_hz: f32,
}

/// Makes both ends together, off the audio thread.
pub(super) fn connect() -> (Feed, Remote) {
    let status = Arc::new(Status::default());
    let (orders_in, orders) = RingBuffer::new(ORDERS);
    // Every order brings back one box at most, and one is playing.
    let (spent, spent_out) = RingBuffer::new(ORDERS + 1);
    let feed = Feed {
        status: status.clone(),
        orders,
        spent,
        playing: None,
        left: 0,
        given_way: 0.0,
        step: 0.0,
        sample_rate_hz: 48_000.0,
    };
    (feed, Remote { status, orders: orders_in, spent: spent_out, unlocked: false })
}

impl Remote {
    /// Starts a signal at a level, the lower of the two when it is locked;
    /// returns the level it will have.
    ///
    /// # Errors
    /// One sentence when there can be no such signal at this sample rate.
    pub fn start(
        &mut self,
        test: Test,
        level_dbfs: f64,
        sample_rate_hz: f64,
    ) -> Result<f64, String> {
        self.tidy();
        let most = if self.unlocked { 0.0 } else { MOST_DBFS };
        let level_dbfs = level_dbfs.min(most);
        let playing = test.playing(level_dbfs, sample_rate_hz)?;
        let order = Order::Play(Box::new(playing));
        self.orders
            .push(order)
            .map_err(|_| "The host has stopped: nothing can sound.".to_owned())?;
        Ok(test.level_dbfs(level_dbfs))
    }

    /// Silence, in a moment.
    pub fn stop(&mut self) {
        self.tidy();
        // A full ring is one that nobody reads: nothing sounds then.
        let _ = self.orders.push(Order::Stop);
    }

    /// Whether a signal sounds.
    pub fn sounding(&self) -> bool {
        self.status.sounding.load(Ordering::Relaxed)
    }

    /// Seconds until it ends by itself.
    pub fn left_s(&self) -> f32 {
        self.status.left_s.load(Ordering::Relaxed)
    }

    /// Allows levels above [`MOST_DBFS`] until the plugin is loaded again.
    pub fn unlock(&mut self) {
        self.unlocked = true;
    }

    /// Whether levels above [`MOST_DBFS`] are allowed.
    pub fn unlocked(&self) -> bool {
        self.unlocked
    }

    /// Throws away what has been played.
    pub fn tidy(&mut self) {
        while self.spent.pop().is_ok() {}
    }
}

impl Feed {
    /// For signals at this rate from now on; what sounds falls silent. Real-time safe.
    pub fn start(&mut self, sample_rate_hz: f64) {
        self.sample_rate_hz = sample_rate_hz as f32;
        self.step = 1.0 / (GIVE_WAY_S * self.sample_rate_hz).max(1.0);
        self.silence();
    }

    /// Silence at once, and no order that still waits is followed. `[audio thread]`
    pub fn silence(&mut self) {
        while let Ok(order) = self.orders.pop() {
            if let Order::Play(source) = order {
                self.give_back(source);
            }
        }
        if let Some(source) = self.playing.take() {
            self.give_back(source);
        }
        self.given_way = 0.0;
        self.left = 0;
        self.tell();
    }

    /// Puts what sounds in place of the input; true while anything sounds.
    /// One slice a channel, all of one length. `[audio thread]`
    pub fn fill(&mut self, block: &mut [&mut [f32]]) -> bool {
        while let Ok(order) = self.orders.pop() {
            self.follow(order);
        }
        if self.playing.is_none() {
            return false;
        }
        for at in 0..block.first().map_or(0, |channel| channel.len()) {
            let samples = self.next();
            for (side, channel) in block.iter_mut().enumerate() {
                let sample = samples[side.min(1)];
                channel[at] = channel[at] * (1.0 - self.given_way) + sample * self.given_way;
            }
        }
        if self.given_way == 0.0 && self.left == 0 {
            self.silence();
        }
        self.tell();
        self.playing.is_some()
    }

    fn follow(&mut self, order: Order) {
        match order {
            Order::Stop => self.left = 0,
            Order::Play(source) => {
                if let Some(old) = self.playing.take() {
                    self.give_back(old);
                }
                self.left = source.length();
                self.playing = Some(source);
            }
        }
    }

    /// The signal's next sample; the input gives way while there are more.
    fn next(&mut self) -> [f32; 2] {
        let towards = if self.left > 0 { self.step } else { -self.step };
        self.given_way = (self.given_way + towards).clamp(0.0, 1.0);
        self.left = self.left.saturating_sub(1);
        self.playing.as_mut().map_or([0.0; 2], |playing| playing.next())
    }

    fn give_back(&mut self, source: Box<Playing>) {
        if let Err(rtrb::PushError::Full(source)) = self.spent.push(source) {
            // Cannot be: the ring holds more than there are boxes. A leak is
            // safe on the audio thread, freeing is not.
            std::mem::forget(source);
        }
    }

    fn tell(&self) {
        self.status.sounding.store(self.playing.is_some(), Ordering::Relaxed);
        let left_s = self.left as f32 / self.sample_rate_hz;
        self.status.left_s.store(left_s, Ordering::Relaxed);
    }
}
