//! The finding in a sentence or two, composed from the readings.

use crate::analysis::partials::Line;
use crate::figures::{hertz, level, percent};
use crate::measure::Side;
use crate::measure::layers::{BandLayers, Layers, asked};
use crate::plot::Cause;
use crate::plot::full_scale::leaves;
use crate::report::comparing::{WORTH_SAYING_DB, of_change};
use crate::report::{Run, Sentence, Sheet};
use crate::units::db_to_power;

/// Below this, re the tone, a lossy codec makes lines of its own that stand as still as a half: 96
/// kbit/s of MP3 left one at −89 dB, AAC and Vorbis broad ones up to −53 dB (tried by hand).
const LOSSY_LINE_DB: f64 = -50.0;

/// Odd halves that are worth a word, as a share of the tone: the rounding of 20 bits.
const LEAST_ODD: f64 = 1e-6;

/// The finding of `sheet`: its own, or one composed from its readings.
pub fn finding(sheet: &Sheet) -> Sentence {
    if !sheet.finding.is_empty() {
        return sheet.finding.clone();
    }
    let broad = sheet.broad().and_then(|run| of_bands(sheet, run));
    let told =
        broad.or_else(|| sheet.tone().and_then(|run| of_tone(sheet, run))).unwrap_or_default();
    let told = if told.is_empty() { of_level(sheet) } else { told };
    beyond_full_scale(&sheet.runs, verdict(sheet, told))
}

/// What is told of runs, behind the one thing that comes first: that full scale is left.
pub fn beyond_full_scale(runs: &[Run], told: Sentence) -> Sentence {
    let over = runs.iter().map(|run| run.out().level.peak_dbfs).fold(f64::MIN, f64::max);
    let Some(words) = leaves(over) else { return told };
    let first = Sentence::default().name(Cause::Fault, format!("The peak {words}"));
    let first = first.say(": any integer format and any converter clips it. ");
    Sentence { said: [first.said, told.said].concat() }
}

/// What the radio gives at the band that tells most, and who added what there.
fn of_bands(sheet: &Sheet, run: &Run) -> Option<Sentence> {
    let mut strata = Layers::thirds(&run.readings, 25.0, 160.0);
    let target = sheet.target.as_ref();
    if strata.bands.iter().any(|band| asked(target, band.hz).is_some()) {
        strata.bands.retain(|band| asked(target, band.hz).is_some());
    }
    let band = telling(&strata)?;
    if !strata.has_out {
        return None;
    }
    if !strata.has_layers {
        return Some(of_change(&strata, run));
    }
    // Only where something is asked of it, or is known of what went in, was a radio heard.
    let arrives = match sheet.target.is_some() || sheet.original.is_some() {
        true => ("the radio gives", " "),
        false => ("what arrives", " stands "),
    };
    let at = format!("At {} ", hertz(band.hz));
    let mut told = Sentence::default().say(at).name(Cause::Given, arrives.0);
    let much = more_or_less(band.given);
    told = told.say(format!("{}{much} than from 200 Hz to 1 kHz.", arrives.1));
    let octave = band.octave_added();
    let low_band = band.low_band_added();
    if octave >= WORTH_SAYING_DB {
        told = told.say(" The ").name(Cause::Octave, "octave part");
        told = told.say(format!(" adds {} dB there", level(octave, 0)));
    }
    if low_band.abs() >= WORTH_SAYING_DB {
        let verb = match (low_band > 0.0, octave >= WORTH_SAYING_DB) {
            (true, true) => "",
            (true, false) => " adds",
            (false, _) => " takes",
        };
        let verb = format!("{verb} {} dB", level(low_band.abs(), 0));
        let start = if octave >= WORTH_SAYING_DB { ", the " } else { " The " };
        told = told.say(start).name(Cause::LowBand, "low band").say(verb);
    }
    if octave >= WORTH_SAYING_DB || low_band.abs() >= WORTH_SAYING_DB {
        told = told.say(".");
    }
    told = told.say(" ").name(Cause::Out, "What comes out");
    Some(match asked(target, band.hz).map(|asked| band.out - asked) {
        Some(_) if band.out <= -200.0 => told.say(" is silent."),
        Some(off) if off.abs() < WORTH_SAYING_DB => {
            told.say(" meets the ").name(Cause::Target, "target").say(".")
        }
        Some(off) => {
            let side = if off < 0.0 { "short of" } else { "above" };
            let words = format!(" is {} dB {side} the ", level(off.abs(), 0));
            told.say(words).name(Cause::Target, "target").say(".")
        }
        None if band.out <= -200.0 => told.say(" is silent."),
        None => told.say(format!(" stands at {} dB.", level(band.out, 0))),
    })
}

