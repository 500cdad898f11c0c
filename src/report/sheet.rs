//! What goes on a sheet.
//!
//! Plain data: whoever measured fills it in, and every writer reads the same.

use crate::curve::Curve;
use crate::measure::{Readings, Side};
use crate::plot::responses::Responses;
use crate::report::{Figures, Found, Picture, Proof, Sentence};
use crate::settings::Settings;

/// What no measurement of signals can tell (common practice, no source).
pub const UNKNOWN: [&str; 3] = [
    "sound pressure: no calibrated microphone",
    "volts and watts: needs one meter reading",
    "what the lost content was",
];

/// The usual cautions (common practice, no source; local codes come first).
pub const CAUTIONS: [&str; 3] = [
    "below a ported box's tuning the cone runs free",
    "start at the lowest step; bass fatigue is not felt",
    "never while driving",
];

/// A line this far below its tone is left out of tables, in dB: the rounding of 20 bits
/// (common practice, no source). The JSON has them all.
pub(super) const QUIET_DB: f64 = -120.0;

/// One run of the line, or one file that was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// What was played, e.g. `pink noise` or a file name.
    pub name: String,
    /// What was measured. With partials it is shown as lines, else as layers and bands.
    pub readings: Readings,
}

/// A table of words, for what has no picture: findings, costs, steps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// What the table shows.
    pub title: String,
    /// How it was made, in a few words; may be empty.
    pub note: String,
    /// Heads of the columns.
    pub head: Vec<String>,
    /// Rows, each with one cell a column. A column of numbers is set to the right.
    pub rows: Vec<Vec<String>>,
}

/// A number with its unit has no more words than `12 dB SPL`, or `3 dB at 60 Hz` would be one.
const MOST_WORDS: usize = 3;

impl Table {
    /// True when every cell of a column reads as a number, with a unit at most, or says that there
    /// is none, so that it is set to the right.
    pub(super) fn is_numeric(&self, column: usize) -> bool {
        let is_none = |cell: &str| ["", "-", "\u{2013}", "none", "open"].contains(&cell);
        let is_number = |cell: &str| {
            let start = cell.trim_start_matches(['+', '-', '\u{2212}', '\u{b1}', '<', '>', ' ']);
            let is_short = cell.split_whitespace().count() <= MOST_WORDS;
            is_short && start.starts_with(|c: char| c.is_ascii_digit())
        };
        let cells = || self.rows.iter().filter_map(|row| row.get(column));
        cells().any(|cell| is_number(cell)) && cells().all(|c| is_none(c) || is_number(c))
    }

    /// The table without columns in which nothing is said.
    pub(super) fn without_empty_columns(&self) -> Self {
        let says = |column: &usize| {
            self.rows.iter().any(|row| row.get(*column).is_some_and(|cell| !cell.is_empty()))
        };
        let kept: Vec<usize> = (0..self.head.len()).filter(says).collect();
        let pick = |row: &Vec<String>| kept.iter().filter_map(|i| row.get(*i).cloned()).collect();
        Self { head: pick(&self.head), rows: self.rows.iter().map(pick).collect(), ..self.clone() }
    }
}

/// A table from its rows.
pub(super) fn table(
    title: &str,
    note: &str,
    head: &[&str],
    rows: impl IntoIterator<Item = Vec<String>>,
) -> Table {
    Table {
        title: title.into(),
        note: note.into(),
        head: head.iter().map(|h| (*h).into()).collect(),
        rows: rows.into_iter().collect(),
    }
}

/// A file the figures came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Name of the file, without its folder.
    pub name: String,
    /// SHA-256 of the whole file, in hexadecimal.
    pub sha256: String,
}

#[cfg(feature = "files")]
impl Input {
    /// A file of this name that holds these bytes.
    pub fn of(name: &str, bytes: &[u8]) -> Self {
        use sha2::{Digest, Sha256};
        let hash = Sha256::digest(bytes);
        let sha256 = hash.iter().map(|byte| format!("{byte:02x}")).collect();
        Self { name: name.into(), sha256 }
    }
}

