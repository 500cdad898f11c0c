//! The tables of a channel: response, content, roll-off, polarity.

use super::{Fate, Remark, numbers};
use crate::program::{Rows, Told};
use crate::truth::{Channel, Truth, bands_hz};

/// Content is judged only where the truth is this far from the line of 15 dB.
const GREY_DB: f64 = 1.0;
/// The line between lifting and making new, dB over the noise.
const LINE_DB: f64 = 15.0;

pub(super) fn judged(told: &Told, truth: &Truth) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for table in told.tables() {
        let Some((kind, name)) = table.title.split_once(", ") else { continue };
        let place = usize::from(name.contains("right"));
        let Some(channel) = truth.channels.get(place).or(truth.channels.first()) else { continue };
        match kind {
            "Response" => {
                remarks.extend(table.rows.iter().flat_map(|row| band(name, row, channel)))
            }
            "Roll-off" => remarks.extend(roll_off(name, &table, channel)),
            _ => {}
        }
    }
    remarks
}

fn band(name: &str, row: &[&str], channel: &Channel) -> Vec<Remark> {
    let [hz, level, half, ..] = row else { return Vec::new() };
    let told_hz = numbers(hz).first().copied().unwrap_or(0.0);
    let Some(hz) = bands_hz().find(|b| (b / told_hz - 1.0).abs() < 0.06) else { return Vec::new() };
    let truth = channel.band_db(hz);
    let what = format!("{name} {hz:.0} Hz");
    let mut remarks = Vec::new();
    match (numbers(level).first(), numbers(half).first(), level.contains('<')) {
        (Some(most), _, true) => {
            let note = format!("told < {most:.0}, is {truth:.1}");
            let mut remark =
                Remark::sure(format!("{what} level"), truth - channel.below_db < most + 1.0, note);
            remark.covered = Some(truth - channel.below_db < most + 0.5);
            remarks.push(remark);
        }
        (Some(db), Some(half), false) => {
            // Anything between what is linear and what a limiter may take is true.
            let nearest = db.clamp(truth - channel.below_db, truth + channel.above_db);
            remarks.push(Remark::figure(format!("{what} level"), *db, *half, nearest, 0.05));
        }
        _ => {}
    }
    remarks.extend(content(&what, row.last().copied().unwrap_or_default(), hz, channel));
    remarks
}

fn content(what: &str, told: &str, hz: f64, channel: &Channel) -> Option<Remark> {
    let over = channel.over_noise_db(hz)?;
    let what = format!("{what} content");
    let note = format!("told \"{told}\", {over:.0} dB over the radio's own noise");
    let open = ["uncertain", "open", "not told", "hidden"].iter().any(|word| told.contains(word));
    if open {
        // Near the line, or under the recorder's noise, open is the answer.
        let rightly = channel.over_capture_db(hz)? - channel.below_db < LINE_DB + 3.0;
        let fate = if rightly { Fate::Right } else { Fate::Open };
        return Some(Remark::new(what, fate, note));
    }
    if told.contains("gone") {
        return Some(Remark::sure(what, over - channel.below_db < LINE_DB + GREY_DB, note));
    }
    let present =
        ["stands", "attenuated", "lift", "present"].iter().any(|word| told.contains(word));
    present.then(|| Remark::sure(what, over > LINE_DB - GREY_DB, note))
}

fn roll_off(name: &str, table: &Rows, channel: &Channel) -> Vec<Remark> {
    let cell = |row: &str| -> Option<&str> {
        table.rows.iter().find(|r| r[0].starts_with(row)).and_then(|r| r.get(1)).copied()
    };
    let mut remarks = Vec::new();
    for down_db in [3.0, 6.0, 10.0] {
        let told = cell(&format!("{down_db:.0} dB down"));
        if channel.below_db == 0.0 {
            remarks.extend(told.map(|told| fall(name, down_db, told, channel)));
        }
    }
    if channel.below_db == 0.0 {
        remarks.extend(cell("slope").map(|told| slope(format!("{name} slope"), told, channel)));
    }
    remarks.extend(cell("polarity").map(|told| {
        let note = format!("told \"{told}\", inverts: {}", channel.inverts);
        let what = format!("{name} polarity");
        match (told.contains("inverted"), told.contains("kept")) {
            (true, false) => Remark::sure(what, channel.inverts, note),
            (false, true) => Remark::sure(what, !channel.inverts, note),
            _ => Remark::new(what, Fate::Open, note),
        }
    }));
    remarks
}

/// Where it falls: told with an interval, or as not reached within the range measured.
fn fall(name: &str, down_db: f64, told: &str, channel: &Channel) -> Remark {
    let what = format!("{name} {down_db:.0} dB down");
    let truth = channel.falls_at(down_db);
    let note = format!("told \"{told}\", is {truth:.1?}");
    if ["undecided", "open", "not told"].iter().any(|word| told.contains(word)) {
        return Remark::new(what, Fate::Open, note);
    }
    match (numbers(told).as_slice(), truth) {
        // The lowest line is at 10.5 Hz.
        ([], truth) => Remark::sure(what, truth.is_none_or(|(hz, _)| hz < 12.0), note),
        (_, None) => Remark::sure(what, false, note),
        ([hz, low, high, ..], Some((from, to))) => {
            let meets = |low: f64, high: f64| low <= to && high >= from;
            let inside = meets(low - 0.05, high + 0.05);
            // Twice as wide about its value, and the last digit.
            let wide = meets(hz - 2.0 * (hz - low) - 0.1, hz + 2.0 * (high - hz) + 0.1);
            Remark { covered: Some(inside), ..Remark::sure(what, wide, note) }
        }
        ([hz, ..], Some((from, to))) => {
            Remark::sure(what, (0.97 * from..=1.03 * to).contains(hz), note)
        }
    }
}

/// A slope said as sure is one number of dB per octave, or that there is none.
pub(super) fn slope(what: String, told: &str, channel: &Channel) -> Remark {
    let told = told.to_lowercase();
    let note = format!("told \"{told}\", order {:?}", channel.order);
    if ["undecided", "open", "not decided", "not told"].iter().any(|word| told.contains(word)) {
        return Remark::new(what, Fate::Open, note);
    }
    let is_whole = channel.band_db(12.589) > -1.5;
    let is_true = if told.contains("per octave") {
        let order = numbers(&told).first().map(|db| (db / 6.0).round() as usize);
        order.is_some() && order == channel.order
    } else if told.contains("no single slope") {
        channel.order.is_none() || channel.order > Some(6)
    } else {
        is_whole
    };
    Remark::sure(what, is_true, note)
}
