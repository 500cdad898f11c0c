//! Where a device bends, and whether as a hard clip does: the rising level tone against the
//! closed form of a hard clip, and its harmonics.

use crate::planning::clean::hard_clip;
use crate::planning::statistics::median;
use crate::planning::tones::ToneReading;
use crate::signal::track::layout::LEVEL_HZ;
use crate::units::gain_to_db;

/// Distortion of the level tone that counts as bent, as a share.
const BENT: f64 = 0.003;
/// The level tone's levels must lie this near the law of a hard clip, dB r.m.s.
const CLIP_LAW_DB: f64 = 0.1;
/// The fifth harmonic re the third in a hard clip just begun, as a share; a soft one has far less.
const LEAST_FIFTH: f64 = 0.35;

/// Where a device bends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ClipPoint {
    /// Nowhere in the range of the rising tone.
    NotReached,
    /// A hard clip from this level of the input on, peak dBFS.
    Hard(f64),
    /// No hard clip: 1 % of distortion at this level of the input, peak dBFS.
    Soft(f64),
    /// Bent already at the lowest step of the rising tone, peak dBFS.
    Below(f64),
}

/// Where it bends, and whether as a hard clip does.
pub(super) fn clip(tones: &[ToneReading]) -> ClipPoint {
    let mut ramp: Vec<&ToneReading> =
        tones.iter().filter(|t| t.hz == LEVEL_HZ && t.played_dbfs > -15.5).collect();
    ramp.sort_by(|a, b| a.played_dbfs.total_cmp(&b.played_dbfs));
    let bent = ramp.iter().position(|t| t.thd() > BENT.max(3.0 * t.thd_floor()));
    let (Some(bent), true) = (bent, ramp.len() >= 4) else { return ClipPoint::NotReached };
    if bent == 0 {
        return ClipPoint::Below(ramp[0].played_dbfs);
    }
    let gain = median(ramp[..bent].iter().map(|t| t.gain_db()));
    let miss = |clip_dbfs: f64| -> f64 {
        let one = |t: &&ToneReading| {
            let told = gain_to_db(hard_clip(t.played_dbfs - clip_dbfs).fundamental) + clip_dbfs;
            (t.dbfs() - gain - told).powi(2)
        };
        (ramp.iter().map(one).sum::<f64>() / ramp.len() as f64).sqrt()
    };
    let least = (-1500..0).map(|i| f64::from(i) / 100.0);
    let dbfs = least.min_by(|a, b| miss(*a).total_cmp(&miss(*b))).unwrap_or(0.0);
    match miss(dbfs) < CLIP_LAW_DB && ramp[bent..].iter().all(|t| bends_hard(t, dbfs)) {
        true => ClipPoint::Hard(dbfs),
        false => ClipPoint::Soft(one_percent(&ramp).unwrap_or(ramp[bent].played_dbfs)),
    }
}

/// Whether a tone's harmonics are those of a hard clip of both sides; driven far over, all look alike.
fn bends_hard(tone: &ToneReading, clip_dbfs: f64) -> bool {
    let over = tone.played_dbfs - clip_dbfs;
    let [second, third, fifth] = [2.0, 3.0, 5.0].map(|order| tone.amplitude(order));
    let even = second < 0.2 * third;
    even && (!(0.2..=1.5).contains(&over) || fifth > LEAST_FIFTH * third)
}

/// Where 1 % is reached between two steps, linear over its logarithm.
fn one_percent(ramp: &[&ToneReading]) -> Option<f64> {
    let over = ramp.iter().position(|t| t.thd() >= 0.01)?;
    let (below, above) = (ramp.get(over.checked_sub(1)?)?, ramp[over]);
    let [low, high] = [below, above].map(|t| t.thd().max(1e-9).ln());
    let share = (0.01f64.ln() - low) / (high - low).max(1e-9);
    Some(below.played_dbfs + share.clamp(0.0, 1.0) * (above.played_dbfs - below.played_dbfs))
}
