//! Measures what sounds, in a thread of its own, while the window is open.
//!
//! Drawing never waits for an analysis: the window takes the latest readings when
//! there are new ones. While the window is closed there is no thread and no work.

use crate::editor::files::take_files::StepShelf;
use crate::editor::measuring::work::{News, Shared, Watch, Work, lock};
use crate::editor::model::averaging::Span;
use crate::editor::model::bench::Heard;
use crate::measure::Ask;
use crate::settings::Settings;
use crate::takes::Outcome;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::thread::{self, JoinHandle};
use std::time::Duration;

/// Time between two looks into the ring: far less than it holds.
const LOOK: Duration = Duration::from_millis(25);

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

    /// What is new since the last call.
    pub fn take(&self) -> Option<News> {
        lock(&self.shared.latest).take()
    }
}

impl Drop for AnalyserThread {
    fn drop(&mut self) {
        self.end();
    }
}

/// Hears and measures until it is told to stop, or the window that was open is so no more: the
/// framework does not say when one is closed.
fn work(shared: &Shared, watch: Watch, ask: (Ask, Span)) -> Watch {
    let mut work = Work::new(watch, ask);
    let mut was_open = false;
    while !shared.stop.load(Ordering::Relaxed) {
        let is_open = work.is_open();
        if was_open && !is_open {
            break;
        }
        was_open = is_open;
        work.follow(shared);
        work.hear(shared);
        thread::sleep(LOOK);
    }
    work.end()
}
