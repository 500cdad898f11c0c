//! Lift or make new: what each costs.

use super::setup::plain;
use super::{Lesson, Setup, Shown, Turn};
use crate::analysis::spectrum::Spectrum;
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::Settings;
use crate::signal::{Kind, Pink};

pub(super) const LESSON: Lesson = Lesson {
    title: "lift it, or make it new",
    minutes: 15,
    question: "A radio has taken 13 dB at 40 Hz, but something is left. What does lifting it cost that \
               making it new does not?",
    choices: ["noise is lifted with it", "the midrange gets quieter", "nothing"],
    right: 0,
    setups,
    look: "Spectrum: lifted by the low band, then filled by the octave part",
    pictures: &[(0, Shown::Spectrum), (1, Shown::Spectrum)],
    turn: Turn {
        name: "lift at 40 Hz",
        unit: "dB",
        range: (0.0, 12.0),
        start: 12.0,
        step: 1.0,
        put: |setups, db| setups[0].settings.low_band_gain_db = db as f32,
    },
    answer,
    because: "A filter cannot tell music from hiss: both rise by the same decibels. The octave part makes \
              its tones from what is still strong an octave above and leaves the hiss where it was; but \
              its tones are not those that were lost.",
    sure: "levels of third octaves to 0.5 dB with 8 s of noise",
    fails: "where nothing is left to lift, lifting brings hiss alone; where the octave above is empty, \
            nothing can be made",
    try_it: "let \"underpin diagnose\" tell programme over noise in each band: 15 dB or more can be lifted",
};

fn setups() -> Vec<Setup> {
    let pink = || Kind::Pink(Pink { level_dbfs: -20.0, ..Pink::default() });
    let behind = |name: &str, settings: Settings| Setup {
        radio_hz: Some(58.0),
        ..Setup::new(name, pink(), 8.0, settings)
    };
    let lifted = Settings {
        low_band_gain_db: 12.0,
        low_band_centre_hz: 40.0,
        low_band_width_oct: 1.0,
        ..plain()
    };
    vec![
        behind("the radio, lifted by 12 dB at 40 Hz", lifted),
        behind("the radio, with an octave part", Settings { octave_level_db: 3.0, ..plain() }),
    ]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let power = |spectrum: &Spectrum| spectrum.power_between(35.5, 44.7);
    let db = |ratio: f64| 10.0 * ratio.log10();
    let rises =
        |r: &Readings| Some(db(power(&r.after.as_ref()?.spectrum) / power(&r.before.spectrum)));
    // What was there, music and hiss alike, as it leaves the line.
    let old = |r: &Readings| {
        let inside = r.strata.as_ref()?;
        let filter = power(&inside.low_band) / power(&inside.blend);
        Some(db(power(&inside.dry) * filter / power(&r.before.spectrum)))
    };
    vec![
        Figure::new("lifted_db", "40 Hz rises, lifted", rises(&readings[0]), "dB"),
        Figure::new("lifted_noise_db", "and what was there, hiss too, by", old(&readings[0]), "dB"),
        Figure::new("new_db", "40 Hz rises, made new", rises(&readings[1]), "dB"),
        Figure::new("new_noise_db", "and what was there, hiss too, by", old(&readings[1]), "dB"),
    ]
}
