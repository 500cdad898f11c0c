//! The proof in the car, in words and a table.

use crate::curve::Curve;
use crate::figures::{difference, level};
use crate::planning::in_car::{CarBand, InCar};
use crate::planning::problem::REACHED_DB;
use crate::plot::Cause;
use crate::plot::responses::{Drawn, Responses};
use crate::report::sheet::table;
use crate::report::wording::band;
use crate::report::{Sentence, Sheet};

/// Fills `sheet` with what was heard before and after, held against `target`.
pub fn car(sheet: &mut Sheet, heard: &InCar, target: &Curve) {
    let asked = |hz: f64| target.at(hz).unwrap_or(0.0);
    let off = |b: &CarBand| b.after_db.map(|db| db - asked(b.hz));
    sheet.finding = finding(heard, off);
    let told = |db: Option<f64>| db.map_or("not heard".into(), |db| level(db, 1));
    let rows = heard.bands.iter().map(|b| {
        let change = b.after_db.zip(b.before_db).map(|(after, before)| after - before);
        vec![
            band(b.hz),
            told(b.before_db),
            told(b.after_db),
            level(b.half_95_db.max(0.1), 1),
            change.map_or("-".into(), difference),
            level(asked(b.hz), 1),
            off(b).map_or("-".into(), difference),
        ]
    });
    let head = ["Hz", "before dB", "after dB", "+/- 95 %", "change dB", "target dB", "off by dB"];
    let note = format!(
        "re 250 Hz to 1 kHz of each, which became {} dB louder; everything that sounds counts",
        difference(heard.mid_db)
    );
    sheet.tables.insert(0, table("In the car", &note, &head, rows));
    let drawn = |name: &str, cause, of: fn(&CarBand) -> Option<f64>| Drawn {
        name: name.into(),
        cause,
        curve: Curve::new(heard.bands.iter().filter_map(|b| Some((b.hz, of(b)?)))),
    };
    let curves = vec![
        drawn("before", Cause::Given, |b| b.before_db),
        drawn("after", Cause::Out, |b| b.after_db),
    ];
    sheet.responses = Some(Responses { curves, verdicts: Vec::new() });
}

fn finding(heard: &InCar, off: impl Fn(&CarBand) -> Option<f64>) -> Sentence {
    let change = |b: &&CarBand| {
        b.after_db.zip(b.before_db).map_or(0.0, |(after, before)| (after - before).abs())
    };
    let told = Sentence::default().say("In the car ");
    let most = heard.bands.iter().max_by(|a, b| change(a).total_cmp(&change(b)));
    let told = match most.and_then(|b| Some((b.hz, b.before_db?, b.after_db?))) {
        Some((hz, before, after)) if (after - before).abs() >= 0.5 => told
            .say(format!("{} Hz went from ", band(hz)))
            .name(Cause::Given, format!("{} dB", level(before, 1)))
            .say(" to ")
            .name(Cause::Out, format!("{} dB", level(after, 1)))
            .say("."),
        _ => told.say("no band changed by half a decibel."),
    };
    // From the top down to the first band that misses.
    let misses = |b: &&CarBand| off(b).is_none_or(|db| db.abs() > REACHED_DB);
    let reached = heard.bands.iter().rev().take_while(|b| !misses(b)).last();
    match reached {
        Some(lowest) => told.say(format!(
            " From {} Hz up it lies within {REACHED_DB} dB of the target.",
            band(lowest.hz)
        )),
        None => told.say(" It is nowhere near the target."),
    }
}
