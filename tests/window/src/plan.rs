//! A plan for an invented car, from recordings of the track through a fourth-order high-pass.

use std::convert::Infallible;

use underpin::curve::Curve;
use underpin::dsp::high_pass::HighPass;
use underpin::planning::capture::Capture;
use underpin::planning::diagnose::diagnose;
use underpin::planning::rehearse::Rehearsal;
use underpin::planning::take_reading::{Purpose, TakeReading};
use underpin::planning::tune::{Enclosure, MOST_LIFT_DB, Problem, flat, tune};
use underpin::presets::Preset;
use underpin::report::Plan;
use underpin::settings::{Order, Settings};
use underpin::signal::track::Track;
use underpin::signal::track::layout::Form;

const RATE_HZ: u32 = 12_000;

/// The plan; made once.
pub fn plan() -> Plan {
    static MADE: std::sync::LazyLock<Plan> = std::sync::LazyLock::new(make);
    MADE.clone()
}

fn make() -> Plan {
    let takes: Vec<TakeReading> = [(0.2, 60.0), (0.05, 50.0)].map(take).into_iter().collect();
    let found = diagnose(&takes, None).expect("a diagnosis");
    let channel = &found.channels[0];
    let problem = Problem {
        given: Curve::new(channel.bands.iter().map(|band| (band.hz, band.db))),
        contents: channel.contents.clone(),
        target: flat(),
        down_to_hz: 31.5,
        enclosure: Enclosure::Sealed,
        octave: true,
        most_lift_db: MOST_LIFT_DB,
    };
    let rehearsal = Rehearsal::new(&problem.given);
    let Ok(tuned) = tune(&problem, |settings| Ok::<_, Infallible>(rehearsal.levels_db(settings)));
    Plan::new(&found, &tuned, &Preset::new("Invented car", "", tuned.proposal.settings))
}

/// The track at a gain through a high-pass at a corner in Hz.
fn take((gain, hz): (f64, f32)) -> TakeReading {
    let track = Track::new(Form::Short, 0, RATE_HZ.into());
    let mut high_pass = HighPass::new(RATE_HZ.into());
    high_pass.set(&Settings {
        high_pass_order: Order::Fourth,
        high_pass_hz: hz,
        ..Settings::default()
    });
    high_pass.reset();
    let mut heard: Vec<f64> = (0..track.samples()).map(|n| track.frame(n)[0]).collect();
    let mut right = heard.clone();
    high_pass.process(&mut heard, &mut right);
    let heard: Vec<f32> = heard.into_iter().map(|x| (gain * x) as f32).collect();
    let mut found = Vec::new();
    let mut capture = Capture::new(RATE_HZ, 1).expect("a rate");
    capture.push(&[&heard], |take| found.push(take));
    capture.finish(|take| found.push(take));
    TakeReading::new(&found.remove(0).expect("a take"), Purpose::Radio)
}