/// Where the figures come from; no clock, so that a sheet can be made again.
#[derive(Clone, Debug, PartialEq)]
pub struct Provenance {
    /// Version of this program.
    pub version: String,
    /// Seed of the generated signals.
    pub seed: Option<u64>,
    /// The files that were read.
    pub inputs: Vec<Input>,
}

impl Default for Provenance {
    fn default() -> Self {
        Self { version: env!("CARGO_PKG_VERSION").into(), seed: None, inputs: Vec::new() }
    }
}

/// A short sound to hear in the document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sound {
    /// What it is.
    pub title: String,
    /// Its loudness, in a few words.
    pub note: String,
    /// A whole WAV file.
    pub wav: Vec<u8>,
}

/// One sheet: everything that is said about one subject.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// What was examined, in a few words, e.g. `invented car: 4th-order 80 Hz high-pass`.
    pub subject: String,
    /// Name of the settings, when they have one.
    pub preset: Option<String>,
    /// The finding. When empty, [`crate::report::finding()`] composes it from the readings.
    pub finding: Sentence,
    /// What was found, point by point, with intervals and what would change it.
    pub findings: Vec<Found>,
    /// The settings the line ran with.
    pub settings: Option<Settings>,
    /// The runs. The first without partials gives the layers and the bands, the first with
    /// partials gives the lines and the swings; all stand in the table of runs.
    pub runs: Vec<Run>,
    /// What is asked for: dB re the mean of 200 Hz to 1 kHz of what the radio gives.
    /// Outside its own range nothing is asked.
    pub target: Option<Curve>,
    /// What went into the radio, when it is known: dB re its own mean of 200 Hz to 1 kHz.
    pub original: Option<Curve>,
    /// The limit of the harmonics of a tone, as a share of the tone.
    pub harmonics_limit: Option<f64>,
    /// Responses that were measured or are proposed, with what to do where.
    pub responses: Option<Responses>,
    /// Whether what was measured went through a lossy codec: what lies far below a tone is its own.
    pub lossy: bool,
    /// What was held against a limit.
    pub proofs: Vec<Proof>,
    /// Further pictures.
    pub pictures: Vec<Picture>,
    /// Sounds to hear.
    pub sounds: Vec<Sound>,
    /// Numbers that were asked for.
    pub figures: Vec<Figures>,
    /// Further tables of words.
    pub tables: Vec<Table>,
    /// What cannot be known from this.
    pub unknown: Vec<String>,
    /// What to heed before it is played loud.
    pub cautions: Vec<String>,
    /// What to do next and why, in one line; empty when nothing follows.
    pub next: String,
    /// Where the figures come from.
    pub provenance: Provenance,
}

impl Sheet {
    /// A sheet about `subject` with the standing [`UNKNOWN`]s and [`CAUTIONS`] and nothing else.
    pub fn new(subject: impl Into<String>) -> Self {
        Self {
            subject: subject.into(),
            unknown: UNKNOWN.map(String::from).to_vec(),
            cautions: CAUTIONS.map(String::from).to_vec(),
            ..Self::default()
        }
    }

    /// Says what cannot be known, once.
    pub fn admit(&mut self, unknown: &str) {
        if !self.unknown.iter().any(|said| said == unknown) {
            self.unknown.push(unknown.into());
        }
    }

    /// The first run that is not a tone: it gives the layers and the bands.
    pub fn broad(&self) -> Option<&Run> {
        self.runs.iter().find(|run| !run.is_tone())
    }

    /// The first run of a tone: it gives the lines and the swings.
    pub fn tone(&self) -> Option<&Run> {
        self.runs.iter().find(|run| run.is_tone())
    }
}

impl Run {
    /// A run with its name.
    pub fn new(name: impl Into<String>, readings: Readings) -> Self {
        Self { name: name.into(), readings }
    }

    /// True when the lines beside a tone were measured.
    pub fn is_tone(&self) -> bool {
        self.out().partials.is_some()
    }

    /// What came out, or what was measured when there is one signal only.
    pub fn out(&self) -> &Side {
        self.readings.after.as_ref().unwrap_or(&self.readings.before)
    }
}
