//! The octave part, from the ladder of tones: its level, the tones it halves, how it follows their
//! level and their pitch.

use crate::planning::response::{LineValue, Response};
use crate::planning::statistics::median;
use crate::planning::take_reading::ChannelReading;
use crate::units::{gain_to_db, power_to_db};

/// Harmonics below this do not disturb a rung, dB re the tone.
pub(super) const CLEAN_DB: f64 = -50.0;
/// Where the octave level is read, Hz of the tone.
const OCTAVE_HZ: (f64, f64) = (50.0, 105.0);
/// An octave part whose level re its source differs by more than this between the ladders opens with
/// the level, dB.
const OPENS_DB: f64 = 2.0;
/// An octave part below this is none, dB re the tone.
const NO_OCTAVE_DB: f64 = -50.0;
/// An octave part whose level differs by more than this over its range has no one level, dB.
const VARIES_DB: f64 = 2.0;

/// One rung of the tone ladder.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// Tone in Hz.
    pub hz: f64,
    /// Level it was played at, peak in dBFS.
    pub played_dbfs: f64,
    /// Octave part at the device's input, dB re the tone: the half, the direct response at the half
    /// taken out; `None` when the direct response there is not known.
    pub octave_db: Option<f64>,
    /// One and a half times the tone: belongs to the effect, dB re the tone.
    pub one_and_a_half_db: f64,
    /// Harmonics 2 to 5, dB re the tone: clipping.
    pub harmonics_db: f64,
}

/// Gain of the direct response at `hz`, from the lines near it.
fn direct_at(response: &Response, hz: f64) -> Option<f64> {
    let clear = |l: &&LineValue| l.power > 100.0 * l.variance;
    let at = response.lines.partition_point(|l| l.hz < hz);
    let above = response.lines[at..].iter().find(clear)?;
    let below = response.lines[..at].iter().rfind(clear)?;
    if above.hz / below.hz > 1.3 {
        return None;
    }
    let share = (hz / below.hz).ln() / (above.hz / below.hz).ln();
    let [a, b] = [below, above].map(|l| power_to_db(l.power) + response.gain_db);
    Some(a + share * (b - a))
}

/// The rungs of the ladder: halves, one and a halves, harmonics.
pub(super) fn rungs(channel: &ChannelReading, response: &Response) -> Vec<Rung> {
    let ladder = channel.tones.iter().filter(|t| t.hz < 300.0 && t.played_dbfs < -10.0);
    ladder
        .map(|tone| {
            let re_tone = |multiple: f64| {
                gain_to_db(tone.amplitude(multiple) / tone.amplitude(1.0).max(1e-12))
            };
            let harmonics: f64 = (2..=5).map(|n| tone.amplitude(f64::from(n)).powi(2)).sum();
            Rung {
                hz: tone.hz,
                played_dbfs: tone.played_dbfs,
                octave_db: direct_at(response, tone.hz / 2.0)
                    .map(|gain| gain_to_db(tone.amplitude(0.5)) - tone.played_dbfs - gain),
                one_and_a_half_db: re_tone(1.5),
                harmonics_db: gain_to_db(harmonics.sqrt() / tone.amplitude(1.0).max(1e-12)),
            }
        })
        .collect()
}

/// The octave part's level: the middle of the rungs in the heart of the source band, where
/// nothing clips.
pub(super) fn octave_level(rungs: &[Rung]) -> Option<f64> {
    let heart = rungs
        .iter()
        .filter(|r| (OCTAVE_HZ.0..OCTAVE_HZ.1).contains(&r.hz) && r.harmonics_db < CLEAN_DB);
    let levels: Vec<f64> = heart.filter_map(|r| r.octave_db).collect();
    let level = median(levels.iter().copied());
    (!levels.is_empty() && level > NO_OCTAVE_DB).then_some(level)
}

/// Tones whose half is within 3 dB of the level.
pub(super) fn source(rungs: &[Rung], level: f64) -> Option<(f64, f64)> {
    let halved =
        || rungs.iter().filter(|r| r.octave_db.is_some_and(|db| db > level - 3.0)).map(|r| r.hz);
    Some((halved().reduce(f64::min)?, halved().reduce(f64::max)?))
}

/// Change of the half over change of the tone, in the heart of the source band.
pub(super) fn level_law(rungs: &[Rung]) -> Option<f64> {
    let heart = |r: &&Rung| (OCTAVE_HZ.0..OCTAVE_HZ.1).contains(&r.hz) && r.harmonics_db < CLEAN_DB;
    let slopes: Vec<f64> = rungs
        .iter()
        .filter(heart)
        .flat_map(|a| rungs.iter().filter(heart).map(move |b| (a, b)))
        .filter(|(a, b)| a.hz == b.hz && a.played_dbfs < b.played_dbfs)
        .filter_map(|(a, b)| {
            Some(1.0 + (b.octave_db? - a.octave_db?) / (b.played_dbfs - a.played_dbfs))
        })
        .collect();
    (!slopes.is_empty()).then(|| median(slopes))
}

/// Levels of the octave part at the quiet and the loud ladder, where they differ.
pub(super) fn opens(rungs: &[Rung]) -> Option<(f64, f64)> {
    let at = |loud: bool| {
        let heart = rungs.iter().filter(|r| {
            (OCTAVE_HZ.0..OCTAVE_HZ.1).contains(&r.hz) && (r.played_dbfs > -19.0) == loud
        });
        let levels: Vec<f64> = heart.filter_map(|r| r.octave_db).collect();
        (!levels.is_empty()).then(|| median(levels))
    };
    let (quiet, loud) = (at(false)?, at(true)?);
    let heard = quiet.max(loud) > NO_OCTAVE_DB;
    (heard && (quiet - loud).abs() > OPENS_DB).then_some((quiet, loud))
}

/// The octave part's level at both ends of the heart of its range, at the loud ladder, where they
/// differ.
pub(super) fn varies(rungs: &[Rung]) -> Option<[(f64, f64); 2]> {
    let loudest = rungs.iter().map(|r| r.played_dbfs).fold(f64::MIN, f64::max);
    let mut heart: Vec<(f64, f64)> = rungs
        .iter()
        .filter(|r| (OCTAVE_HZ.0..OCTAVE_HZ.1).contains(&r.hz) && r.harmonics_db < CLEAN_DB)
        .filter(|r| r.played_dbfs == loudest)
        .filter_map(|r| Some((r.hz, r.octave_db?)))
        .collect();
    heart.sort_by(|a, b| a.0.total_cmp(&b.0));
    let ends = [*heart.first()?, *heart.last()?];
    ((ends[0].1 - ends[1].1).abs() > VARIES_DB).then_some(ends)
}
