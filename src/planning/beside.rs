//! Outputs or sources of one radio beside each other: front and rear, a stick and Bluetooth. Their
//! names tell them apart; they are no volume steps, whatever their levels.

use super::polarity::inverts;
use super::response::{BandValue, Response};
use super::take_reading::{LevelReading, TakeReading};

/// Words that name an output or a source.
const WORDS: [&str; 15] = [
    "front",
    "rear",
    "left",
    "right",
    "centre",
    "center",
    "sub",
    "stick",
    "usb",
    "bluetooth",
    "aux",
    "disc",
    "card",
    "phone",
    "tuner",
];

/// Highest band that is compared, Hz: above, the mid band begins.
const TO_HZ: f64 = 170.0;

/// One output or source re the first.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// The take.
    pub name: String,
    /// The take it is held against.
    pub first: String,
    /// Level of the mid band re the first, dB, if the volume stood where it was.
    pub level_db: f64,
    /// Whether one inverts and the other does not; `None` when the mid band does not tell.
    pub inverted: Option<bool>,
    /// The bass, each re its own mid band, re the first: (Hz, dB, half the 95 % interval in dB).
    pub bass: Vec<(f64, f64, f64)>,
    /// Whether a lossy codec was at work in one of them.
    pub lossy: bool,
}

impl Beside {
    /// The band that differs most beyond its interval.
    pub fn differs(&self) -> Option<(f64, f64, f64)> {
        let sure = |b: &&(f64, f64, f64)| b.1.abs() > b.2;
        self.bass.iter().filter(sure).copied().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
    }
}

/// Whether the takes are of several outputs or sources.
pub(super) fn are_apart(takes: &[TakeReading]) -> bool {
    takes.windows(2).any(|two| kind(&two[0]) != kind(&two[1]))
}

/// The first take of each further output or source, re the first of all.
pub(super) fn beside(takes: &[TakeReading]) -> Vec<Beside> {
    let mut kinds = Vec::new();
    let firsts = takes.iter().filter(|take| {
        let kind = kind(take);
        let new = !kinds.contains(&kind);
        kinds.push(kind);
        new
    });
    let firsts: Vec<&TakeReading> = firsts.collect();
    match firsts.split_first() {
        Some((first, rest)) => rest.iter().filter_map(|take| one(first, take)).collect(),
        None => Vec::new(),
    }
}

fn kind(take: &TakeReading) -> Vec<&'static str> {
    let name = take.name.to_lowercase();
    WORDS.into_iter().filter(|word| name.contains(word)).collect()
}

fn one(first: &TakeReading, take: &TakeReading) -> Option<Beside> {
    let ((a, heard), (b, held)) = (first.best()?.loudest()?, take.best()?.loudest()?);
    let polarity = |response: &Response| inverts(response);
    Some(Beside {
        name: take.name.clone(),
        first: first.name.clone(),
        level_db: held.gain_db - heard.gain_db,
        inverted: polarity(heard).zip(polarity(held)).map(|(a, b)| a != b),
        bass: bass(a, b),
        lossy: a.floor_db > 0.0 || b.floor_db > 0.0,
    })
}

fn bass(first: &LevelReading, other: &LevelReading) -> Vec<(f64, f64, f64)> {
    let shown = |level: &LevelReading| -> Vec<BandValue> {
        level.bands().into_iter().filter(|b| b.is_shown() && b.hz < TO_HZ).collect()
    };
    let held = shown(other);
    let pairs = shown(first).into_iter();
    let pairs = pairs.filter_map(|a| Some((a, *held.iter().find(|b| b.hz == a.hz)?)));
    pairs.map(|(a, b)| (a.hz, b.db - a.db, a.half_95_db.hypot(b.half_95_db))).collect()
}
