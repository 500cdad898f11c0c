//! What the takes say of volume steps and of levels: the bass of each, how the
//! gain itself moves, and the loud tones.

use super::clean::LoudTone;
use super::noise::Hum;
use super::response::Response;
use super::take_reading::{LevelReading, TakeReading};
use super::tones::ToneReading;
use super::volume::BassReading;
use crate::analysis::bands::low_thirds;
use crate::signal::track::layout::LEVEL_HZ;
use crate::units::db_to_gain;

/// Bands the verdict on volume and level looks at, Hz: 20 to 100.
const BASS_HZ: (f64, f64) = (19.0, 101.0);
/// Fewer bands than this say nothing of a cause.
const LEAST_BANDS: usize = 3;
/// A gain that differs by more than this between levels is not one gain, dB.
pub(super) const SAME_GAIN_DB: f64 = 0.5;
/// A comb with more than this on its free lines is distorted, dB.
pub(super) const MOST_DISTORTION_DB: f64 = -30.0;
/// Hum this near a harmonic is read as part of it, Hz: a tone of 2 s is 0.6 Hz wide.
const ON_HARMONIC_HZ: f64 = 1.5;
/// Hum on a harmonic over this share of the tone spoils its distortion (a fifth of what counts).
const SPOILS: f64 = 0.002;
/// Distortion of the level tone above which its level says nothing of a limiter, as a share.
const BENT: f64 = 0.01;

/// The levels of a take's best channel that can be used, from the quietest up.
pub(super) fn usable(take: &TakeReading) -> Vec<(&LevelReading, &Response)> {
    let levels = take.best().map_or(&[][..], |channel| &channel.levels[..]);
    levels.iter().filter_map(|l| Some((l, l.response.as_ref()?))).collect()
}

/// The bass of all takes at every level, in the bands that every reading shows. A limiter
/// distorts: only a recorder that clips is a reason to leave a level out.
pub(super) fn bass_readings(takes: &[&TakeReading]) -> Vec<BassReading> {
    let mut readings: Vec<BassReading> = takes.iter().flat_map(|take| one(take)).collect();
    let everywhere = |hz: f64| readings.iter().all(|r| r.bands.iter().any(|band| band.0 == hz));
    let kept: Vec<f64> = low_thirds().filter(|hz| everywhere(*hz)).collect();
    if kept.len() < LEAST_BANDS {
        return Vec::new();
    }
    readings.iter_mut().for_each(|r| r.bands.retain(|band| kept.contains(&band.0)));
    readings
}

fn one(take: &TakeReading) -> Vec<BassReading> {
    let levels = usable(take);
    let Some(volume_db) = levels.first().map(|(_, r)| r.gain_db) else { return Vec::new() };
    let unclipped =
        |r: &Response| !take.is_driven_to_full_scale() || r.distortion_db < MOST_DISTORTION_DB;
    levels
        .iter()
        .filter(|(_, r)| unclipped(r))
        .map(|(level, _)| {
            let bass = |hz: f64| (BASS_HZ.0..BASS_HZ.1).contains(&hz);
            let bands = level.bands().into_iter().filter(|b| bass(b.hz) && b.is_shown());
            let bands = bands.map(|b| (b.hz, b.db, b.sd_db)).collect();
            BassReading { volume_db, level_dbfs: level.peak_dbfs, bands }
        })
        .collect()
}

/// How much the gain of a take falls or rises from its quiet to its loud sounds, dB: the comb's mid
/// band, or the level tone where that is not bent; the larger of the two.
pub(super) fn gain_change_db(take: &TakeReading) -> f64 {
    let gains: Vec<f64> = usable(take).iter().map(|(_, r)| r.gain_db).collect();
    let comb = gains.last().zip(gains.first()).map_or(0.0, |(loud, quiet)| loud - quiet);
    let tones = take.best().map_or(&[][..], |channel| &channel.tones[..]);
    let level: Vec<_> = tones.iter().filter(|t| t.hz == LEVEL_HZ && t.thd() < BENT).collect();
    let tone = match (level.first(), level.last()) {
        (Some(quiet), Some(loud)) => loud.gain_db() - quiet.gain_db(),
        _ => 0.0,
    };
    if tone.abs() > comb.abs() { tone } else { comb }
}

/// The loud tones at `hz`, their level counted as volume re a tone of −1 dBFS: one 5 dB quieter
/// clips 5 dB later, be it so in the track or the whole track played lower.
pub(super) fn loud_tones(take: &TakeReading, hz: f64) -> Vec<LoudTone> {
    let Some(channel) = take.best() else { return Vec::new() };
    let Some(volume_db) = usable(take).first().map(|(_, r)| r.gain_db) else { return Vec::new() };
    channel
        .tones
        .iter()
        .filter(|t| t.hz == hz && t.played_dbfs > -16.0 && !is_spoiled(t, &channel.hum))
        .map(|t| {
            let re = |order: f64| t.amplitude(order) / t.amplitude(1.0).max(1e-12);
            LoudTone {
                volume_db: volume_db + t.played_dbfs + 1.0,
                thd: t.thd(),
                second: re(2.0),
                third: re(3.0),
                fifth: re(5.0),
                floor: t.thd_floor(),
            }
        })
        .collect()
}

/// Whether hum lies on a harmonic of a tone, loud enough to be taken for distortion.
fn is_spoiled(tone: &ToneReading, hum: &[Hum]) -> bool {
    let on =
        |line: &&Hum| (2..=7).any(|n| (line.hz - f64::from(n) * tone.hz).abs() < ON_HARMONIC_HZ);
    let loudest = hum.iter().filter(on).map(|line| db_to_gain(line.dbfs)).fold(0.0, f64::max);
    loudest > SPOILS * tone.amplitude(1.0)
}
