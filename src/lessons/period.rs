//! Why the wave's period doubles, and why a distortion figure that looks above the tone misses it.

use super::half::tone;
use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::Settings;

pub(super) const LESSON: Lesson = Lesson {
    title: "the wave repeats half as often",
    minutes: 10,
    question: "A half at -6 dB changes the wave plainly. How much harmonic distortion does a meter read, \
               which counts the lines at 2, 3, 4 ... times the tone?",
    choices: ["about 50 %", "next to nothing", "exactly 6 %"],
    right: 1,
    setups,
    look: "Scope: two strands, for every second swing differs; Partials: nothing to the right of the tone",
    pictures: &[(0, Shown::Scope), (0, Shown::Partials)],
    turn: Turn::octave_level((-30.0, 0.0), -6.0, 0.5),
    answer,
    because: "The half lies below the tone, where no harmonic is looked for. The wave comes back only after \
              two periods of the tone; after one it is another wave.",
    sure: "lines below -120 dB re the tone are the rounding of 24 bits",
    fails: "a divider that makes a square wave has harmonics of its half, and some of them fall on \
            harmonics of the tone: then even this meter sees something",
    try_it: "read the distortion of a device twice: above the tone, and below it; a dull tone above with a \
             clean half is the effect itself, not a fault",
};

fn setups() -> Vec<Setup> {
    vec![tone(Settings::default())]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let partials = readings[0].after.as_ref().and_then(|after| after.partials.as_ref());
    let percent = |share: f64| 100.0 * share;
    vec![
        Figure::new(
            "thd_percent",
            "harmonics above the tone",
            partials.map(|p| percent(p.thd_f)),
            "%",
        )
        .decimals(4),
        Figure::new(
            "below_percent",
            "lines below the tone",
            partials.map(|p| percent(p.below_ratio)),
            "%",
        ),
        Figure::new(
            "differs_percent",
            "difference of one swing to the next",
            differs(&readings[0]),
            "%",
        ),
    ]
}

/// r.m.s. of the difference of two swings, re the r.m.s. of both, in percent.
fn differs(readings: &Readings) -> Option<f64> {
    let (odd, even) = readings.scope.as_ref()?.swings();
    let square = |a: f64| a * a;
    let apart: f64 = odd.iter().zip(even).map(|(a, b)| square(a - b)).sum();
    let all: f64 = odd.iter().chain(even).map(|a| square(*a)).sum();
    (all > 0.0).then(|| 100.0 * (apart / all).sqrt())
}
