//! What the window does at the bench: takes that were heard or chosen, and what they tell.

use crate::editor::files::take_files::{self, StepShelf};
use crate::editor::files::write_new;
use crate::editor::measuring::analyser_thread::AnalyserThread;
use crate::editor::measuring::finding_thread::{Finding, FindingThread};
use crate::editor::model::bench::{BenchInput, Heard};
use crate::editor::model::state::WindowState;
use crate::link::bench::Measured;
use crate::planning::take_reading::Purpose;
use crate::report::{Plan, finding};
use crate::signal::track::Label;
use crate::signal::track::layout::Form;
use crate::takes::{Outcome, next_take};
use std::path::PathBuf;

/// The takes of this window and what they tell.
#[derive(Default)]
pub struct Desk {
    measured: Measured,
    shelf: StepShelf,
    heard: Option<Heard>,
    takes: Vec<PathBuf>,
    reader: FindingThread,
    finding: Option<Finding>,
    fault: Option<String>,
    next: String,
    /// Rises with every answer.
    pub reading: u64,
}

impl Desk {
    /// A desk without takes.
    pub fn new() -> Self {
        Self { next: next_take(None), ..Self::default() }
    }

    /// Takes what the analyser heard, and what was found; true when a take or a finding is new.
    pub fn listen(
        &mut self,
        analyst: &mut AnalyserThread,
        state: &WindowState,
        measured: Measured,
    ) -> bool {
        if self.measured != measured {
            self.measured = measured;
            self.forget();
        }
        let wanted = StepShelf {
            folder: state.folder.clone(),
            of_device: measured == Measured::Device,
            step: state.step.clone(),
        };
        if wanted != self.shelf {
            self.shelf = wanted;
            analyst.keep_takes_in(self.shelf.clone());
        }
        let (heard, outcomes) = analyst.heard();
        self.heard = heard;
        let is_new = !outcomes.is_empty();
        outcomes.into_iter().for_each(|outcome| self.note(outcome));
        let answer = self.reader.take();
        let is_answered = answer.is_some();
        match answer {
            Some(Ok(told)) => self.found(told),
            Some(Err(why)) => self.fault = Some(why),
            None => {}
        }
        is_new || is_answered
    }

    fn note(&mut self, outcome: Outcome) {
        match outcome {
            Outcome::Kept(path) => {
                self.fault = None;
                self.takes.push(path);
                self.reader.begin(&self.shelf.folder, self.takes.clone(), self.purpose());
            }
            Outcome::Refused(why) => self.fault = Some(why),
        }
    }

    fn found(&mut self, told: Finding) {
        self.next = match self.measured {
            Measured::Device => format!("{} {}", finding(&told.sheet).plain(), told.next),
            Measured::Line | Measured::Radio => told.next.clone(),
        };
        self.fault = None;
        let remark = told.remarks.first().map(|why| format!("{why}. "));
        self.next.insert_str(0, &remark.unwrap_or_default());
        self.finding = Some(told);
        self.reading += 1;
    }

    /// Reads captures of the folder in place of what was heard.
    pub fn read(&mut self, files: Vec<PathBuf>, state: &WindowState) {
        self.takes = files;
        self.fault = None;
        self.reader.begin(&state.folder, self.takes.clone(), self.purpose());
    }

    /// What captures are read for.
    fn purpose(&self) -> Purpose {
        match self.measured {
            Measured::Device => Purpose::Device,
            Measured::Line | Measured::Radio => Purpose::Radio,
        }
    }

    /// Forgets takes and findings; the files stay.
    pub fn forget(&mut self) {
        self.reader.leave();
        (self.takes, self.finding, self.fault) = (Vec::new(), None, None);
        self.next = match self.measured {
            Measured::Device => "The long track tells what it does; a cable alone first.".into(),
            Measured::Line | Measured::Radio => next_take(None),
        };
        self.reading += 1;
    }

    /// Keeps the plan as a file of its own in the folder; says where, or why not.
    pub fn keep_plan(&self, state: &WindowState) -> String {
        let Some(plan) = self.plan() else { return "There is no plan to keep yet.".into() };
        let kept = write_new::keep(&state.folder, "plan", "toml", plan.to_toml().as_bytes());
        kept.map_or_else(|why| why, |path| format!("Kept: {}", path.display()))
    }

    /// Writes the short track into the folder, for a stick; says where, or why not.
    pub fn write_track(&self, state: &WindowState) -> String {
        let label = Label::new(Form::Short, 0, 48_000.0);
        let written = take_files::track(&state.folder, label);
        written.map_or_else(|why| why, |path| format!("For the stick: {}", path.display()))
    }

    /// The plan that the takes gave.
    pub fn plan(&self) -> Option<&Plan> {
        self.finding.as_ref()?.plan.as_ref()
    }

    /// What was found.
    pub fn finding(&self) -> Option<&Finding> {
        self.finding.as_ref()
    }

    /// True while captures are read.
    pub fn is_reading(&self) -> bool {
        self.reader.progress().is_some()
    }

    /// What the window is shown of it.
    pub fn input(&self) -> BenchInput<'_> {
        BenchInput {
            measured: self.measured,
            heard: self.heard.as_ref(),
            takes: &self.takes,
            fault: self.fault.as_deref(),
            next: &self.next,
            progress: self.reader.progress(),
            settings: self.finding.as_ref().and_then(|finding| finding.settings),
        }
    }
}
