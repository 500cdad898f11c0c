//! The proof in the car: what a capture through radio and settings holds, band by band, beside a
//! capture of the radio alone. Both played one track, so all but the settings cancels: recorder,
//! wire, track.

use super::channels::Hears;
use super::sounding::SoundingBand;
use super::take_reading::{ChannelReading, TakeReading};
use crate::units::{db_to_power, power_to_db};

/// The mid band that both are levelled by, Hz: thirds from 250 Hz to 1 kHz.
const MID_HZ: (f64, f64) = (240.0, 1040.0);
/// A third holds 3 to 11 lines of the comb, and they stand for it: of what the change differs from
/// the next band's, this share may be theirs (worst against scipy's integrals, worked example: 0.3).
const FEW_LINES: f64 = 0.35;
/// Bands told, Hz.
const TOLD_HZ: (f64, f64) = (15.0, 170.0);

/// One band before and after.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CarBand {
    /// Exact mid frequency in Hz.
    pub hz: f64,
    /// What the radio gave, dB re its mid band; `None` where nothing could be read.
    pub before_db: Option<f64>,
    /// What comes out now, dB re its mid band.
    pub after_db: Option<f64>,
    /// How far either may be off, dB at 95 %.
    pub half_95_db: f64,
}

/// Before and after, from 16 to 160 Hz.
#[derive(Clone, Debug, PartialEq)]
pub struct InCar {
    /// The bands.
    pub bands: Vec<CarBand>,
    /// By how much the mid band became louder, dB.
    pub mid_db: f64,
}

/// Holds `after` against `before`, each by the channel that hears the same; `None` when one of them
/// says nothing.
pub fn in_the_car(before: &TakeReading, after: &TakeReading) -> Option<InCar> {
    let first = before.best()?;
    let same = |c: &&ChannelReading| c.hears == first.hears && c.hears != Hears::Nothing;
    let second = after.channels.iter().find(same).or(after.best())?;
    let mid_db = mid(&second.sounding)? - mid(&first.sounding)?;
    let given = first.loudest()?.0.bands();
    let pairs: Vec<(&SoundingBand, &SoundingBand)> = first
        .sounding
        .iter()
        .filter_map(|b| Some((b, second.sounding.iter().find(|a| a.hz == b.hz)?)))
        .collect();
    let changes: Vec<f64> = pairs.iter().map(|(b, a)| a.dbfs - b.dbfs - mid_db).collect();
    let bands = (0..pairs.len())
        .filter(|i| (TOLD_HZ.0..TOLD_HZ.1).contains(&pairs[*i].0.hz))
        .map(|i| {
            let (b, a) = pairs[i];
            let was = given.iter().find(|g| (g.hz / b.hz - 1.0).abs() < 0.01);
            let before_db = was.filter(|g| g.is_shown()).map(|g| g.db);
            let scatter = 2.0 * a.sd_db.hypot(b.sd_db).hypot(was.map_or(0.0, |g| g.sd_db));
            let half_95_db = scatter.hypot(FEW_LINES * step(&changes, i));
            CarBand {
                hz: b.hz,
                before_db,
                after_db: before_db.map(|db| db + changes[i]),
                half_95_db,
            }
        })
        .collect();
    Some(InCar { bands, mid_db })
}

/// The larger step from a band to its neighbours.
fn step(changes: &[f64], i: usize) -> f64 {
    let beside = [i.saturating_sub(1), (i + 1).min(changes.len() - 1)];
    beside.iter().map(|n| (changes[*n] - changes[i]).abs()).fold(0.0, f64::max)
}

/// Mean power of the mid bands, dBFS.
fn mid(bands: &[SoundingBand]) -> Option<f64> {
    let mid = bands.iter().filter(|b| (MID_HZ.0..MID_HZ.1).contains(&b.hz));
    let all: Vec<f64> = mid.map(|b| db_to_power(b.dbfs)).collect();
    (!all.is_empty()).then(|| power_to_db(all.iter().sum::<f64>() / all.len() as f64))
}