/// The band in which the stages added most, or the one the radio gives least of.
fn telling(strata: &Layers) -> Option<&BandLayers> {
    let added = |band: &&BandLayers| (band.out - band.given).abs();
    let most = strata.bands.iter().max_by(|a, b| added(a).total_cmp(&added(b)))?;
    if added(&most) >= WORTH_SAYING_DB {
        return Some(most);
    }
    strata.bands.iter().min_by(|a, b| a.given.total_cmp(&b.given))
}

/// What stands below the tone, and what stands above it.
fn of_tone(sheet: &Sheet, run: &Run) -> Option<Sentence> {
    let partials = run.out().partials.as_ref()?;
    let told = Sentence::default().say(format!("Beside the {} tone ", hertz(partials.tone_hz)));
    let half = partials.below.iter().find(|line| (line.order - 0.5).abs() < 1e-6);
    // What a codec leaves far below a tone is no effect of a line.
    let half = half.filter(|half| !sheet.lossy || half.re_tone_db > LOSSY_LINE_DB);
    let told = match (half, partials.below.is_empty()) {
        (Some(half), _) => told.say("the ").name(Cause::Octave, "octave part").say(format!(
            " stands at {} Hz, {} dB.",
            level(half.hz, 1),
            level(half.re_tone_db, 1)
        )),
        (None, true) => told.say("nothing stands below."),
        (None, false) if sheet.lossy => told.say("nothing stands below but what a codec leaves."),
        (None, false) => told.say("no half stands below, but other lines do."),
    };
    let odd = odd_halves(&partials.odd_halves);
    let told = told.say(format!(" Above it harmonics {}", share(partials.thd_f)));
    let told = match odd > LEAST_ODD {
        true => told.say(format!(" and odd halves (3/2, 5/2 ...) {}", share(odd))),
        false => told,
    };
    Some(match sheet.harmonics_limit {
        Some(limit) if partials.thd_f.hypot(odd) > limit => {
            told.say(", ").name(Cause::Fault, "over the limit").say(".")
        }
        _ => told.say("."),
    })
}

/// `of 0.5 %`, `below 0.0001 %`.
fn share(share: f64) -> String {
    let words = percent(share);
    words.strip_prefix("< ").map_or(format!("of {words}"), |most| format!("below {most}"))
}

/// r.m.s. sum of the odd halves above a tone, as a share of the tone: they are no harmonics, but
/// they are not clean either.
fn odd_halves(lines: &[Line]) -> f64 {
    lines.iter().map(|line| db_to_power(line.re_tone_db)).sum::<f64>().sqrt()
}

/// The level of the first run, when there is nothing else to tell.
fn of_level(sheet: &Sheet) -> Sentence {
    let Some(run) = sheet.runs.first() else {
        return if sheet.tables.is_empty() { "Nothing was measured.".into() } else { "".into() };
    };
    let level_ = run.out().level;
    let words = format!(
        "{}: {} dBFS r.m.s., true peak {} dBTP.",
        run.name,
        level(level_.rms_dbfs, 1),
        level(level_.true_peak_dbtp, 1)
    );
    words.into()
}

/// Adds what was missed, and what is clipped already.
fn verdict(sheet: &Sheet, told: Sentence) -> Sentence {
    let missed = sheet.proofs.iter().filter(|proof| proof.met() == Some(false)).count();
    let told = match missed {
        0 => told,
        1 => told.say(" ").name(Cause::Fault, "One limit is missed").say("."),
        n => told.say(" ").name(Cause::Fault, format!("{n} limits are missed")).say("."),
    };
    let open = sheet.proofs.iter().filter(|proof| proof.met().is_none()).count();
    let told = match open {
        0 => told,
        1 => told.say(" One limit could not be measured and is open."),
        n => told.say(format!(" {n} limits could not be measured and are open.")),
    };
    let clips = |side: &Side| side.clipping.digital_runs + side.clipping.flat_runs > 0;
    if sheet.runs.iter().any(|run| clips(&run.readings.before)) {
        return told.say(" ").name(Cause::Fault, "What arrives is clipped already").say(".");
    }
    match sheet.runs.iter().any(|run| clips(run.out())) {
        true => told.say(" ").name(Cause::Fault, "The output clips").say("."),
        false => told,
    }
}

/// `32 dB less`, `2 dB more`, `the same`.
fn more_or_less(db: f64) -> String {
    match db {
        db if db.abs() < WORTH_SAYING_DB => "no less".into(),
        db if db < 0.0 => format!("{} dB less", level(-db, 0)),
        db => format!("{} dB more", level(db, 0)),
    }
}
