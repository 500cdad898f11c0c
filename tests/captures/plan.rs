//! The plan: kept as a file, read back the same, refused when it is none.

use std::convert::Infallible;

use underpin::curve::Curve;
use underpin::planning::diagnose::{Diagnosis, diagnose};
use underpin::planning::rehearse::Rehearsal;
use underpin::planning::take_reading::{Purpose, TakeReading};
use underpin::planning::tune::{Enclosure, Problem, Tuned, flat, tune};
use underpin::presets::Preset;
use underpin::report::{self, Plan, Sheet};
use underpin::signal::track::layout::Form;

use crate::decide::{Radio, session};
use crate::filters::Cascade;
use crate::reading::first;
use crate::room::{Recorder, Stereo, played};

fn plan() -> (Plan, Preset) {
    let radio = Radio { order: 2, hz: 70.0, eq_db: 6.0, limit_dbfs: 1.0 };
    let found = session(&radio, &[-24.0, -8.0], 3);
    let bands = found.channels[0].bands.iter().map(|band| (band.hz, band.db));
    let problem = Problem {
        given: Curve::new(bands),
        contents: Vec::new(),
        target: flat(),
        down_to_hz: 31.5,
        enclosure: Enclosure::Sealed,
        octave: false,
        most_lift_db: 12.0,
    };
    let rehearsal = Rehearsal::new(&problem.given);
    let Ok(tuned) = tune(&problem, |settings| Ok::<_, Infallible>(rehearsal.levels_db(settings)));
    let preset = Preset::new("Invented", "a \"quoted\" word", tuned.proposal.settings);
    (Plan::new(&found, &tuned, &preset), preset)
}

#[test]
fn a_plan_is_read_back_as_it_was_kept() {
    let (plan, preset) = plan();
    let text = plan.to_toml();
    assert_eq!(Plan::parse(&text).expect("a plan"), plan);
    assert_eq!(plan.preset().expect("settings"), preset);
    let volume = plan.found.iter().find(|found| found.what == "Volume steps").expect("a row");
    assert!(volume.sure && volume.told.contains("falls with the volume"), "{volume:?}");
    assert_eq!(plan.table().rows.len(), plan.found.len());
}

#[test]
fn what_is_no_plan_is_refused_with_one_sentence() {
    let good = plan().0.to_toml();
    let newer = good.replacen("schema = 1", "schema = 9", 1);
    let spoilt = good.replacen("high_pass.order = 2", "high_pass.order = 7", 1);
    for (text, word) in [
        ("", "not a plan"),
        ("a = [", "not a plan"),
        (&newer, "schema 9"),
        (&spoilt, "high_pass.order"),
    ] {
        let why = Plan::parse(text).expect_err("no plan");
        assert!(why.contains(word) && !why.contains('\n'), "{why}");
    }
}

/// The plan of a diagnosis, with a tuning of no matter what.
fn plan_for(found: &Diagnosis) -> Plan {
    let tuned = tuned(2, 70.0, Enclosure::Sealed);
    let preset = Preset::new("Invented", "", tuned.proposal.settings);
    Plan::new(found, &tuned, &preset)
}

/// A tuning for a radio with a Butterworth high-pass.
fn tuned(order: usize, hz: f64, enclosure: Enclosure) -> Tuned {
    let problem = Problem { enclosure, ..crate::propose::problem(order, hz, 31.5) };
    let rehearsal = Rehearsal::new(&problem.given);
    let Ok(tuned) = tune(&problem, |settings| Ok::<_, Infallible>(rehearsal.levels_db(settings)));
    tuned
}

/// What a plan tells about a point, and whether it is sure.
#[track_caller]
fn told(plan: &Plan, what: &str) -> (String, bool) {
    let found = plan.found.iter().find(|found| found.what.starts_with(what));
    let found = found.unwrap_or_else(|| panic!("no {what}: {:?}", plan.found));
    (found.told.clone(), found.sure)
}

/// The diagnosis of one take of the track as it comes out of a radio.
fn one_take(sound: &Stereo, noise_dbfs: f64, channels: usize) -> TakeReading {
    let recorder = Recorder { rate: 12_000.0, gain_db: -9.0, noise_dbfs, ..Recorder::default() };
    first(&recorder.record(sound)[..channels], 12_000.0, Purpose::Radio)
}

