//! Two settings of the line to compare by ear: A and B, or 1 and 2 without their names.
//!
//! One of them is set, the other waits here. What is heard and bypass belong to the
//! listener, not to the pair: they stay when it turns.

use crate::settings::Id;
use crate::settings::{ALL, Settings};
use std::hash::{BuildHasher, RandomState};

/// The settings that stay when the pair turns.
pub const OF_THE_LISTENER: [Id; 2] = [Id::bypass, Id::listen];

/// A and B.
#[derive(Clone, Debug, Default)]
pub struct Comparison {
    /// False while A is set, true while B is.
    pub is_b: bool,
    /// The one that is not set; `None` until there are two.
    other: Option<Settings>,
    /// Whether 1 stands for B, while they are compared without their names.
    blind: Option<bool>,
}

impl Comparison {
    /// The one that waits; the same as what is set until there are two.
    pub fn other(&self, now: Settings) -> Settings {
        self.other.unwrap_or(now)
    }

    /// True when both are there and differ.
    pub fn differs(&self, now: &Settings) -> bool {
        self.other.is_some_and(|other| moves(now, &other).next().is_some())
    }

    /// Turns to the other one; returns what must be moved to get there.
    pub fn turn(&mut self, now: Settings) -> Vec<(Id, f32)> {
        let to = self.other(now);
        self.other = Some(now);
        self.is_b = !self.is_b;
        moves(&now, &to).collect()
    }

    /// Changes the one that waits.
    pub fn put_other(&mut self, other: Settings) {
        self.other = Some(other);
    }

    /// Takes the names away, by a coin that nobody sees.
    pub fn hide(&mut self) {
        self.blind = Some(coin());
    }

    /// Tosses the hidden names anew; and a second coin, which says whether to turn.
    pub fn toss(&mut self) -> bool {
        self.hide();
        coin()
    }

    /// Gives the names back.
    pub fn reveal(&mut self) {
        self.blind = None;
    }

    /// Whether the names are hidden.
    pub fn is_blind(&self) -> bool {
        self.blind.is_some()
    }

    /// Whether the second of the two words stands for what is set: B, or 2.
    pub fn is_second(&self) -> bool {
        self.is_b != self.blind.unwrap_or(false)
    }

    /// The letter of 1 or 2.
    pub fn letter(&self, is_second: bool) -> &'static str {
        if is_second != self.blind.unwrap_or(false) { "B" } else { "A" }
    }
}

/// A coin.
fn coin() -> bool {
    RandomState::new().hash_one(0) & 1 == 1
}

/// What must be moved, and to where, for `to` to be set.
pub fn moves(now: &Settings, to: &Settings) -> impl Iterator<Item = (Id, f32)> + use<> {
    let (now, to) = (now.to_plain(), to.to_plain());
    let all = ALL.iter().map(|setting| setting.id).filter(|id| !OF_THE_LISTENER.contains(id));
    let differ = all.filter(move |id| now[id.index()] != to[id.index()]);
    differ.map(move |id| (id, to[id.index()]))
}

impl Comparison {
    /// Lowers the output of the louder one by how much it is louder, in dB of one scale, for
    /// what is set and for the one that waits; returns what must be set, and a sentence.
    pub fn match_levels(&mut self, now: Settings, [set, waits]: [f64; 2]) -> (Settings, String) {
        if !(set.is_finite() && waits.is_finite()) || set.min(waits) < SILENCE_DBFS {
            return (now, "Nothing sounds that could be compared: play something.".into());
        }
        let louder = (set - waits).abs();
        let lowered = |settings: Settings| Settings {
            output_gain_db: hundredths(settings.output_gain_db - louder as f32).max(LEAST_DB),
            ..settings
        };
        let name = if (set > waits) == self.is_b { "B" } else { "A" };
        let words = match louder {
            louder if louder < NEAR_DB => "A and B are equally loud.".to_owned(),
            louder => format!("{name} was {louder:.1} dB louder: its output is lowered by that."),
        };
        match (louder < NEAR_DB, set > waits) {
            (true, _) => (now, words),
            (_, true) => (lowered(now), words),
            _ => {
                let other = lowered(self.other(now));
                self.other = Some(other);
                (now, words)
            }
        }
    }
}

/// A level below which nothing is compared, in dB of either scale.
const SILENCE_DBFS: f64 = -70.0;

/// Levels nearer than this are equal, in dB: a tenth is below what is heard in comparisons
/// (common practice, no source).
const NEAR_DB: f64 = 0.05;

/// The lower end of the output gain.
const LEAST_DB: f32 = -24.0;

/// The nearest hundredth, as hosts know numbers.
fn hundredths(value: f32) -> f32 {
    (value * 100.0).round() / 100.0
}
