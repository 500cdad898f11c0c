//! What the analyser's thread does between two looks into the ring: it hears, and hands out what is new.

use crate::editor::files::take_files::StepShelf;
use crate::editor::measuring::ear::Ear;
use crate::editor::measuring::live::Live;
use crate::editor::measuring::loudness_match::LoudnessMatch;
use crate::editor::measuring::patch::Patch;
use crate::editor::measuring::rolling::Rolling;
use crate::editor::model::averaging::Span;
use crate::editor::model::bench::Heard;
use crate::editor::model::now::Now;
use crate::link::bench::Measured;
use crate::link::{Run, TapReceiver};
use crate::measure::{Ask, Readings};
use crate::path::{Listen, Tap};
use crate::settings::Settings;
use crate::takes::Outcome;
use crate::units::SILENCE_DB;
use std::sync::atomic::AtomicBool;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Seconds of sound between two looks at what sounds now: ten and more in a second.
const NOW_S: f64 = 0.08;

/// Seconds of sound between two readings of the averages. Until their first block is full every
/// look reads them; later a block is added once a second.
const READING_S: f64 = 0.25;

/// Length of that block, in seconds.
const BLOCK_S: f64 = 2.0;

/// Silence that is shown, in seconds.
const SILENCE_S: f64 = 2.0;

/// True where neither end hears anything, nor has in the seconds before.
fn is_silent(now: &Now) -> bool {
    now.before.peak_dbfs.max(now.after.peak_dbfs) <= SILENCE_DB
}

/// The averages.
pub struct Averages {
    /// What was read.
    pub readings: Readings,
    /// The settings with which they were heard; the latest of them where there were several.
    pub settings: Settings,
    /// Whether there were several.
    pub is_mixed: bool,
}

/// What is new.
pub struct News {
    /// The averages, where they were read.
    pub averages: Option<Averages>,
    /// What sounds now.
    pub now: Now,
}

/// What both threads see.
#[derive(Default)]
pub(super) struct Shared {
    pub(super) stop: AtomicBool,
    /// What is asked from now on, when that changed.
    pub(super) ask: Mutex<Option<(Ask, Span)>>,
    pub(super) latest: Mutex<Option<News>>,
    /// Two settings whose loudness is asked for, and the answer.
    pub(super) twin: Mutex<Option<[Settings; 2]>>,
    pub(super) levels_db: Mutex<Option<[f64; 2]>>,
    /// Where takes of a radio are put, when that changed; what is heard of it, and what became of
    /// its takes.
    pub(super) shelf: Mutex<Option<StepShelf>>,
    pub(super) heard: Mutex<(Option<Heard>, Vec<Outcome>)>,
}

/// Sound goes to the meters, to what shows it now, to the ear for a radio and, while two settings are
/// compared, to these.
struct All<'a> {
    rolling: &'a mut Rolling,
    live: &'a mut Live,
    ear: &'a mut Ear,
    twin: Option<&'a mut LoudnessMatch>,
    /// Aligns both ends of a device.
    patch: Option<&'a mut Patch>,
    /// Whether the delay of the device became another.
    is_moved: bool,
}

impl Listen for All<'_> {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        self.ear.hear(tap, channels);
        if let Some(twin) = &mut self.twin {
            twin.hear(tap, channels);
        }
        let mut both = Both(self.rolling, self.live);
        match &mut self.patch {
            Some(patch) => self.is_moved |= patch.hear(tap, channels, &mut both),
            None => both.hear(tap, channels),
        }
    }
}

/// What is shown: the averages and what sounds now.
struct Both<'a>(&'a mut Rolling, &'a mut Live);

impl Listen for Both<'_> {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        self.0.hear(tap, channels);
        self.1.hear(tap, channels);
    }
}

/// What both threads see is whole even when one of them ended in a panic.
pub(super) fn lock<T>(shared: &Mutex<T>) -> MutexGuard<'_, T> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What the thread works with; it comes back when the thread ends.
pub struct Watch {
    /// What sounds.
    pub receiver: TapReceiver,
    /// A number that changes when the window must be drawn again though nothing was measured.
    pub look: Box<dyn FnMut() -> u64 + Send>,
    /// Whether the window is open; it is told to be a little after the thread has begun.
    pub is_open: Box<dyn Fn() -> bool + Send>,
    /// What is set now.
    pub settings: Box<dyn Fn() -> Settings + Send>,
    /// Lets the window be drawn.
    pub wake: Box<dyn Fn() + Send>,
}

/// The thread's work between two looks into the ring.
pub(super) struct Work {
    watch: Watch,
    ask: (Ask, Span),
    measuring: Option<(Rolling, Live)>,
    twin: Option<LoudnessMatch>,
    ear: Ear,
    patch: Option<Patch>,
    /// The settings with which the averages are heard.
    settings: Settings,
    /// The tone that was read last.
    tone_hz: Option<f64>,
    /// Frames since the last look at what sounds now, since the last reading, and of silence.
    waiting: usize,
    unread: usize,
    silent: usize,
    seen: u64,
}

impl Work {
    /// Work that begins.
    pub(super) fn new(mut watch: Watch, ask: (Ask, Span)) -> Self {
        let seen = (watch.look)();
        Self {
            settings: (watch.settings)(),
            watch,
            ask,
            measuring: None,
            twin: None,
            ear: Ear::default(),
            patch: None,
            tone_hz: None,
            waiting: 0,
            unread: 0,
            silent: 0,
            seen,
        }
    }

