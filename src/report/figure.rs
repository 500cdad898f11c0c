//! Numbers that a command was asked for, each with its name and unit: a table to a person, one
//! object of numbers to a machine.

use crate::figures::level;
use crate::report::Table;

/// A number with its name and unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Key of the number in JSON; it ends with the unit, e.g. `f3_hz`.
    pub key: &'static str,
    /// What it is, in words.
    pub name: String,
    /// The number; `None` when it could not be told.
    pub value: Option<f64>,
    /// Lower and upper end of its interval, where it was estimated.
    pub interval: Option<(f64, f64)>,
    /// Its unit as written after the number; may be empty.
    pub unit: &'static str,
    /// Digits after the point that are shown.
    pub decimals: usize,
}

/// Figures that belong together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figures {
    /// What they are about.
    pub title: String,
    /// How they were made, in a few words; may be empty.
    pub note: String,
    /// The figures.
    pub figures: Vec<Figure>,
}

impl Figure {
    /// A figure with one digit after the point.
    pub fn new(
        key: &'static str,
        name: &str,
        value: impl Into<Option<f64>>,
        unit: &'static str,
    ) -> Self {
        Self { key, name: name.into(), value: value.into(), interval: None, unit, decimals: 1 }
    }

    /// The same, with another number of digits.
    pub fn decimals(self, decimals: usize) -> Self {
        Self { decimals, ..self }
    }

    /// The same, with the interval of an estimate.
    pub fn within(self, low: f64, high: f64) -> Self {
        Self { interval: Some((low, high)), ..self }
    }

    /// The number as it is shown, without its unit.
    pub fn shown(&self) -> String {
        match (self.value, self.interval) {
            (None, _) => "open".into(),
            (Some(value), None) => level(value, self.decimals),
            (Some(value), Some((low, high))) => {
                let [value, low, high] = [value, low, high].map(|v| level(v, self.decimals));
                format!("{value} ({low} to {high})")
            }
        }
    }
}

impl Figures {
    /// Figures under a title.
    pub fn new(title: &str, note: &str, figures: Vec<Figure>) -> Self {
        Self { title: title.into(), note: note.into(), figures }
    }

    /// The figures as a table of words.
    pub(super) fn table(&self) -> Table {
        let row = |f: &Figure| vec![f.name.clone(), f.shown(), f.unit.to_string()];
        Table {
            title: self.title.clone(),
            note: self.note.clone(),
            head: ["what", "figure", "unit"].map(String::from).to_vec(),
            rows: self.figures.iter().map(row).collect(),
        }
    }
}
