//! Measures what sounds, in a thread of its own, while the window is open.
//!
//! Drawing never waits for an analysis: the window takes the latest readings when
//! there are new ones. While the window is closed there is no thread and no work.

use crate::editor::files::take_files::StepShelf;
use crate::editor::measuring::ear::Ear;
use crate::editor::measuring::live::Live;
use crate::editor::measuring::loudness_match::LoudnessMatch;
use crate::editor::measuring::patch::Patch;
use crate::editor::measuring::rolling::Rolling;
use crate::editor::model::averaging::Span;
use crate::editor::model::bench::Heard;
use crate::editor::model::now::Now;
use crate::link::TapReceiver;
use crate::link::bench::Measured;
use crate::measure::{Ask, Readings};
use crate::path::{Listen, Tap};
use crate::settings::Settings;
use crate::takes::Outcome;
use crate::units::SILENCE_DB;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::Duration;

/// Time between two looks into the ring: far less than it holds.
const LOOK: Duration = Duration::from_millis(25);

/// Seconds of sound between two readings.
const EVERY_S: f64 = 0.25;

/// Readings of silence that are shown: two seconds.
const SILENT_READINGS: usize = 8;

/// True where neither end hears anything, nor has in the seconds before.
fn is_silent(now: &Now) -> bool {
    now.before.peak_dbfs.max(now.after.peak_dbfs) <= SILENCE_DB
}

/// What both threads see.
#[derive(Default)]
struct Shared {
    stop: AtomicBool,
    /// What is asked from now on, when that changed.
    ask: Mutex<Option<(Ask, Span)>>,
    latest: Mutex<Option<(Readings, Now)>>,
    /// Two settings whose loudness is asked for, and the answer.
    twin: Mutex<Option<[Settings; 2]>>,
    levels_db: Mutex<Option<[f64; 2]>>,
    /// Where takes of a radio are put, when that changed; what is heard of it, and what became of
    /// its takes.
    shelf: Mutex<Option<StepShelf>>,
    heard: Mutex<(Option<Heard>, Vec<Outcome>)>,
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
fn lock<T>(shared: &Mutex<T>) -> MutexGuard<'_, T> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What the thread works with; it comes back when the thread ends.
pub struct Watch {
    /// What sounds.
    pub receiver: TapReceiver,
    /// A number that changes when the window must be drawn again though nothing was measured.
    pub look: Box<dyn FnMut() -> u64 + Send>,
    /// Lets the window be drawn.
    pub wake: Box<dyn Fn() + Send>,
}

/// The measuring thread, or what it will work with.
pub struct AnalyserThread {
    shared: Arc<Shared>,
    watch: Option<Watch>,
    thread: Option<JoinHandle<Watch>>,
    ask: Ask,
    span: Span,
    shelf: Option<StepShelf>,
}

impl AnalyserThread {
    /// An analyst at rest.
    pub fn new(watch: Watch) -> Self {
        Self {
            shared: Arc::default(),
            watch: Some(watch),
            thread: None,
            ask: Ask::default(),
            span: Span::Whole,
            shelf: None,
        }
    }

    /// Begins to measure.
    pub fn begin(&mut self, ask: Ask) {
        self.end();
        self.ask = ask;
        let Some(mut watch) = self.watch.take() else { return };
        watch.receiver.discard();
        self.shared = Arc::default();
        *lock(&self.shared.shelf) = self.shelf.clone();
        let (shared, ask) = (self.shared.clone(), (self.ask, self.span));
        self.thread = Some(thread::spawn(move || work(&shared, watch, ask)));
    }

    /// Ends the thread; nothing is measured any more.
    pub fn end(&mut self) {
        self.shared.stop.store(true, Ordering::Relaxed);
        let Some(thread) = self.thread.take() else { return };
        // A thread that panicked has lost it: the window goes on without readings.
        self.watch = thread.join().ok();
    }

    /// Starts measuring afresh, asking for something else from now on.
    pub fn ask(&mut self, ask: Ask) {
        self.ask = ask;
        *lock(&self.shared.ask) = Some((ask, self.span));
    }

    /// Averages over another time from now on, afresh.
    pub fn average(&mut self, span: Span) {
        self.span = span;
        self.restart();
    }

    /// Starts measuring afresh.
    pub fn restart(&mut self) {
        self.ask(self.ask);
    }

    /// Asks how loud two settings make what arrives from now on.
    pub fn compare(&self, settings: [Settings; 2]) {
        *lock(&self.shared.twin) = Some(settings);
    }

