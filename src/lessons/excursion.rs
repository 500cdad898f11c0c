//! Headroom and excursion an octave down.

use super::half::tone;
use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::Settings;

pub(super) const LESSON: Lesson = Lesson {
    title: "an octave down costs excursion",
    minutes: 10,
    question: "A half is to be as loud as its tone, an octave above. How much further must the cone move?",
    choices: ["as far", "twice as far", "four times as far"],
    right: 2,
    setups,
    look: "Partials: both lines of one height; then think of the cone",
    pictures: &[(0, Shown::Partials)],
    turn: Turn::octave_level((-12.0, 0.0), 0.0, 0.5),
    answer,
    because: "Sound pressure goes with the cone's acceleration: at half the frequency the same pressure \
              takes four times the way, 12 dB. The line has that room; the driver may not.",
    sure: "the square of the frequency is exact for a small closed piston; the driver's own limits are not \
           in it",
    fails: "a ported box moves its cone less near its tuning, and without any load below it",
    try_it: "ask \"underpin box\" how far your driver goes, before you raise an octave part",
};

fn setups() -> Vec<Setup> {
    vec![tone(Settings { octave_level_db: 0.0, ..Settings::default() })]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let partials = readings[0].after.as_ref().and_then(|after| after.partials.as_ref());
    let half = partials.and_then(|p| p.below.iter().find(|line| line.order == 0.5));
    let level = half.map(|line| line.re_tone_db);
    let further = half.map(|line| 10f64.powf(line.re_tone_db / 20.0) / line.order.powi(2));
    vec![
        Figure::new("half_re_tone_db", "the half re the tone", level, "dB").decimals(2),
        Figure::new("excursion_times", "the cone moves for it, re the tone", further, "times")
            .decimals(2),
    ]
}
