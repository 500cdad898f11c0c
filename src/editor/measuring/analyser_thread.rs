//! Measures what sounds, in a thread of its own, while the window is open.
//!
//! Drawing never waits for an analysis: the window takes the latest readings when
//! there are new ones. While the window is closed there is no thread and no work.

use crate::editor::measuring::live::Live;
use crate::editor::measuring::loudness_match::LoudnessMatch;
use crate::editor::measuring::rolling::Rolling;
use crate::editor::model::averaging::Span;
use crate::editor::model::now::Now;
use crate::link::TapReceiver;
use crate::measure::{Ask, Readings};
use crate::path::{Listen, Tap};
use crate::settings::Settings;
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
}

/// Sound goes to the meters, to what shows it now and, while two settings are compared, to these.
struct All<'a>(&'a mut Rolling, &'a mut Live, Option<&'a mut LoudnessMatch>);

impl Listen for All<'_> {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        self.0.hear(tap, channels);
        self.1.hear(tap, channels);
        if let Some(twin) = &mut self.2 {
            twin.hear(tap, channels);
        }
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
        }
    }

    /// Begins to measure.
    pub fn begin(&mut self, ask: Ask) {
        self.end();
        self.ask = ask;
        let Some(mut watch) = self.watch.take() else { return };
        watch.receiver.discard();
        self.shared = Arc::default();
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
fn work(shared: &Shared, mut watch: Watch, mut ask: (Ask, Span)) -> Watch {
    let mut measuring: Option<(Rolling, Live)> = None;
    let mut twin: Option<LoudnessMatch> = None;
    let mut waiting = 0;
    let mut silent = 0;
    let mut seen = (watch.look)();
    while !shared.stop.load(Ordering::Relaxed) {
        let asked = lock(&shared.ask).take();
        let is_asked = asked.is_some();
        ask = asked.unwrap_or(ask);
        let now = (watch.look)();
        if now != seen {
            seen = now;
            (watch.wake)();
        }
        let run =
            watch.receiver.fresh().or(measuring.as_ref().filter(|_| is_asked).map(|old| old.0.run));
        if let Some(run) = run {
            let live = measuring.take().map(|old| old.1);
            let live = live.filter(|live| live.sample_rate_hz() == run.sample_rate_hz);
            let live = live.unwrap_or_else(|| Live::new(run.sample_rate_hz));
            measuring = Some((Rolling::new(run, ask.0, ask.1), live));
            (waiting, silent) = (0, 0);
        }
        let Some((rolling, live)) = &mut measuring else {
            thread::sleep(LOOK);
            continue;
        };
        if let Some(settings) = lock(&shared.twin).take() {
            let run = rolling.run;
            twin = Some(LoudnessMatch::new(run.sample_rate_hz, run.channels, settings));
        }
        let heard = watch.receiver.drain(&mut All(rolling, live, twin.as_mut()));
        rolling.pass(heard);
        waiting += heard;
        if let Some(levels) = twin.as_ref().and_then(LoudnessMatch::levels_db) {
            *lock(&shared.levels_db) = Some(levels);
            (watch.wake)();
            twin = None;
        }
        if waiting as f64 >= EVERY_S * rolling.run.sample_rate_hz {
            waiting = 0;
            let now = live.now();
            silent = if is_silent(&now) { silent + 1 } else { 0 };
            // Once silence was shown there is nothing more to see of it.
            if silent <= SILENT_READINGS {
                *lock(&shared.latest) = rolling.reading().map(|readings| (readings, now));
                (watch.wake)();
            }
        }
        thread::sleep(LOOK);
    }
    watch
}