#[test]
fn a_plan_tells_a_fixed_radio_as_fixed() {
    let radio = Radio { order: 4, hz: 80.0, eq_db: 0.0, limit_dbfs: 1.0 };
    let plan = plan_for(&session(&radio, &[-24.0, -8.0], 3));
    assert_eq!(told(&plan, "Volume steps"), ("the same at every step captured".into(), true));
    assert_eq!(told(&plan, "Level").0, "no limiter up to \u{2212}6 dBFS");
    let (slope, sure) = told(&plan, "Roll-off");
    assert!(sure && slope.starts_with("24 dB per octave, 3 dB down at 80 Hz"), "{slope}");
}

#[test]
fn a_plan_is_not_sure_of_what_the_recorder_hides() {
    let radio = Cascade::high_pass(4, 90.0, 12_000.0);
    let sound = played(Form::Short, 12_000.0);
    let heard = sound.clone().map(|mut channel| {
        radio.run(&mut channel);
        channel
    });
    let take = one_take(&heard, -52.0, 1);
    let blind = diagnose(std::slice::from_ref(&take), None).expect("a diagnosis");
    let known = diagnose(&[take], Some(&one_take(&sound, -52.0, 1))).expect("a diagnosis");
    // Without a loop-back the noise may be the recorder's; with one it is known to be.
    for found in [&blind, &known] {
        let (words, sure) = told(&plan_for(found), "Below");
        assert!(!sure && words.contains("hidden"), "{words}");
    }
}

#[test]
fn a_plan_tells_channels_and_clean_range_as_planted() {
    let sound = played(Form::Short, 12_000.0);
    let turned = [sound[0].clone(), sound[1].iter().map(|x| -x).collect()];
    let plan = plan_for(&diagnose(&[one_take(&turned, -95.0, 2)], None).expect("a diagnosis"));
    assert_eq!(told(&plan, "Channels"), ("the second is inverted".into(), true));
    let plan = plan_for(&diagnose(&[one_take(&sound, -95.0, 2)], None).expect("a diagnosis"));
    assert_eq!(told(&plan, "Channels"), ("in phase".into(), true));
    assert_eq!(told(&plan, "Clean").0, "at every step captured, to \u{2212}9.0 dB");
    // A bend of second order, 10 % at full scale.
    let bent = sound.map(|c| c.iter().map(|x| x + 0.1 * x * x).collect());
    let plan = plan_for(&diagnose(&[one_take(&bent, -95.0, 1)], None).expect("a diagnosis"));
    assert_eq!(told(&plan, "Clean").0, "not at \u{2212}9.0 dB, the lowest step");
}

#[test]
fn a_specification_asks_for_the_slope_and_the_volts_that_follow() {
    for (enclosure, slope) in [
        (Enclosure::Sealed, "12 dB per octave, -3 dB at 18 Hz"),
        (Enclosure::Ported(35.0), "24 dB per octave, -3 dB at 28 Hz"),
    ] {
        let mut sheet = Sheet::new("planted");
        report::tuning(&mut sheet, &tuned(4, 80.0, enclosure));
        let table = |title: &str| {
            sheet.tables.iter().find(|t| t.title == title).expect("the table").rows.clone()
        };
        let asked = |row: &str| {
            let rows = table("Specification");
            rows.iter().find(|r| r[0].starts_with(row)).expect("the row")[1].clone()
        };
        let first = |words: String| -> f64 {
            words.split_whitespace().next().expect("a figure").parse().expect("a number")
        };
        assert_eq!(asked("subsonic high-pass"), slope);
        // A volt raised by so many decibels, printed to a tenth.
        let room_db = first(asked("clean above"));
        let volts = first(asked("output voltage"));
        assert!((volts - 10f64.powf(room_db / 20.0)).abs() < 0.051, "{volts} V for {room_db} dB");
        // 24 dB per octave from 80 Hz lie 12 dB down at 54 Hz: nothing lifts the bands below 50.
        for row in table("Tuning") {
            let hz: f64 = row[0].parse().expect("Hz");
            let by = row.last().expect("a cell").as_str();
            let wanted = if hz < 48.0 { "left undone" } else { "low band" };
            assert!(by == wanted || (48.0..60.0).contains(&hz), "{hz} Hz: {by}");
        }
    }
}
