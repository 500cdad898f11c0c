//! Reads captures in a thread of its own and says what they tell of a radio or of a device, as the
//! program does: the window never waits for it.

use crate::editor::files::take_files;
use crate::planning::take_reading::Purpose;
use crate::report::{Plan, Sheet};
use crate::settings::Settings;
use crate::takes::{
    Trouble, Watch, Wish, device_sheet, diagnosed, identified, next_take, read_files, tuned,
};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

/// What captures told.
pub struct Finding {
    /// The findings, as `diagnose` or `identify` says them.
    pub sheet: Sheet,
    /// Findings and proposal, as `tune` says them; `None` where nothing can be proposed.
    pub plan: Option<Plan>,
    /// Settings of the line that come nearest to a device.
    pub settings: Option<Settings>,
    /// What is worth recording next.
    pub next: String,
    /// What could not be used, or should be known, one sentence each.
    pub remarks: Vec<String>,
}

/// What both threads see.
#[derive(Default)]
struct Shared {
    stop: AtomicBool,
    /// Frames that are to be read and that were read, in all files begun.
    frames: AtomicU64,
    read: AtomicU64,
    answer: Mutex<Option<Result<Finding, String>>>,
}

/// Captures that are being read, if some are.
#[derive(Default)]
pub struct FindingThread {
    shared: Option<Arc<Shared>>,
}

impl FindingThread {
    /// Begins to read captures that lie in a folder with their track; what was being read is left.
    pub fn begin(&mut self, folder: &Path, captures: Vec<PathBuf>, purpose: Purpose) {
        self.leave();
        let shared = Arc::<Shared>::default();
        self.shared = Some(shared.clone());
        let folder = folder.to_owned();
        thread::spawn(move || {
            let answer = find(&folder, &captures, purpose, &shared);
            *shared.answer.lock().unwrap_or_else(PoisonError::into_inner) = Some(answer);
        });
    }

    /// Leaves what is being read.
    pub fn leave(&mut self) {
        if let Some(shared) = self.shared.take() {
            shared.stop.store(true, Ordering::Relaxed);
        }
    }

    /// Share of the reading that is done, 0..1, while something is read.
    pub fn progress(&self) -> Option<f64> {
        let shared = self.shared.as_ref()?;
        let [read, all] = [&shared.read, &shared.frames].map(|x| x.load(Ordering::Relaxed) as f64);
        Some((read / all.max(1.0)).clamp(0.0, 1.0))
    }

    /// The answer, once, when it is there.
    pub fn take(&mut self) -> Option<Result<Finding, String>> {
        let shared = self.shared.as_ref()?;
        let answer = shared.answer.lock().unwrap_or_else(PoisonError::into_inner).take();
        if answer.is_some() {
            self.shared = None;
        }
        answer
    }
}

impl Drop for FindingThread {
    fn drop(&mut self) {
        self.leave();
    }
}

/// What the captures tell.
///
/// # Errors
/// One sentence.
fn find(
    folder: &Path,
    captures: &[PathBuf],
    purpose: Purpose,
    shared: &Shared,
) -> Result<Finding, String> {
    let Some(first) = captures.first() else { return Err("No capture was chosen.".into()) };
    let mut waiting = Waiting { shared, remarks: Vec::new() };
    let track = take_files::track_of(folder, first)?;
    let read = read_files(&track, captures, purpose, &mut waiting).map_err(words)?;
    if purpose == Purpose::Device {
        let all = identified(&read).map_err(words)?;
        let settings = all.last().map(|(_, found)| found.settings);
        let next = "Turn a knob and play the long track again, or use these settings.".into();
        let sheet = device_sheet(&read, &all, None);
        return Ok(Finding { sheet, plan: None, settings, next, remarks: waiting.remarks });
    }
    let (found, sheet) = diagnosed(&read).map_err(words)?;
    let go_on = || !shared.stop.load(Ordering::Relaxed);
    let plan = match tuned(&read, &Wish::default(), go_on) {
        Ok((_, _, plan)) => Some(plan),
        Err(Trouble::Ended) => return Err(words(Trouble::Ended)),
        Err(why) => {
            waiting.remark(&why.to_string());
            None
        }
    };
    let next = next_take(Some(&found));
    Ok(Finding { sheet, plan, settings: None, next, remarks: waiting.remarks })
}

fn words(why: Trouble) -> String {
    let words = why.to_string();
    let mut letters = words.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).chain(['.']).collect()
}

/// Notes how far the reading is, and what is said on the way.
struct Waiting<'a> {
    shared: &'a Shared,
    remarks: Vec<String>,
}

impl Watch for Waiting<'_> {
    fn begin(&mut self, frames: Option<u64>) {
        self.shared.frames.fetch_add(frames.unwrap_or(0), Ordering::Relaxed);
    }

    fn advance(&mut self, frames: usize) -> bool {
        self.shared.read.fetch_add(frames as u64, Ordering::Relaxed);
        !self.shared.stop.load(Ordering::Relaxed)
    }

    fn remark(&mut self, sentence: &str) {
        self.remarks.push(sentence.to_owned());
    }
}
