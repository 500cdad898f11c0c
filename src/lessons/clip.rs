//! Clipping, its harmonics, and a clip light that is early or late.

use super::setup::plain;
use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::Settings;
use crate::signal::{Kind, Tone};

pub(super) const LESSON: Lesson = Lesson {
    title: "clipping and the clip light",
    minutes: 10,
    question: "How far may a tone be driven over the rails before it has 1 % of harmonics?",
    choices: ["about 3 dB", "about a quarter of a decibel", "about 1 dB"],
    right: 1,
    setups,
    look: "Partials: the odd harmonics come up to the right of the tone",
    pictures: &[(0, Shown::Partials), (2, Shown::Waves), (2, Shown::Partials)],
    turn: Turn {
        name: "the third tone over the rails",
        unit: "dB",
        range: (0.0, 6.0),
        start: 3.0,
        step: 0.25,
        put: |setups, db| setups[2].settings.output_gain_db = (db - PEAK_OVER_DB) as f32,
    },
    answer,
    because: "A clipped top is flat and its corners are harmonics, the third first. 1 % is the usual mark of \
              the trade; a clip light that waits for the wave to stand flat comes much later.",
    sure: "the closed form for a hard clipper is 0.2513 dB for 1 %; soft rails bend earlier",
    fails: "music has peaks 10 dB and more above its mean: it clips where the tone still has room",
    try_it: "drive your device with a 50 Hz tone into a dummy load until its light comes on, and measure \
             the distortion there; never into loudspeakers",
};

/// A tone of -6 dBFS peaks so much over a rail of one half, in dB.
const PEAK_OVER_DB: f64 = 0.020_6;

fn setups() -> Vec<Setup> {
    let over = |name: &str, output_gain_db: f32| {
        let tone = Tone { hz: 50.0, level_dbfs: -6.0, ..Tone::default() };
        Setup {
            clips_at: Some(0.5),
            tone_hz: Some(50.0),
            ..Setup::new(name, Kind::Tone(tone), 2.0, Settings { output_gain_db, ..plain() })
        }
    };
    let over = |name: &str, db: f64| over(name, (db - PEAK_OVER_DB) as f32);
    vec![
        over("50 Hz, 0.25 dB over the rails", 0.2513),
        over("50 Hz, 1 dB over the rails", 1.0),
        over("50 Hz, driven far over the rails", 3.0),
    ]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let thd = |r: &Readings| Some(100.0 * r.after.as_ref()?.partials.as_ref()?.thd_f);
    vec![
        Figure::new("quarter_percent", "0.25 dB over", thd(&readings[0]), "%").decimals(2),
        Figure::new("one_percent", "1 dB over", thd(&readings[1]), "%").decimals(2),
        Figure::new("three_percent", "driven far over", thd(&readings[2]), "%").decimals(2),
    ]
}
