//! Level-matched listening.

use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::Settings;
use crate::signal::{Kind, Pink};

pub(super) const LESSON: Lesson = Lesson {
    title: "louder wins",
    minutes: 5,
    question: "With and without the effect are compared by ear. What has to be done first?",
    choices: [
        "both are made equally loud",
        "the effect is turned up until it is plainly heard",
        "nothing: the ear is fair",
    ],
    right: 0,
    setups,
    look: "the loudness of both sides, in LUFS",
    pictures: &[(0, Shown::Spectrum)],
    turn: Turn {
        name: "gain of the low band",
        unit: "dB",
        range: (0.0, 18.0),
        start: 9.0,
        step: 1.0,
        put: |setups, db| setups[0].settings.low_band_gain_db = db as f32,
    },
    answer,
    because: "A difference of a few tenths of a decibel is heard as better, not as louder. Whoever compares \
              without matching has measured the volume.",
    sure: "loudness by ITU-R BS.1770 to 0.1 LU; it counts low bass less than the ear's own feeling may, so \
           that matched bass can still seem louder",
    fails: "on small loudspeakers the low bass is not heard at all, and the match is too careful",
    try_it: "let \"underpin render song.wav out.wav --match\" write the parts equally loud, and have \
             somebody else choose what plays",
};

fn setups() -> Vec<Setup> {
    let pink = Pink { level_dbfs: -20.0, ..Pink::default() };
    let settings = Settings { octave_level_db: 0.0, low_band_gain_db: 9.0, ..Settings::default() };
    vec![Setup::new("pink noise, -20 dBFS r.m.s.", Kind::Pink(pink), 10.0, settings)]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let before = readings[0].before.level.loudness_lufs;
    let after = readings[0].after.as_ref().and_then(|after| after.level.loudness_lufs);
    let apart = before.zip(after).map(|(before, after)| after - before);
    vec![
        Figure::new("before_lufs", "without the effect", before, "LUFS"),
        Figure::new("after_lufs", "with it", after, "LUFS"),
        Figure::new("match_db", "to be taken from it before listening", apart, "dB"),
    ]
}
