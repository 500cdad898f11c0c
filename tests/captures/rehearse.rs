//! Tunings rendered through the path itself, and Underpin as its own device under test.

use std::convert::Infallible;

use underpin::path::Path;
use underpin::planning::identify::identify;
use underpin::planning::rehearse::Rehearsal;
use underpin::planning::take_reading::Purpose;
use underpin::planning::tune::{Enclosure, Problem, Tuned, gentle, tune};
use underpin::settings::{Method, Order, Settings};
use underpin::signal::track::layout::Form;

use crate::propose::{problem, with_gone};
use crate::reading::first;
use crate::room::{Recorder, Stereo, played};
use crate::table::{Table, long};

fn rendered(problem: &Problem) -> Tuned {
    let rehearsal = Rehearsal::new(&problem.given);
    let Ok(tuned) = tune(problem, |settings| Ok::<_, Infallible>(rehearsal.levels_db(settings)));
    tuned
}

#[test]
fn what_is_predicted_is_what_is_rendered() {
    let mut table = Table::new(
        "tunings",
        &[
            "roll-off, target",
            "reach Hz",
            "predicted error dB",
            "rendered error dB",
            "prediction off inside dB",
            "in the lowest band dB",
        ],
    );
    let gently = Problem { target: gentle(), ..problem(2, 60.0, 31.5) };
    let ported = Problem { enclosure: Enclosure::Ported(32.0), ..problem(4, 90.0, 31.5) };
    let cases = [
        ("order 2, 80 Hz, flat", problem(2, 80.0, 31.5)),
        ("order 4, 80 Hz, flat, below gone", with_gone(problem(4, 80.0, 31.5))),
        ("order 3, 63 Hz, flat", problem(3, 63.0, 31.5)),
        ("order 2, 60 Hz, gentle", gently),
        ("order 4, 60 Hz, flat, below gone", with_gone(problem(4, 60.0, 25.0))),
        ("order 4, 90 Hz, ported 32 Hz, below gone", with_gone(ported)),
        ("order 8, 70 Hz, flat, below gone", with_gone(problem(8, 70.0, 31.5))),
    ];
    for (name, problem) in &cases[..if long() { cases.len() } else { 2 }] {
        let tuned = rendered(problem);
        let reach = tuned.proposal.reach_hz.unwrap();
        let (inside, edge) = tuned.surprise_db();
        table.row(&[
            (*name).into(),
            format!("{reach:.0}"),
            format!("{:.2}", tuned.proposal.error_db()),
            format!("{:.2}", tuned.error_db()),
            format!("{inside:.2}"),
            format!("{edge:.2}"),
        ]);
        // A band's mean power against the level at its middle: at 12 dB per octave and what is left
        // of it after the lift, a tenth of a decibel; inside 0.2 dB, at the edges 1 dB.
        for (band, came) in tuned.proposal.bands.iter().zip(&tuned.rendered_db) {
            let inside = band.hz > 1.1 * reach;
            let most = if inside { 0.2 } else { 1.0 };
            let error = (band.predicted_db - came).abs();
            assert!(
                band.hz < 0.99 * reach || error < most,
                "{name}, {:.0} Hz: {error:.2} dB",
                band.hz
            );
        }
    }
}

fn underpin(settings: &Settings) -> Stereo {
    let rate = 48_000.0;
    let mut lanes =
        played(Form::Long, rate).map(|c| c.iter().map(|x| *x as f32).collect::<Vec<_>>());
    let mut path = Path::new(rate, 2);
    path.set(settings);
    let [left, right] = &mut lanes;
    path.process(&mut [left, right], &mut ());
    lanes.map(|c| c.iter().map(|x| f64::from(*x)).collect())
}

#[test]
fn underpin_is_identified_as_a_device() {
    let methods =
        [("tracked", Method::Tracked), ("halved", Method::Halved), ("divided", Method::Divided)];
    let mut table = Table::new(
        "own methods",
        &[
            "method",
            "half asked dB",
            "half found dB",
            "3/2 of the tone dB",
            "low band found",
            "high-pass found",
        ],
    );
    for (name, method) in &methods[..if long() { 3 } else { 1 }] {
        let settings = Settings {
            octave_method: *method,
            octave_level_db: -6.0,
            low_band_gain_db: 5.0,
            low_band_centre_hz: 50.0,
            low_band_width_oct: 1.2,
            high_pass_order: Order::Second,
            high_pass_hz: 22.0,
            output_gain_db: -12.0,
            ..Settings::default()
        };
        let recorder = Recorder { rate: 48_000.0, clips: false, ..Recorder::default() };
        let reading = first(&recorder.record(&underpin(&settings))[..1], 48_000.0, Purpose::Device);
        let found = identify(&reading).unwrap();
        let (hz, width, db) = found.low_band.unwrap();
        let rung = found.rungs.iter().find(|r| r.hz == 80.0).unwrap();
        let three_halves = rung.one_and_a_half_db;
        let (order, corner) = found.high_pass.unwrap();
        let octave = found.octave_db.map_or("none".into(), |db| format!("{db:.2}"));
        table.row(&[
            (*name).into(),
            "-6".into(),
            octave,
            format!("{three_halves:.0}"),
            format!("{db:+.2} dB, {hz:.1} Hz, {width:.2} oct"),
            format!("order {order}, {corner:.1} Hz"),
        ]);
        assert!(
            (hz / 50.0).log2().abs() < 0.05
                && (width / 1.2).log2().abs() < 0.1
                && (db - 5.0).abs() < 0.2,
            "{name}: {hz} {width} {db}"
        );
        assert!(order == 2 && (corner / 22.0).log2().abs() < 0.05, "{name}: {order} {corner}");
        assert!((found.gain_db + 12.0).abs() < 0.1 && found.inverts == Some(false), "{name}");
        // A divider makes odd halves, (8/π)/|m² − 4| for m = 1, 3 … (the Fourier series of a sine
        // times a square wave of half its frequency); halving a phase makes none.
        match method {
            Method::Divided => assert!(three_halves > -30.0, "{name}: {three_halves}"),
            _ => assert!(three_halves < -60.0, "{name}: {three_halves}"),
        }
        let octave = found.octave_db.expect("an octave part");
        assert!((octave + 6.0).abs() < 0.5, "{name}: octave part at {octave} dB");
    }
}
