//! The finding, what the bass depends on, and the highest clean volume.

use super::bands::slope;
use super::{Fate, Remark, numbers};
use crate::program::Told;
use crate::truth::{Channel, Clean, Depends, Truth, bands_hz};

pub(super) fn judged(told: &Told, truth: &Truth) -> Vec<Remark> {
    let mut remarks = Vec::new();
    if let Some(channel) = truth.channels.first() {
        remarks.extend(finding(&told.finding, channel));
        if truth.flat && told.finding.contains("make new") {
            remarks.push(Remark::sure("finding", false, "a flat radio is to be made new"));
        }
    }
    remarks.extend(points(told, truth));
    let sentence = told.cell("Volume and level", "the bass").unwrap_or(&told.finding);
    remarks.extend(depends(sentence, truth));
    for (i, tone) in ["997 Hz", "45 Hz"].into_iter().enumerate() {
        let row = format!("highest clean volume, {tone}");
        remarks.extend(
            told.cell("Volume and level", &row).and_then(|t| clean(tone, t, truth.clean, i)),
        );
    }
    remarks
}

/// The findings that speak of steps and of level, when they are said to be sure.
fn points(told: &Told, truth: &Truth) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for point in told.json["findings"].as_array().into_iter().flatten() {
        let text = |key: &str| point[key].as_str().unwrap_or_default();
        let (what, says) = (text("what"), text("told"));
        if point["sure"] != true || truth.depends == Depends::NotAsked {
            continue;
        }
        let is_true = match what {
            "Level" if says.contains("no limiter") => !truth.level_dependent,
            "Level"
                if says.contains("takes bass away") || says.contains("depends on the level") =>
            {
                truth.level_dependent
            }
            "Volume steps" if says.contains("same at every step") => {
                matches!(truth.depends, Depends::Fixed | Depends::Level)
            }
            "Volume steps" if says.contains("with the volume") => {
                matches!(truth.depends, Depends::Volume | Depends::Both)
            }
            _ => continue,
        };
        let note = format!("told \"{says}\", is {:?}", truth.depends);
        remarks.push(Remark::sure(format!("finding {what}"), is_true, note));
    }
    remarks
}

/// What follows these words in the text.
fn after<'a>(text: &'a str, words: &str) -> Option<&'a str> {
    text.find(words).map(|at| &text[at + words.len()..])
}

fn finding(told: &str, channel: &Channel) -> Vec<Remark> {
    let mut remarks = Vec::new();
    let first = told.split(". ").next().unwrap_or_default();
    let says_slope = first.contains("per octave")
        || first.contains("no single slope")
        || first.contains("whole");
    if says_slope && channel.below_db == 0.0 {
        remarks.push(slope(
            "finding: slope".into(),
            first.split("3 dB down").next().unwrap_or(first),
            channel,
        ));
    }
    if let Some(hz) = after(told, "3 dB down at").and_then(|t| numbers(t).first().copied())
        && channel.below_db == 0.0
    {
        let truth = channel.falls_at(3.0);
        let near = |(from, to): (f64, f64)| (0.97 * from - 0.6..=1.03 * to + 0.6).contains(&hz);
        let is_true = truth.is_some_and(near);
        remarks.push(Remark::sure("finding: f3", is_true, format!("told {hz}, is {truth:.1?}")));
    }
    remarks.extend(gone(told, channel));
    remarks
}

