//! One point of what is known: its value, its interval, what it rests on and
//! what would change it.

use serde::{Deserialize, Serialize};

use crate::planning::roll_off::Interval;
use crate::report::Sentence;

/// One point that was found.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Found {
    /// What it is about.
    pub what: String,
    /// What is so.
    pub told: String,
    /// By what one knows, or what would decide it.
    pub evidence: String,
    /// Whether it is decided.
    pub sure: bool,
    /// The figure, where it is one.
    #[serde(default)]
    pub value: Option<f64>,
    /// The ends of its 95 % interval.
    #[serde(default)]
    pub interval: Option<(f64, f64)>,
    /// Its unit.
    #[serde(default)]
    pub unit: String,
    /// What would change or settle it.
    #[serde(default)]
    pub would_change: String,
}

impl Found {
    /// What is so, by what evidence, and whether it is decided.
    pub(super) fn new(
        what: &str,
        told: impl Into<String>,
        evidence: impl Into<String>,
        sure: bool,
    ) -> Self {
        let (told, evidence) = (told.into(), evidence.into());
        Self { what: what.into(), told, evidence, sure, ..Self::default() }
    }

    /// The same with its figure.
    pub(super) fn figure(mut self, unit: &str, value: Option<Interval>) -> Self {
        self.unit = unit.into();
        self.value = value.map(|i| i.value);
        self.interval = value.map(|i| (i.low, i.high));
        self
    }

    /// The same with what would change or settle it.
    pub(super) fn changed_by(mut self, what: impl Into<String>) -> Self {
        self.would_change = what.into();
        self
    }
}

/// A point with what the headline says of it.
pub(super) struct Known {
    pub(super) found: Found,
    pub(super) clause: Sentence,
}
