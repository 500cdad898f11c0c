//! Hears a radio, or what comes back from a device: hands it to the reader of takes, and says what
//! became of them.

use crate::editor::files::take_files::StepShelf;
use crate::editor::model::bench::Heard;
use crate::link::Run;
use crate::link::bench::Measured;
use crate::path::{Listen, Tap};
use crate::takes::{Listening, Outcome};

/// An ear that is deaf while the line is measured.
#[derive(Default)]
pub struct Ear {
    listening: Option<Listening>,
    run: Option<Run>,
    /// Where takes are put from now on.
    pub shelf: StepShelf,
    outcomes: Vec<Outcome>,
    block: [Vec<f32>; 2],
}

impl Ear {
    /// Begins to hear a run. The same run again means that sound was lost.
    pub fn begin(&mut self, run: Run) {
        if run.measured == Measured::Line {
            self.end();
            return;
        }
        match (&mut self.listening, self.run == Some(run)) {
            (Some(listening), true) => listening.lost(|outcome| self.outcomes.push(outcome)),
            _ => {
                self.end();
                match Listening::new(run.sample_rate_hz, run.channels) {
                    Ok(listening) => self.listening = Some(listening),
                    Err(why) => self.outcomes.push(Outcome::Refused(format!("{why}."))),
                }
            }
        }
        self.run = Some(run);
    }

    /// Ends the listening; a take that is not complete is none.
    pub fn end(&mut self) {
        self.run = None;
        if let Some(listening) = self.listening.take() {
            listening.end();
        }
    }

    /// What is heard now; `None` while the line is measured.
    pub fn heard(&self) -> Option<Heard> {
        let listening = self.listening.as_ref()?;
        Some(Heard {
            level: listening.level(),
            advice: listening.advice(),
            playing: listening.playing(),
            channels: self.run.map_or(1, |run| run.channels),
            returned: None,
        })
    }

    /// What became of takes since the last call.
    pub fn outcomes(&mut self) -> Vec<Outcome> {
        std::mem::take(&mut self.outcomes)
    }
}

impl Listen for Ear {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        let arrives = match self.run.map(|run| run.measured) {
            Some(Measured::Radio) => Tap::Before,
            _ => Tap::After,
        };
        let Some(listening) = self.listening.as_mut().filter(|_| tap == arrives) else { return };
        for (block, channel) in self.block.iter_mut().zip(channels) {
            block.clear();
            block.extend(channel.iter().map(|x| *x as f32));
        }
        let heard = [&self.block[0][..], &self.block[1][..]];
        let count = channels.len().min(2);
        let outcomes = &mut self.outcomes;
        listening.push(&heard[..count], &mut self.shelf, |outcome| outcomes.push(outcome));
    }
}
