//! Averages over the whole time since the start, or over the latest part of it.
//!
//! For the latest part two meters run half its length apart: the elder is read, and when it
//! has heard the whole part the younger takes its place. What is read is therefore the mean of
//! half to all of that part, and says its length itself.

use crate::editor::model::averaging::Span;
use crate::link::Run;
use crate::measure::{Ask, Measure, Readings};
use crate::path::{Listen, Tap};

/// A meter of the whole, or two of the latest part.
pub struct Rolling {
    ask: Ask,
    /// The run that is heard.
    pub run: Run,
    span: Span,
    elder: Measure,
    younger: Option<Measure>,
    /// Seconds that the elder has heard.
    heard_s: f64,
}

impl Rolling {
    /// Begins to hear a run.
    pub fn new(run: Run, ask: Ask, span: Span) -> Self {
        let elder = Measure::new(run.sample_rate_hz, run.channels, &ask);
        Self { ask, run, span, elder, younger: None, heard_s: 0.0 }
    }

    /// What the elder reads.
    pub fn reading(&mut self) -> Readings {
        self.elder.reading()
    }

    /// Lets time pass, after something was heard.
    pub fn pass(&mut self, frames: usize) {
        self.heard_s += frames as f64 / self.run.sample_rate_hz;
        let Some(span_s) = self.span.seconds() else { return };
        let fresh = || {
            // The line has settled long ago.
            let ask = Ask { skip_s: 0.0, ..self.ask };
            Measure::new(self.run.sample_rate_hz, self.run.channels, &ask)
        };
        if self.younger.is_none() && self.heard_s >= span_s / 2.0 {
            self.younger = Some(fresh());
        } else if self.heard_s >= span_s {
            let younger = Some(fresh());
            if let Some(elder) = std::mem::replace(&mut self.younger, younger) {
                self.elder = elder;
            }
            self.heard_s -= span_s / 2.0;
        }
    }
}

impl Listen for Rolling {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        self.elder.hear(tap, channels);
        if let Some(younger) = &mut self.younger {
            younger.hear(tap, channels);
        }
    }
}
