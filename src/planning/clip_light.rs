//! A device's clip light: does it light before 1 % of distortion? Somebody
//! watched it while the level tone rose in steps, and noted when it lit.

use super::clean::CLEAN_LOW_ORDERS;
use super::take_reading::TakeReading;
use super::tones::ToneReading;
use crate::signal::track::layout::{Content, LEVEL_HZ, Section};
use crate::units::octaves;

/// How long after a tone's end its light may still be noted: a hold, and a slow hand, in seconds.
const LATE_S: f64 = 0.1;

/// The light against the distortion, both as levels of the input, peak dBFS.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClipLight {
    /// The tone that sounded when it lit.
    pub lit_dbfs: f64,
    /// Where the distortion reaches 1 %; `None` when no step does.
    pub one_percent_dbfs: Option<f64>,
}

impl ClipLight {
    /// From the time in seconds of the capture at which the light was first seen.
    ///
    /// # Errors
    /// One sentence when no step of the rising level tone sounded then.
    pub fn new(take: &TakeReading, seen_s: f64) -> Result<Self, String> {
        let at_s = seen_s - take.start_s;
        let steps: Vec<(Section, f64)> =
            take.label.form.sections().into_iter().filter_map(step).collect();
        let sounds = |(section, _): &&(Section, f64)| {
            (section.start_s..section.start_s + section.seconds + LATE_S).contains(&at_s)
        };
        let Some((_, played)) = steps.iter().find(sounds) else {
            let place = |s: Option<&(Section, f64)>| s.map_or(0.0, |s| s.0.start_s + take.start_s);
            return Err(format!(
                "at {seen_s} s no step of the rising level tone sounds; they begin at {:.1} s and \
                 the last at {:.1} s of the capture",
                place(steps.first()),
                place(steps.last())
            ));
        };
        let tones = take.best().map_or(&[][..], |channel| &channel.tones[..]);
        Ok(Self {
            lit_dbfs: played + take.label.level_db(),
            one_percent_dbfs: one_percent_dbfs(tones),
        })
    }

    /// How far before 1 % it lights, dB; below zero when it lights later.
    pub fn early_db(&self) -> Option<f64> {
        self.one_percent_dbfs.map(|one_percent| one_percent - self.lit_dbfs)
    }
}

/// A section of the rising level tone with its level.
fn step(section: Section) -> Option<(Section, f64)> {
    match section.content {
        Content::Tone { hz, peak_dbfs } if hz == LEVEL_HZ && peak_dbfs > -15.5 => {
            Some((section, peak_dbfs))
        }
        _ => None,
    }
}

/// Where the low orders reach what they are at 1 % of a hard clip, between two steps linear over
/// their logarithm.
fn one_percent_dbfs(tones: &[ToneReading]) -> Option<f64> {
    let mut steps: Vec<&ToneReading> =
        tones.iter().filter(|t| t.hz == LEVEL_HZ && t.played_dbfs > -15.5).collect();
    steps.sort_by(|a, b| a.played_dbfs.total_cmp(&b.played_dbfs));
    let over = steps.iter().position(|t| t.thd() >= CLEAN_LOW_ORDERS)?;
    let above = steps[over];
    let Some(below) = over.checked_sub(1).map(|i| steps[i]) else { return Some(above.played_dbfs) };
    let least = below.thd().max(1e-9);
    let share = octaves(least, CLEAN_LOW_ORDERS) / octaves(least, above.thd());
    Some(below.played_dbfs + share * (above.played_dbfs - below.played_dbfs))
}