fn gone(told: &str, channel: &Channel) -> Option<Remark> {
    let over = |hz: f64| channel.over_noise_db(hz).unwrap_or(100.0);
    let border = bands_hz().filter(|hz| over(*hz) < 16.0).fold(0.0, f64::max);
    let note = |what: &str| {
        format!("told \"{what}\", the radio's own noise takes all below {border:.0} Hz")
    };
    if told.contains("content is gone") {
        // "At 50 and 63 Hz content is gone" is about those bands alone.
        let alone = after(told, " At ").filter(|_| !told.contains("Below "));
        if let Some(bands) = alone.and_then(|t| t.split(" Hz").next()) {
            let is_true = numbers(bands).iter().all(|told| {
                bands_hz()
                    .find(|hz| (told / hz - 1.0).abs() < 0.06)
                    .is_some_and(|hz| over(hz) < 16.0)
            });
            return Some(Remark::sure("finding: gone", is_true, note("gone in bands")));
        }
        let hz =
            after(told, "Below ").and_then(|t| numbers(t).first().copied()).unwrap_or(f64::MAX);
        // Half a band up, half a band down.
        return Some(Remark::sure(
            "finding: gone",
            border > 0.0 && hz < border * 1.42,
            note("gone"),
        ));
    }
    if told.contains("Nothing is gone") {
        let none = bands_hz().all(|hz| over(hz) > 14.0);
        return Some(Remark::sure("finding: nothing gone", none, note("nothing is gone")));
    }
    told.contains("Nothing stands clear").then(|| {
        Remark::sure(
            "finding: nothing clear",
            bands_hz().all(|hz| over(hz) < 16.0),
            note("nothing clear"),
        )
    })
}

/// What is said of the dependence, as sure; `None` when it is open.
fn heard(told: &str) -> Option<Depends> {
    let told = told.to_lowercase();
    let has = |words: &[&str]| words.iter().any(|word| told.contains(word));
    if has(&["undecided", "open", "one take", "cannot be known", "not known"]) {
        return None;
    }
    let level = has(&[
        "limiter takes",
        "follows the level",
        "falls when the level",
        "depends on the level",
    ]);
    let volume = has(&["falls with the volume", "follows the knob", "follows the volume"]);
    match (volume, level || (volume && has(&["limiter takes more", "a limiter"]))) {
        (true, true) => Some(Depends::Both),
        (true, false) => Some(Depends::Volume),
        (false, true) => Some(Depends::Level),
        (false, false) if has(&["stays the same", "the same at every"]) => Some(Depends::Fixed),
        (false, false) => None,
    }
}

fn depends(told: &str, truth: &Truth) -> Option<Remark> {
    let note = format!("told \"{told}\", is {:?}", truth.depends);
    let what = "what the bass depends on";
    match (heard(told), truth.depends) {
        (_, Depends::NotAsked) => None,
        (None, Depends::Unknown) => Some(Remark::new(what, Fate::Right, note)),
        (None, _) => Some(Remark::new(what, Fate::Open, note)),
        (Some(heard), truth) => Some(Remark::sure(what, heard == truth, note)),
    }
}

/// What is said of the highest clean volume for one tone.
fn clean(tone: &str, told: &str, truth: Clean, place: usize) -> Option<Remark> {
    let what = format!("clean at {tone}");
    let note = format!("told \"{told}\", is {truth:.1?}");
    let says = numbers(told);
    let first = says.first().copied();
    let open = ["undecided", "open", "not told", "between"].iter().any(|word| told.contains(word));
    if open || first.is_none() {
        return (truth != Clean::NotAsked).then(|| Remark::new(what, Fate::Open, note));
    }
    let db = first?;
    let is_least = told.contains("at least");
    let is_below = told.contains("below");
    match truth {
        Clean::NotAsked => None,
        Clean::Never => Some(Remark::sure(what, is_least, note)),
        // No volume is clean by the law of a hard clip.
        Clean::Odd => Some(Remark::sure(
            what,
            !is_least && says.get(1).is_none_or(|within| *within > 0.5),
            note,
        )),
        Clean::At(at) if is_least => Some(Remark::sure(what, at[place] > db - 0.4, note)),
        Clean::At(at) if is_below => Some(Remark::sure(what, at[place] < db + 0.4, note)),
        Clean::At(at) => {
            let within = says.get(1).copied().unwrap_or(0.3);
            Some(Remark::figure(what, db, within, at[place], 0.05))
        }
    }
}
