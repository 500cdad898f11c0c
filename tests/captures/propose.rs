//! Tunings: how far one band reaches, and that nothing is asked of it beyond.

use underpin::curve::Curve;
use underpin::planning::content::{BandContent, Content};
use underpin::planning::tune::{Enclosure, Problem, Proposal, bands_hz, flat, gentle, propose};

use crate::filters::Cascade;

/// A radio with a Butterworth high-pass, all of it there to lift.
pub(crate) fn problem(order: usize, hz: f64, down_to_hz: f64) -> Problem {
    let filter = Cascade::high_pass(order, hz, 48_000.0);
    Problem {
        given: Curve::sampled(10.0, 1600.0, 800, |f| filter.db(f, 48_000.0)),
        contents: Vec::new(),
        target: flat(),
        down_to_hz,
        enclosure: Enclosure::Sealed,
        octave: false,
        most_lift_db: 12.0,
    }
}

#[track_caller]
fn check_reach(order: usize, hz: f64, want_hz: f64) -> Proposal {
    let found = propose(&problem(order, hz, 31.5), None);
    let reach = found.reach_hz.expect("some band is reached");
    // One third-octave band either way: the reach is a threshold on a grid.
    assert!(
        (reach / want_hz).log2().abs() < 0.34,
        "order {order}, {hz} Hz: {reach} Hz, {:?}",
        found.settings
    );
    assert!(found.error_db() <= 1.5);
    found
}

#[test]
fn one_band_of_12_db_extends_as_far_as_arithmetic_allows() {
    // An inverse of 12 dB: where a Butterworth roll-off has lost 12 dB (analogue formula) is as far
    // as 12 dB can lift, give or take the 1.5 dB that count as reached.
    for (order, corner) in [(2, 63.0), (2, 80.0), (3, 80.0), (4, 80.0), (4, 100.0)] {
        let lost = 10f64.powf((12.0 + 1.5) / 10.0) - 1.0;
        let edge = corner * lost.powf(-1.0 / (2.0 * f64::from(order)));
        check_reach(order as usize, corner, edge.max(31.5));
    }
}

#[test]
fn the_unreachable_does_not_spoil_what_is_above() {
    let found = check_reach(4, 80.0, 54.0);
    for band in found.bands.iter().filter(|b| b.hz > 1.01 * found.reach_hz.unwrap()) {
        assert!(band.predicted_db < 1.6, "{band:?}");
    }
    assert!(found.headroom_db < 1.6 && found.full_lift_db <= 12.01);
}

#[test]
fn limits_are_kept() {
    let mut tight = problem(2, 80.0, 31.5);
    tight.most_lift_db = 6.0;
    tight.enclosure = Enclosure::Ported(35.0);
    let found = propose(&tight, None);
    assert!(found.settings.low_band_gain_db <= 6.0);
    assert!((f64::from(found.settings.high_pass_hz) / 35.0 - 0.8).abs() < 1e-3);
    assert!(found.reach_hz > propose(&problem(2, 80.0, 31.5), None).reach_hz);
}

/// The same with noise 35 dB below the mid band: what 15 dB do not clear is gone.
pub(crate) fn with_gone(mut problem: Problem) -> Problem {
    problem.octave = true;
    problem.contents = bands_hz()
        .map(|hz| {
            let response_db = problem.given.at(hz).unwrap();
            let over_noise_db = response_db + 35.0;
            let content = if over_noise_db > 15.0 { Content::Attenuated } else { Content::Gone };
            BandContent {
                hz,
                content,
                over_noise_db,
                sd_db: 0.1,
                response_db,
                noise_dbfs: -70.0,
                measured: true,
                with_signal: false,
            }
        })
        .collect();
    problem
}

#[test]
fn what_is_gone_is_made_new_not_lifted() {
    let gone = with_gone(problem(4, 80.0, 31.5));
    let found = propose(&gone, None);
    assert!(found.settings.octave_level_db > -20.0, "{:?}", found.settings);
    let reach = found.reach_hz.unwrap();
    assert!(reach < 41.0, "{reach}");
    assert!(found.bands.iter().filter(|b| b.hz < 40.0 && b.hz >= 0.99 * reach).all(|b| b.octave));
}

#[test]
fn no_octave_note_falls_below_the_tuning_of_a_ported_box() {
    let mut deep = problem(4, 100.0, 25.0);
    deep.octave = true;
    deep.enclosure = Enclosure::Ported(38.0);
    let found = propose(&deep, None).settings;
    assert!(found.octave_level_db > -60.0, "{found:?}");
    assert!(found.octave_floor_hz >= 38.0 && found.octave_from_hz >= 76.0, "{found:?}");
}

#[test]
fn the_gentle_curve_rises_two_db_an_octave() {
    assert!((gentle().at(80.0).unwrap() - 2.0).abs() < 1e-9);
    assert!((gentle().at(20.0).unwrap() - 4.0).abs() < 1e-9);
}
