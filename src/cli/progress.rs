//! How far a long run is, on a terminal only.

use std::sync::atomic::Ordering;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

use super::QUIET;

/// A bar on standard error; nothing when that is not a terminal. It goes away
/// when it is dropped.
pub(super) struct Progress(ProgressBar);

impl Progress {
    /// A bar for so many frames, or a count of them when their number is not known.
    pub(super) fn new(doing: &'static str, frames: Option<u64>) -> Self {
        if QUIET.load(Ordering::Relaxed) {
            return Self(ProgressBar::hidden());
        }
        let bar = frames.map_or_else(ProgressBar::no_length, ProgressBar::new);
        let template = match frames {
            Some(_) => "{msg} {bar:40} {percent:>3} %, {eta} left",
            None => "{msg} {spinner} {elapsed}",
        };
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style);
        }
        bar.set_message(doing);
        bar.enable_steady_tick(Duration::from_millis(200));
        Self(bar)
    }

    /// So many frames more are done.
    pub(super) fn advance(&self, frames: usize) {
        self.0.inc(frames as u64);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}
