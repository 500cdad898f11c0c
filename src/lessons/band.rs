//! Centre, width and gain of one band.

use super::setup::plain;
use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::Settings;
use crate::signal::{Kind, Tone};

pub(super) const LESSON: Lesson = Lesson {
    title: "centre, width and gain of one band",
    minutes: 10,
    question: "A band lifts 6 dB at 45 Hz and is one octave wide. How much does it lift half an octave \
               above and below?",
    choices: ["nothing", "3 dB", "6 dB"],
    right: 1,
    setups,
    look: "Spectrum: the layer of the low band; its handle at the top, its edges beside it",
    pictures: &[(0, Shown::Spectrum)],
    turn: Turn {
        name: "width of the band",
        unit: "octaves",
        range: (0.3, 3.0),
        start: 1.0,
        step: 0.1,
        put: |setups, octaves| setups[0].settings.low_band_width_oct = octaves as f32,
    },
    answer,
    because: "The width is told between the points of half the gain in decibels. Others tell it between \
              the points 3 dB below the top, or as the Q of the poles: the same filter has three numbers.",
    sure: "to 0.05 dB: three tones at once through a linear filter",
    fails: "at low sample rates and high frequencies the bilinear transform narrows a band; below 200 Hz \
            it does not",
    try_it: "set a band of your device, play these three tones, and see which definition it keeps",
};

/// The centre, and half an octave to both sides, in Hz.
const HZ: [f64; 3] = [45.0, 31.819_805, 63.639_61];

fn setups() -> Vec<Setup> {
    let tone = |hz: f64| Tone { hz, level_dbfs: -18.0, ..Tone::default() };
    let settings = Settings {
        low_band_gain_db: 6.0,
        low_band_centre_hz: 45.0,
        low_band_width_oct: 1.0,
        ..plain()
    };
    let tones = Kind::Tones(HZ.map(tone).to_vec());
    let setup = Setup::new("tones at 31.8, 45 and 63.6 Hz", tones, 8.0, settings);
    vec![Setup { tone_hz: Some(HZ[0]), ..setup }]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let readings = &readings[0];
    let gain = |hz: f64| {
        let near = (hz - 2.0, hz + 2.0);
        let out = readings.after.as_ref()?.spectrum.power_between(near.0, near.1);
        Some(10.0 * (out / readings.before.spectrum.power_between(near.0, near.1)).log10())
    };
    vec![
        Figure::new("centre_db", "at the centre, 45 Hz", gain(HZ[0]), "dB").decimals(2),
        Figure::new("below_db", "half an octave below", gain(HZ[1]), "dB").decimals(2),
        Figure::new("above_db", "half an octave above", gain(HZ[2]), "dB").decimals(2),
    ]
}
