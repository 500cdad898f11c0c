//! Why the low bands need time.

use super::setup::plain;
use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::Settings;
use crate::signal::{Kind, Pink};

pub(super) const LESSON: Lesson = Lesson {
    title: "the low bands need time",
    minutes: 10,
    question: "The third octave at 20 Hz of noise is read again and again for 2 s each. How far do the \
               readings scatter?",
    choices: ["by about 0.1 dB", "by about 1.5 dB", "by about 6 dB"],
    right: 1,
    setups,
    look: "Bands: how far the lowest bands stand apart from one reading to the next",
    pictures: &[(0, Shown::Bands), (1, Shown::Bands), (10, Shown::Bands), (11, Shown::Bands)],
    turn: Turn {
        name: "seconds of the short readings",
        unit: "s",
        range: (1.0, 16.0),
        start: 2.0,
        step: 1.0,
        put: |setups, seconds| {
            setups[..READINGS as usize].iter_mut().for_each(|s| s.seconds.1 = seconds);
        },
    },
    answer,
    because: "A band of 4.6 Hz has few independent readings in 2 s: bandwidth times time decides. Eight \
              times the time gives a scatter smaller by the root of eight.",
    sure: "of ten readings the scatter itself is known to a quarter; the formula is that of Bendat and \
           Piersol, 4.343/sqrt(B T) dB",
    fails: "a signal that repeats in the window, like the measuring track, does not scatter at all",
    try_it: "never set a filter below 40 Hz by a reading that is shorter than 30 s of noise",
};

/// Readings of each length.
const READINGS: u64 = 10;

/// Seconds of a short and of a long reading.
const SECONDS: [f64; 2] = [2.0, 16.0];

/// Width of the third octave at 20 Hz (IEC 61260-1), in Hz.
const BAND_HZ: f64 = 4.62;

fn setups() -> Vec<Setup> {
    let one = |seconds: f64, seed: u64| {
        let pink = Pink { level_dbfs: -20.0, period_s: 50.0, ..Pink::default() };
        let bypass = Settings { bypass: true, ..plain() };
        let name =
            format!("pink noise, {} reading {seed}", if seconds < 10.0 { "short" } else { "long" });
        Setup {
            seed,
            seconds: (0.0, seconds),
            ..Setup::new(&name, Kind::Pink(pink), seconds, bypass)
        }
    };
    SECONDS.into_iter().flat_map(|s| (1..=READINGS).map(move |seed| one(s, seed))).collect()
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let level = |r: &Readings| {
        let band = r.before.bands.iter().find(|band| band.nominal_hz == 20.0)?;
        Some(band.level_db)
    };
    let scatter = |readings: &[Readings]| {
        let levels: Option<Vec<f64>> = readings.iter().map(level).collect();
        levels.map(|levels| deviation(&levels))
    };
    let (short, long) = readings.split_at(READINGS as usize);
    let formula = |of: &[Readings]| 4.343 / (BAND_HZ * of[0].seconds).sqrt();
    vec![
        Figure::new("short_db", "scatter of the short readings", scatter(short), "dB").decimals(2),
        Figure::new("short_formula_db", "by the formula", formula(short), "dB").decimals(2),
        Figure::new("long_db", "scatter of the long readings, 16 s", scatter(long), "dB")
            .decimals(2),
        Figure::new("long_formula_db", "by the formula", formula(long), "dB").decimals(2),
    ]
}

fn deviation(values: &[f64]) -> f64 {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (count - 1.0)).sqrt()
}
