//! A kick drum: level and sign of its octave part.

use super::{Lesson, Setup, Shown, Turn};
use crate::measure::{Readings, Side};
use crate::report::Figure;
use crate::settings::Settings;
use crate::signal::{Kick, Kind};

pub(super) const LESSON: Lesson = Lesson {
    title: "a kick and the sign of its half",
    minutes: 10,
    question: "The phase of the octave part is turned by 180 degrees. What changes for a kick drum?",
    choices: [
        "how high the wave goes",
        "the frequency of the half",
        "nothing that can be measured",
    ],
    right: 0,
    setups,
    look: "Scope: the first swing with the half for it, then against it; Spectrum: the same in both",
    pictures: &[(0, Shown::Waves), (1, Shown::Waves), (0, Shown::Spectrum), (1, Shown::Spectrum)],
    turn: Turn {
        name: "phase of the octave part, turned over",
        unit: "degrees",
        range: (0.0, 180.0),
        start: 180.0,
        step: 15.0,
        put: |setups, degrees| setups[1].settings.octave_phase_deg = degrees as f32,
    },
    answer,
    because: "Tone and half have no fixed relation: at the stroke they start together, so that the sign \
              decides whether the first swing grows or shrinks. The spectrum does not show it.",
    sure: "peaks to 0.1 dB; which sign is punchier is for the ear, and differs from drum to drum",
    fails: "with a long note the two run through every relation, and the sign no longer matters",
    try_it: "turn \"octave.phase_deg\" from 0 to 180 on one drum loop, matched in level, without looking",
};

fn setups() -> Vec<Setup> {
    let turned = |name: &str, degrees: f32| {
        let kick = Kick { every_s: Some(1.0), ..Kick::default() };
        let settings =
            Settings { octave_phase_deg: degrees, octave_level_db: 0.0, ..Settings::default() };
        Setup::new(name, Kind::Kick(kick), 8.0, settings)
    };
    vec![turned("kick, the half as it is", 0.0), turned("kick, the half turned over", 180.0)]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let peak = |side: &Side| side.level.peak_dbfs;
    let rises = |r: &Readings| r.after.as_ref().map(|after| peak(after) - peak(&r.before));
    let bass = |r: &Readings| {
        let octave = r.strata.as_ref()?.octave.power_between(20.0, 36.0);
        let source = r.before.spectrum.power_between(40.0, 72.0);
        Some(10.0 * (octave / source).log10())
    };
    let octave = "octave part, 20 to 36 Hz, re the kick, 40 to 72 Hz";
    vec![
        Figure::new("peak_as_is_db", "peak re the kick's, as it is", rises(&readings[0]), "dB"),
        Figure::new("peak_turned_db", "peak re the kick's, turned over", rises(&readings[1]), "dB"),
        Figure::new("octave_as_is_db", octave, bass(&readings[0]), "dB"),
        Figure::new("octave_turned_db", "the same, turned over", bass(&readings[1]), "dB"),
    ]
}
