//! A tone and its half.

use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::Settings;
use crate::signal::{Kind, Tone};

pub(super) const LESSON: Lesson = Lesson {
    title: "a tone and its half",
    minutes: 5,
    question: "A tone of 60 Hz goes into the octave part. What comes out besides it?",
    choices: ["the same tone, only louder", "a tone of 30 Hz", "a tone of 120 Hz"],
    right: 1,
    setups,
    look: "Partials: the line to the left of the tone",
    pictures: &[(0, Shown::Partials), (0, Shown::Waves)],
    turn: Turn::octave_level((-30.0, 0.0), -6.0, 0.5),
    answer,
    because: "The octave part makes a new tone at exactly half the frequency, here 6 dB below its source \
              as the setting asks. Nothing that was in the music is lifted: it is new.",
    sure: "the frequency to a thousandth of a hertz, the level to 0.05 dB: both are fitted by least squares",
    fails: "a method that halves the whole band at once makes a true half of one tone only; two at once \
            are lesson 4",
    try_it: "play a 60 Hz tone softly through your own device, record it, and let \
             \"underpin measure capture.wav --tone 60\" say where its lines stand",
};

/// A tone of 60 Hz, as the first lessons play it.
pub(super) fn tone(settings: Settings) -> Setup {
    let tone = Tone { hz: 60.0, level_dbfs: -12.0, ..Tone::default() };
    Setup {
        tone_hz: Some(60.0),
        ..Setup::new("60 Hz tone, -12 dBFS", Kind::Tone(tone), 2.0, settings)
    }
}

fn setups() -> Vec<Setup> {
    vec![tone(Settings::default())]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let partials = readings[0].after.as_ref().and_then(|after| after.partials.as_ref());
    let half = partials.and_then(|p| p.below.iter().find(|line| line.order == 0.5));
    vec![
        Figure::new("half_hz", "the new tone", half.map(|line| line.hz), "Hz").decimals(3),
        Figure::new("half_re_tone_db", "re the tone", half.map(|line| line.re_tone_db), "dB")
            .decimals(2),
    ]
}
