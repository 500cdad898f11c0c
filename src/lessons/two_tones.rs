//! Two tones at once: by component, the whole band, a divider.

use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::{Method, Settings};
use crate::signal::{Kind, Tone};

pub(super) const LESSON: Lesson = Lesson {
    title: "two tones at once",
    minutes: 10,
    question: "54 and 82 Hz sound together. Which methods give 27 and 41 Hz and nothing else?",
    choices: [
        "every method",
        "only the one that halves each component by itself",
        "only the divider",
    ],
    right: 1,
    setups,
    look: "Partials: how many lines stand to the left of the tones",
    pictures: &[(0, Shown::Spectrum), (1, Shown::Spectrum), (2, Shown::Spectrum)],
    turn: Turn {
        name: "level of the second tone",
        unit: "dBFS",
        range: (-45.0, -15.0),
        start: -15.0,
        step: 1.0,
        put: second_tone,
    },
    answer,
    because: "Two tones together are one wave whose size beats. Halving that wave makes further tones \
              beside the halves (intermodulation); a divider follows its crossings of zero and makes many.",
    sure: "to 0.5 dB; tones 28 Hz apart are far enough for the components to be told apart",
    fails: "tones nearer than a few hertz are one beating tone to every method",
    try_it: "play a bass guitar's fifth through your device and count the lines below 60 Hz",
};

/// The tones in Hz, and half the width of a line under the window.
const TONES_HZ: [f64; 2] = [54.0, 82.0];
const LINE_HZ: f64 = 1.25;

fn setups() -> Vec<Setup> {
    let tone = |hz: f64| Tone { hz, level_dbfs: -15.0, ..Tone::default() };
    let by = |name: &str, octave_method: Method| {
        let settings = Settings { octave_method, octave_level_db: 0.0, ..Settings::default() };
        Setup {
            tone_hz: Some(TONES_HZ[0]),
            ..Setup::new(name, Kind::Tones(TONES_HZ.map(tone).to_vec()), 4.0, settings)
        }
    };
    vec![
        by("each component by itself", Method::Tracked),
        by("the whole band at once", Method::Halved),
        by("a divider", Method::Divided),
    ]
}

/// Puts the level of the second tone.
fn second_tone(setups: &mut [Setup], dbfs: f64) {
    for setup in setups {
        if let Kind::Tones(tones) = &mut setup.signal {
            tones[1].level_dbfs = dbfs;
        }
    }
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let told = [
        "tracked: all else re the halves (-120 is nothing)",
        "halved: the same",
        "divided: the same",
    ];
    let keys = ["tracked_else_db", "halved_else_db", "divided_else_db"];
    let figure = |((key, name), r): ((&'static str, &str), &Readings)| {
        Figure::new(key, name, all_else_db(r), "dB")
    };
    keys.into_iter().zip(told).zip(readings).map(figure).collect()
}

/// Fainter than this is not told: the rounding of 20 bits, in dB.
const LEAST_DB: f64 = -120.0;

/// Of the octave part alone, everything from 4 to 400 Hz but the halves, re both halves together.
fn all_else_db(readings: &Readings) -> Option<f64> {
    let spectrum = &readings.strata.as_ref()?.octave;
    let near = |hz: f64| spectrum.power_between(hz / 2.0 - LINE_HZ, hz / 2.0 + LINE_HZ);
    let halves: f64 = TONES_HZ.map(near).iter().sum();
    let rest = (spectrum.power_between(4.0, 400.0) - halves).max(1e-30);
    (halves > 0.0).then(|| (10.0 * (rest / halves).log10()).max(LEAST_DB))
}
