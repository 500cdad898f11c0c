//! The measures of recordings (G10): drum hits, bass notes, and hits over notes, set by set; each
//! file by its mean over five speeds, because a single outcome can hang on little.

use underpin::settings::{Method, Settings};

use super::octave_goals::figure::{Figure, at_least, at_most, shown};
use super::octave_goals::recorded::{
    Recording, agreement, likeness, mixed, off_the_halves, same_polarity, sped,
};
use super::recordings::{Set, held, sets};
use super::{METHODS, with};

/// A file is played at its own speed and at these.
const SPEEDS: [f64; 5] = [0.94, 0.97, 1.0, 1.03, 1.06];
/// Where the ideal agrees less with its own variants, no sign is the right one.
const SURE: f64 = 0.9;

/// What one method does to one set.
struct Heard {
    /// For each hit its correlations over the speeds.
    hits: Vec<Vec<f64>>,
    polarity: f64,
    mixes: f64,
    notes_level: f64,
    off: f64,
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn means(values: &[Vec<f64>]) -> Vec<f64> {
    values.iter().map(|values| mean(values)).collect()
}

fn at_speeds(recording: &Recording, measure: impl Fn(&Recording) -> f64) -> Vec<f64> {
    SPEEDS.iter().map(|&times| measure(&sped(recording, times))).collect()
}

fn hear(settings: &Settings, set: &Set, held: &[Recording]) -> Heard {
    let Set { hits, notes, .. } = set;
    let polarity: Vec<f64> =
        hits.iter().zip(1..).map(|(hit, seed)| same_polarity(settings, hit, seed)).collect();
    // The ideal has no floor: some notes have partials at 27 to 34 Hz, whose halves the floor
    // takes out on purpose.
    let floorless = Settings { octave_floor_hz: 0.0, ..*settings };
    let levels = notes.iter().map(|note| at_speeds(note, |n| likeness(&floorless, n)[1].abs()));
    let off = notes.iter().map(|note| at_speeds(note, |n| off_the_halves(settings, n)));
    let hits = hits.iter().map(|hit| at_speeds(hit, |h| likeness(settings, h)[0]));
    Heard {
        hits: hits.collect(),
        polarity: mean(&polarity),
        mixes: mixes(settings, set, held),
        notes_level: levels.map(|levels| mean(&levels)).fold(0.0, f64::max),
        off: mean(&means(&off.collect::<Vec<_>>())),
    }
}

/// Mean correlation of the hits of a set over held notes.
fn mixes(settings: &Settings, Set { hits, .. }: &Set, held: &[Recording]) -> f64 {
    let mix = |i| mixed(settings, &hits[i / 3], &held[(2 * i + i / 3) % held.len()]);
    mean(&(0..3 * hits.len()).map(mix).collect::<Vec<_>>())
}

/// What tells most of one method, set by set, or nothing without recordings: hits over notes.
pub(crate) fn over_notes(settings: &Settings) -> Option<Vec<Figure>> {
    let (sets, held) = (sets()?, held()?);
    let figure = |set: &Set| {
        shown(format!("G10 {}: hits over notes", set.name), mixes(settings, set, &held))
    };
    Some(sets.iter().map(figure).collect())
}

/// Those of which the sign is sure, or not.
fn of_sign(values: &[f64], agreements: &[f64], sure: bool) -> Vec<f64> {
    let chosen = values.iter().zip(agreements).filter(|(_, a)| (**a >= SURE) == sure);
    chosen.map(|(value, _)| *value).collect()
}

/// Rounded down, for the table's sake.
fn thousandths(value: f64) -> f64 {
    (1e3 * value).floor() / 1e3
}

/// G10 for each method, or nothing without recordings.
pub(crate) fn figures() -> Option<[Vec<Figure>; 3]> {
    let held = held()?;
    let mut columns = [const { Vec::new() }; 3];
    for set in sets()? {
        let agreements: Vec<f64> = set.hits.iter().map(agreement).collect();
        let heard = METHODS.map(|method| hear(&with(method), &set, &held));
        let reference = &heard[METHODS.iter().position(|m| *m == Method::Halved)?];
        for (column, this) in columns.iter_mut().zip(&heard) {
            column.extend(rows(&set, &agreements, this, reference));
        }
    }
    Some(columns)
}

/// The rows of a set for one method, beside halving all at once.
fn rows(set: &Set, agreements: &[f64], this: &Heard, halved: &Heard) -> Vec<Figure> {
    let (hits, whole) = (means(&this.hits), means(&halved.hits));
    let sure = |values: &[f64]| of_sign(values, agreements, true);
    let below = sure(&whole).iter().zip(sure(&hits)).map(|(a, b)| a - b).fold(-1.0, f64::max);
    let spread = |values: &Vec<f64>| {
        let least = values.iter().fold(1.0, |a: f64, &b| a.min(b));
        values.iter().fold(-1.0, |a: f64, &b| a.max(b)) - least
    };
    let unsteady = this.hits.iter().filter(|values| spread(values) > 0.1).count();
    let of = |what: String| format!("G10 {}: {what}", set.name);
    let (all, sure_of) = (hits.len(), sure(&hits).len());
    vec![
        at_least(
            of(format!("{sure_of} of {all} hits of sure sign, mean correlation")),
            mean(&sure(&hits)),
            thousandths(mean(&sure(&whole))),
        ),
        at_most(of("a hit of sure sign below halved by".into()), below, 0.05),
        shown(
            of(format!("the other {}, mean correlation", all - sure_of)),
            mean(&of_sign(&hits, agreements, false)),
        ),
        shown(of("hits that change by more than 0.1 with speed".into()), unsteady as f64),
        at_least(of("hits of the same polarity".into()), this.polarity, 0.95),
        at_least(
            of("hits over notes, mean correlation".into()),
            this.mixes,
            thousandths(halved.mixes),
        )
        .stretch(0.9),
        at_most(
            of(format!("{} notes, worst level error, floor off, dB", set.notes.len())),
            this.notes_level,
            1.0,
        ),
        at_most(of("notes, off the halves, dB".into()), this.off, -thousandths(-halved.off))
            .stretch(-14.0),
    ]
}