    /// How loud they made it, in dB of one scale, once that is known.
    pub fn compared(&self) -> Option<[f64; 2]> {
        lock(&self.shared.levels_db).take()
    }

    /// Where takes of a radio are put from now on.
    pub fn keep_takes_in(&mut self, shelf: StepShelf) {
        self.shelf = Some(shelf.clone());
        *lock(&self.shared.shelf) = Some(shelf);
    }

    /// What is heard of a radio, and what became of its takes since the last call.
    pub fn heard(&self) -> (Option<Heard>, Vec<Outcome>) {
        let mut heard = lock(&self.shared.heard);
        (heard.0, std::mem::take(&mut heard.1))
    }

    /// The latest readings and what sounds now, if there is something new.
    pub fn take(&self) -> Option<(Readings, Now)> {
        lock(&self.shared.latest).take()
    }
}

impl Drop for AnalyserThread {
    fn drop(&mut self) {
        self.end();
    }
}

/// Hears and measures until it is told to stop; lets the window be drawn when there is
/// something new to see, and only then.
fn work(shared: &Shared, watch: Watch, ask: (Ask, Span)) -> Watch {
    let mut work = Work::new(watch, ask);
    while !shared.stop.load(Ordering::Relaxed) {
        work.follow(shared);
        work.hear(shared);
        thread::sleep(LOOK);
    }
    work.ear.end();
    work.watch
}

/// The thread's work between two looks into the ring.
struct Work {
    watch: Watch,
    ask: (Ask, Span),
    measuring: Option<(Rolling, Live)>,
    twin: Option<LoudnessMatch>,
    ear: Ear,
    patch: Option<Patch>,
    /// Frames since the last reading, and readings of silence.
    waiting: usize,
    silent: usize,
    seen: u64,
}

impl Work {
    fn new(mut watch: Watch, ask: (Ask, Span)) -> Self {
        let seen = (watch.look)();
        Self {
            watch,
            ask,
            measuring: None,
            twin: None,
            ear: Ear::default(),
            patch: None,
            waiting: 0,
            silent: 0,
            seen,
        }
    }

    /// Follows what is asked, what the host changed, and a new run.
    fn follow(&mut self, shared: &Shared) {
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
            let live = self.measuring.take().map(|old| old.1);
            let live = live.filter(|live| live.sample_rate_hz() == run.sample_rate_hz);
            let live = live.unwrap_or_else(|| Live::new(run.sample_rate_hz));
            self.measuring = Some((Rolling::new(run, self.ask.0, self.ask.1), live));
            (self.waiting, self.silent) = (0, 0);
        }
        if let Some((rolling, _)) = &self.measuring
            && let Some(settings) = lock(&shared.twin).take()
        {
            let run = rolling.run;
            self.twin = Some(LoudnessMatch::new(run.sample_rate_hz, run.channels, settings));
        }
    }

    /// Hears what has arrived, and tells what is new.
    fn hear(&mut self, shared: &Shared) {
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
            *rolling = Rolling::new(rolling.run, self.ask.0, self.ask.1);
        }
        rolling.pass(heard);
        self.waiting += heard;
        if let Some(levels) = self.twin.as_ref().and_then(LoudnessMatch::levels_db) {
            *lock(&shared.levels_db) = Some(levels);
            (self.watch.wake)();
            self.twin = None;
        }
        let outcomes = self.ear.outcomes();
        if !outcomes.is_empty() {
            lock(&shared.heard).1.extend(outcomes);
            (self.watch.wake)();
        }
        if self.waiting as f64 >= EVERY_S * rolling.run.sample_rate_hz {
            self.waiting = 0;
            self.tell(shared);
        }
    }

    /// Hands out a reading, and what is heard at the bench.
    fn tell(&mut self, shared: &Shared) {
        let Some((rolling, live)) = &mut self.measuring else { return };
        let returned = self.patch.as_ref().map(Patch::returned);
        lock(&shared.heard).0 = self.ear.heard().map(|heard| Heard { returned, ..heard });
        let now = live.now();
        self.silent = if is_silent(&now) { self.silent + 1 } else { 0 };
        // Once silence was shown there is nothing more to see of it.
        if self.silent <= SILENT_READINGS {
            *lock(&shared.latest) = rolling.reading().map(|readings| (readings, now));
            (self.watch.wake)();
        }
    }
}
