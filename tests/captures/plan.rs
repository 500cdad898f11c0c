//! The plan: kept as a file, read back the same, refused when it is none.

use std::convert::Infallible;

use underpin::curve::Curve;
use underpin::planning::rehearse::Rehearsal;
use underpin::planning::tune::{Enclosure, Problem, flat, tune};
use underpin::presets::Preset;
use underpin::report::Plan;

use crate::decide::{Radio, session};

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
