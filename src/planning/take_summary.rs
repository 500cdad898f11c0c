//! One take in short: its clock, its volume, and what keeps it from deciding.

use super::blocks::Alarm;
use super::noise::Hum;
use super::response::Response;
use super::steps::{SAME_GAIN_DB, gain_change_db, usable};
use super::take_reading::{LevelReading, TakeReading};
use crate::signal::track::layout::Form;

/// One take in short.
#[derive(Clone, Debug, PartialEq)]
pub struct TakeSummary {
    /// What the take is called; empty when nobody named it.
    pub name: String,
    /// Where it starts in its file, seconds.
    pub start_s: f64,
    /// Clock of the player against the recorder's, ppm.
    pub clock_ppm: f64,
    /// Form of the track.
    pub form: Form,
    /// Volume: gain of the mid band, dB; `None` when nothing could be read.
    pub volume_db: Option<f64>,
    /// Whether the level moves on its own: no decision about levels rests on this take.
    pub automatic_gain: bool,
    /// How much the gain changes from quiet to loud sounds, all bands alike, dB.
    pub gain_change_db: f64,
    /// Whether the recorder was driven to full scale.
    pub full_scale: bool,
    /// Whether a lossy codec was at work: no level is told finer than its error.
    pub lossy: bool,
    /// Bands whose level depends on the signal's: (Hz, dB from quiet to loud).
    pub level_dependent: Vec<(f64, f64)>,
    /// Its bass at the loudest level that can be used: (Hz, dB re the mid band) of the bands shown.
    pub bass: Vec<(f64, f64)>,
    /// Tones that are not the track's, the strongest first.
    pub hum: Vec<Hum>,
    /// What is wrong with it, by comb level: (peak in dBFS, alarm).
    pub alarms: Vec<(f64, Alarm)>,
}

impl TakeSummary {
    /// Sums up a take.
    pub fn new(take: &TakeReading) -> Self {
        let best = take.best();
        let usable = usable(take);
        let gains = || usable.iter().map(|(_, r)| r.gain_db);
        let spread = gains().fold(f64::MIN, f64::max) - gains().fold(f64::MAX, f64::min);
        let clean = best.is_some_and(|c| c.tones.iter().all(|t| t.thd() < 0.01));
        let level_dependent = level_dependent(&usable);
        // A recorder's gain moves all bands alike, a limiter of the bass does not.
        let uneven = level_dependent.iter().map(|(_, db)| db.abs()).fold(0.0, f64::max);
        let alike = uneven < spread / 2.0;
        let moves =
            usable.iter().any(|(l, _)| l.alarms.iter().any(|a| matches!(a, Alarm::GainMoves(_))));
        Self {
            name: take.name.clone(),
            start_s: take.start_s,
            clock_ppm: take.clock_ppm,
            form: take.label.form,
            volume_db: usable.first().map(|(_, r)| r.gain_db),
            automatic_gain: moves || spread > SAME_GAIN_DB && clean && alike,
            gain_change_db: gain_change_db(take),
            full_scale: take.is_driven_to_full_scale(),
            lossy: usable.iter().any(|(level, _)| level.floor_db > 0.0),
            level_dependent,
            bass: usable.last().map_or(Vec::new(), |(level, _)| {
                let shown = level.bands().into_iter().filter(|b| b.is_shown() && b.hz < 170.0);
                shown.map(|b| (b.hz, b.db)).collect()
            }),
            hum: best.map_or(Vec::new(), |c| c.hum.clone()),
            alarms: best.map_or(Vec::new(), |c| {
                c.levels.iter().flat_map(|l| l.alarms.iter().map(|a| (l.peak_dbfs, *a))).collect()
            }),
        }
    }
}

/// Bands that differ between the quietest and the loudest level by more than 0.5 dB and 3 sd.
fn level_dependent(usable: &[(&LevelReading, &Response)]) -> Vec<(f64, f64)> {
    let (Some(quiet), Some(loud)) = (usable.first(), usable.last()) else { return Vec::new() };
    let loud_bands = loud.0.bands();
    quiet
        .0
        .bands()
        .iter()
        .filter(|b| b.is_shown())
        .filter_map(|q| {
            let l = loud_bands.iter().find(|l| l.hz == q.hz && l.is_shown())?;
            let change = l.db - q.db;
            (change.abs() > SAME_GAIN_DB.max(3.0 * l.sd_db.hypot(q.sd_db)))
                .then_some((q.hz, change))
        })
        .collect()
}
