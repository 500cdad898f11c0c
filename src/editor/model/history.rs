//! What a hand in this window did to the settings, to be taken back step by step.
//!
//! A step is what one frame began to move: a number, or all that a preset or a plan sets. Only
//! those settings are moved back, so what a host moves meanwhile is left alone.

use crate::settings::Id;
use crate::settings::Settings;

/// Steps that are remembered.
const MOST: usize = 200;

/// Moves of one setting that follow each other within this time are one step, in seconds.
const TOGETHER_S: f64 = 1.0;

/// Settings and where each of them stood.
type Step = Vec<(Id, f32)>;

/// The steps that can be taken back, and those that were.
#[derive(Clone, Debug, Default)]
pub struct History {
    past: Vec<(Step, f64)>,
    future: Vec<Step>,
}

impl History {
    /// Remembers that a hand began to move these settings, which stood like this; `now` in
    /// seconds. What was taken back before cannot be done again.
    pub fn record(&mut self, ids: &[Id], settings: &Settings, now: f64) {
        if ids.is_empty() {
            return;
        }
        self.future.clear();
        if let Some((step, when)) = self.past.last_mut()
            && step.len() == 1
            && ids == [step[0].0]
            && now - *when < TOGETHER_S
        {
            *when = now;
            return;
        }
        self.past.push((standing(ids, settings), now));
        let excess = self.past.len().saturating_sub(MOST);
        self.past.drain(..excess);
    }

    /// Takes the latest step back: what must be moved, and to where.
    pub fn undo(&mut self, settings: &Settings) -> Step {
        let Some((step, _)) = self.past.pop() else { return Vec::new() };
        self.future.push(standing(&ids(&step), settings));
        step
    }

    /// Does again what was taken back last.
    pub fn redo(&mut self, settings: &Settings) -> Step {
        let Some(step) = self.future.pop() else { return Vec::new() };
        self.past.push((standing(&ids(&step), settings), f64::NEG_INFINITY));
        step
    }

    /// Whether there is a step to take back, and one to do again.
    pub fn can(&self) -> (bool, bool) {
        (!self.past.is_empty(), !self.future.is_empty())
    }
}

fn ids(step: &Step) -> Vec<Id> {
    step.iter().map(|(id, _)| *id).collect()
}

fn standing(ids: &[Id], settings: &Settings) -> Step {
    let plain = settings.to_plain();
    ids.iter().map(|id| (*id, plain[id.index()])).collect()
}
