//! Reading a radio: one curve, three causes.

use super::setup::plain;
use super::{Lesson, Setup, Shown, Turn};
use crate::measure::Readings;
use crate::report::Figure;
use crate::settings::{Order, Settings};
use crate::signal::{Kind, Tone};

pub(super) const LESSON: Lesson = Lesson {
    title: "one curve, three causes",
    minutes: 15,
    question: "At the usual volume three radios give the same curve: 8 dB less at 45 Hz. One filter always \
               does it, one filter follows the volume knob, and one radio limits what is loud. How are \
               they told apart?",
    choices: [
        "by the curve itself, if it is fine enough",
        "by other volume steps, and by quiet and loud in one step",
        "not at all",
    ],
    right: 1,
    setups,
    look: "the table of a diagnosis: volume steps, and level",
    pictures: &[(0, Shown::Spectrum), (2, Shown::Spectrum), (4, Shown::Waves)],
    turn: Turn {
        name: "corner that the quiet step is turned to",
        unit: "Hz",
        range: (25.0, 55.5),
        start: 40.0,
        step: 0.5,
        put: |setups, hz| setups[2].settings.high_pass_hz = hz as f32,
    },
    answer,
    because: "An equaliser knows the knob alone, a limiter what arrives. A second step tells the first two \
              apart, a second level inside one step shows the third; one curve shows none of it.",
    sure: "to 0.1 dB here; in a car the steps must differ by more than their intervals",
    fails: "an equaliser that follows the knob and a limiter behind it need four steps with three levels \
            each, and even then they may stay open",
    try_it: "record the track at four volume steps: \"underpin diagnose\" says which it is, or what is missing",
};

/// The bass, and the mid band it is told re, in Hz.
const BASS_HZ: f64 = 45.0;
const MID_HZ: f64 = 500.0;

fn setups() -> Vec<Setup> {
    let high_pass =
        |hz: f32| Settings { high_pass_order: Order::Fourth, high_pass_hz: hz, ..plain() };
    let tone = |hz: f64, level_dbfs: f64| Tone { hz, level_dbfs, ..Tone::default() };
    let pair = |name: &str, level: f64, settings: Settings| {
        let tones = vec![tone(BASS_HZ, level), tone(MID_HZ, level)];
        Setup { tone_hz: Some(BASS_HZ), ..Setup::new(name, Kind::Tones(tones), 4.0, settings) }
    };
    let bass = |name: &str, level: f64, settings: Settings| {
        Setup::new(name, Kind::Tone(tone(BASS_HZ, level)), 4.0, settings)
    };
    let limits = Settings { output_ceiling: true, output_ceiling_dbfs: -12.0, ..plain() };
    vec![
        pair("usual volume, any of them", -20.0, high_pass(55.5)),
        pair("quiet step, the filter that stays", -40.0, high_pass(55.5)),
        pair("quiet step, the filter that follows", -40.0, high_pass(40.0)),
        bass("one step, quiet tone, the radio that limits", -30.0, limits),
        bass("one step, loud tone, the radio that limits", -3.0, limits),
    ]
}

fn answer(readings: &[Readings]) -> Vec<Figure> {
    let line = |r: &Readings, hz: f64| Some(r.after.as_ref()?.spectrum.line_dbfs(hz));
    let bass = |r: &Readings| Some(line(r, BASS_HZ)? - line(r, MID_HZ)?);
    let gain = |r: &Readings| Some(line(r, BASS_HZ)? - r.before.spectrum.line_dbfs(BASS_HZ));
    let apart = |a: Option<f64>, b: Option<f64>| Some(a? - b?);
    let usual = bass(&readings[0]);
    vec![
        Figure::new("usual_db", "45 Hz re 500 Hz at the usual volume", usual, "dB"),
        Figure::new(
            "stays_db",
            "a quiet step differs, the filter that stays",
            apart(bass(&readings[1]), usual),
            "dB",
        ),
        Figure::new(
            "follows_db",
            "a quiet step differs, the filter that follows",
            apart(bass(&readings[2]), usual),
            "dB",
        ),
        Figure::new(
            "limits_db",
            "loud re quiet in one step, the radio that limits",
            apart(gain(&readings[4]), gain(&readings[3])),
            "dB",
        ),
    ]
}