    /// Whether the window is open.
    pub(super) fn is_open(&self) -> bool {
        (self.watch.is_open)()
    }

    /// Ends; what it worked with.
    pub(super) fn end(mut self) -> Watch {
        self.ear.end();
        self.watch
    }

    /// Follows what is asked, what the host changed, and a new run.
    pub(super) fn follow(&mut self, shared: &Shared) {
        let asked = lock(&shared.ask).take();
        let is_asked = asked.is_some();
        self.ask = asked.unwrap_or(self.ask);
        let now = (self.watch.look)();
        if now != self.seen {
            self.seen = now;
            (self.watch.wake)();
        }
        if let Some(shelf) = lock(&shared.shelf).take() {
            self.ear.shelf = shelf;
        }
        let fresh = self.watch.receiver.fresh();
        if let Some(run) = fresh {
            self.ear.begin(run);
            let is_device = run.measured == Measured::Device;
            self.patch = is_device.then(|| Patch::new(run.sample_rate_hz));
        }
        let again = self.measuring.as_ref().filter(|_| is_asked).map(|old| old.0.run);
        if let Some(run) = fresh.or(again) {
            self.begin(run);
        }
        if let Some((rolling, _)) = &self.measuring
            && let Some(settings) = lock(&shared.twin).take()
        {
            let run = rolling.run;
            self.twin = Some(LoudnessMatch::new(run.sample_rate_hz, run.channels, settings));
        }
    }

    /// Measures a run afresh; what sounded last in one of its kind is still the latest.
    fn begin(&mut self, run: Run) {
        let live = self.measuring.take().filter(|(rolling, _)| rolling.run == run);
        let live = live.map_or_else(|| Live::new(run.sample_rate_hz), |(_, live)| live);
        self.measuring = Some((Rolling::new(run, self.ask.0, self.ask.1), live));
        (self.tone_hz, self.settings) = (self.ask.0.tone_hz, (self.watch.settings)());
        (self.waiting, self.unread, self.silent) = (0, 0, 0);
    }

    /// Hears what has arrived, and tells what is new.
    pub(super) fn hear(&mut self, shared: &Shared) {
        loop {
            self.hear_one_setting(shared);
            if !self.watch.receiver.is_changed() {
                break;
            }
            self.settings = (self.watch.settings)();
            if let Some((rolling, live)) = &mut self.measuring
                && rolling.run.measured == Measured::Line
            {
                rolling.change();
                live.change();
            }
        }
        let outcomes = self.ear.outcomes();
        if !outcomes.is_empty() {
            lock(&shared.heard).1.extend(outcomes);
            (self.watch.wake)();
        }
        let rate_hz = self.measuring.as_ref().map(|(rolling, _)| rolling.run.sample_rate_hz);
        if rate_hz.is_some_and(|rate_hz| self.waiting as f64 >= NOW_S * rate_hz) {
            self.tell(shared);
            self.waiting = 0;
        }
    }

    /// Hears what has arrived up to the next change of the settings.
    fn hear_one_setting(&mut self, shared: &Shared) {
        let Some((rolling, live)) = &mut self.measuring else { return };
        let mut all = All {
            rolling,
            live,
            ear: &mut self.ear,
            twin: self.twin.as_mut(),
            patch: self.patch.as_mut(),
            is_moved: false,
        };
        let heard = self.watch.receiver.drain(&mut all);
        if all.is_moved {
            // What was laid side by side before was not of one moment.
            rolling.start();
        }
        rolling.pass(heard);
        self.waiting += heard;
        self.unread += heard;
        if let Some(levels) = self.twin.as_ref().and_then(LoudnessMatch::levels_db) {
            *lock(&shared.levels_db) = Some(levels);
            (self.watch.wake)();
            self.twin = None;
        }
    }

    /// Hands out what sounds now, a reading where one is due, and what is heard at the bench.
    fn tell(&mut self, shared: &Shared) {
        let Some((rolling, live)) = &mut self.measuring else { return };
        let returned = self.patch.as_ref().map(Patch::returned);
        lock(&shared.heard).0 = self.ear.heard().map(|heard| Heard { returned, ..heard });
        let rate_hz = rolling.run.sample_rate_hz;
        let now = live.now(self.tone_hz);
        self.silent = if is_silent(&now) { self.silent + self.waiting } else { 0 };
        // Once silence was shown there is nothing more to see of it.
        if self.silent as f64 > SILENCE_S * rate_hz {
            return;
        }
        let is_filling = rolling.heard_s() < self.ask.0.skip_s + BLOCK_S;
        let is_due = is_filling || self.unread as f64 >= READING_S * rate_hz;
        let read = if is_due { rolling.reading() } else { None };
        if let Some(readings) = &read {
            self.unread = 0;
            let lines = readings.before.partials.as_ref();
            self.tone_hz = self.ask.0.tone_hz.or(lines.map(|lines| lines.tone_hz));
        }
        let (settings, is_mixed) = (self.settings, rolling.is_mixed());
        let averages = read.map(|readings| Averages { readings, settings, is_mixed });
        let mut latest = lock(&shared.latest);
        let unseen = latest.take().and_then(|news| news.averages);
        *latest = Some(News { averages: averages.or(unseen), now });
        drop(latest);
        (self.watch.wake)();
    }
}
