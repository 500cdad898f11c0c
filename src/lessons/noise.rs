//! What pink noise shows, and what it cannot.

use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::Settings;
use crate::signal::{Kind, Pink};

pub(super) const LESSON: Lesson = Lesson {
    title: "what pink noise shows",
    minutes: 10,
    question: "Pink noise plays for ten seconds through an octave part. What can its spectrum not tell?",
    choices: [
        "which band has become louder",
        "whether what came is new or the old lifted",
        "how much louder a band has become",
    ],
    right: 1,
    setups,
    look: "Spectrum: the hatched layer; then Bands: the same as figures",
    pictures: &[(0, Shown::Spectrum), (0, Shown::Bands)],
    turn: Turn::octave_level((-24.0, 6.0), 0.0, 1.0),
    answer,
    because: "A level has no memory of where its power came from: new tones and lifted ones fill a band \
              alike. The transfer function can tell, for only what follows the input is coherent with it.",
    sure: "a third octave of noise scatters by 4.343/sqrt(B T) dB; the figures beside say how much here",
    fails: "noise that repeats exactly in the window has no scatter at all; this one repeats after 8 s",
    try_it: "measure your system with pink noise for two seconds, three times, and compare the 20 Hz bands",
};

fn setups() -> Vec<Setup> {
    let pink = Pink { level_dbfs: -20.0, ..Pink::default() };
    let settings = Settings { octave_level_db: 0.0, ..Settings::default() };
    vec![Setup::new("pink noise, -20 dBFS r.m.s.", Kind::Pink(pink), 10.0, settings)]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let readings = &readings[0];
    let band = |nominal: f64| readings.before.bands.iter().position(|b| b.nominal_hz == nominal);
    let adds = |nominal: f64| {
        let after = readings.after.as_ref()?.bands.get(band(nominal)?)?;
        Some(after.level_db - readings.before.bands[band(nominal)?].level_db)
    };
    let scatter = |nominal: f64| Some(readings.before.bands[band(nominal)?].sd_db);
    vec![
        Figure::new("adds_31_db", "the octave part adds at 31.5 Hz", adds(31.5), "dB"),
        Figure::new("adds_125_db", "at 125 Hz", adds(125.0), "dB"),
        Figure::new("scatter_20_db", "standard deviation at 20 Hz", scatter(20.0), "dB")
            .decimals(2),
        Figure::new("scatter_1000_db", "at 1 kHz", scatter(1000.0), "dB").decimals(2),
    ]
}
