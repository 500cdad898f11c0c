//! The highest clean volume: from the distortion of the loud tones, step by
//! step, through the closed form of a hard clip.
//!
//! A sine driven o dB over a hard limit has a known distortion (Fourier series
//! of the clipped sine), so one clipped step tells where clipping begins.

use std::f64::consts::PI;

/// Orders 3 and 5 of a hard clip make this when all orders together make the 1 % that still
/// counts as clean (AES17 speaks of 1 % for a maximum output).
pub const CLEAN_LOW_ORDERS: f64 = 0.0074;
/// Overdrive in dB at which a hard clip makes 1 % of distortion.
const CLEAN_OVERDRIVE_DB: f64 = 0.2513;
/// The third harmonic must be within this of what a hard clip would make, dB.
const LIKENESS_DB: f64 = 2.0;
/// The fifth may be off by this share of the third: near its zeros a ratio says nothing.
const FIFTH_OFF: f64 = 0.3;
/// A second harmonic over this share of the third is no clip of both sides alike.
const ONE_SIDED: f64 = 0.2;
/// Clipped steps must agree on where the clip is, dB.
const AGREE_DB: f64 = 0.6;
/// Steps driven further over are left out of that: their law is flat, 2 % of distortion is 0.5 dB.
const MOST_OVERDRIVE_DB: f64 = 6.0;
/// THD that ends the clean range where the law of a hard clip does not hold, as a share.
const DIRTY: f64 = 0.01;

/// The loud tone at one volume step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LoudTone {
    /// Volume, dB of gain in the mid band at low level.
    pub volume_db: f64,
    /// Distortion by the orders 2 to 5 (THD_F) as a share; the grid holds no more of 997 Hz.
    pub thd: f64,
    /// Second harmonic re the fundamental, as a share.
    pub second: f64,
    /// Third harmonic re the fundamental, as a share.
    pub third: f64,
    /// Fifth harmonic re the fundamental, as a share.
    pub fifth: f64,
    /// What noise alone would read as distortion, as a share.
    pub floor: f64,
}

impl LoudTone {
    /// How far it is over a hard limit by the law of one, dB.
    fn overdrive_db(&self) -> f64 {
        overdrive_db(self.third.hypot(self.fifth))
    }
}

/// Where the clean range ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CleanVolume {
    /// 1 % is reached at this volume (dB of mid-band gain), by the law of a hard clip; with the
    /// uncertainty in dB.
    At {
        /// Volume at which the distortion is 1 %, dB.
        volume_db: f64,
        /// How far off it may be, dB.
        within_db: f64,
    },
    /// Clean at every step captured: at least this volume, dB.
    AtLeast(f64),
    /// Not clean at the lowest step captured: below this volume, dB.
    Below(f64),
    /// Nothing to judge by.
    Unknown,
}

/// Judges `tones`, in any order.
pub fn highest_clean(tones: &[LoudTone]) -> CleanVolume {
    let mut tones = tones.to_vec();
    tones.sort_by(|a, b| a.volume_db.total_cmp(&b.volume_db));
    let dirty = |t: &LoudTone| t.thd > CLEAN_LOW_ORDERS.max(3.0 * t.floor);
    let (Some(last), first_dirty) = (tones.last(), tones.iter().position(dirty)) else {
        return CleanVolume::Unknown;
    };
    let Some(i) = first_dirty else { return CleanVolume::AtLeast(last.volume_db) };
    let tone = tones[i];
    if is_hard(&tones[i..], i > 0) {
        let volume_db = tone.volume_db - tone.overdrive_db() + CLEAN_OVERDRIVE_DB;
        // The law was checked by simulation to 0.06 dB r.m.s. for steps of 4 dB.
        return CleanVolume::At { volume_db, within_db: 0.3 };
    }
    // Any other bend: between the last step that is clean and the first that is not.
    let dirty = |t: &LoudTone| t.thd > DIRTY.max(3.0 * t.floor);
    let Some(i) = tones.iter().position(dirty) else { return CleanVolume::AtLeast(last.volume_db) };
    let Some(before) = i.checked_sub(1).map(|i| tones[i]) else {
        return CleanVolume::Below(tone.volume_db);
    };
    let tone = tones[i];
    let step = tone.volume_db - before.volume_db;
    let (low, high) = (before.thd.max(1e-5).ln(), tone.thd.ln());
    let share = ((DIRTY.ln() - low) / (high - low).max(1e-9)).clamp(0.0, 1.0);
    CleanVolume::At { volume_db: before.volume_db + share * step, within_db: step }
}

/// Whether steps that distort, the lowest first, distort as one hard clip of both sides does:
/// harmonics by its law, and one clip point for all steps. One step alone has the law of a clip when
/// it is `bracketed` by a clean one below; else two must agree.
fn is_hard(dirty: &[LoudTone], bracketed: bool) -> bool {
    let tone = dirty[0];
    let law = hard_clip(tone.overdrive_db());
    let third = (20.0 * (tone.third / law.third.abs()).log10()).abs() < LIKENESS_DB;
    let fifth = (tone.fifth - law.fifth.abs()).abs() < FIFTH_OFF * tone.third;
    let even = tone.second < ONE_SIDED * tone.third;
    let clips: Vec<f64> = dirty
        .iter()
        .map(|t| (t.volume_db, t.overdrive_db()))
        .filter(|(_, over)| *over < MOST_OVERDRIVE_DB)
        .map(|(volume, over)| volume - over)
        .collect();
    let (low, high) = clips.iter().fold((f64::MAX, f64::MIN), |(l, h), c| (l.min(*c), h.max(*c)));
    let enough = clips.len() >= if bracketed { 1 } else { 2 };
    enough && third && fifth && even && high - low < AGREE_DB
}

/// What a hard clip makes of a sine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HardClip {
    /// Fundamental re the limit, as a ratio of peaks.
    pub fundamental: f64,
    /// Third harmonic re the fundamental, signed.
    pub third: f64,
    /// Fifth harmonic re the fundamental, signed.
    pub fifth: f64,
}

impl HardClip {
    /// Orders 3 and 5 together, re the fundamental.
    pub fn low_orders(&self) -> f64 {
        self.third.hypot(self.fifth)
    }
}

/// A sine `overdrive_db` over a hard limit: the Fourier series of the clipped sine.
pub fn hard_clip(overdrive_db: f64) -> HardClip {
    let a = 10f64.powf(overdrive_db / 20.0);
    if a <= 1.0 {
        return HardClip { fundamental: a, third: 0.0, fifth: 0.0 };
    }
    let angle = (1.0 / a).asin();
    let fundamental = 2.0 / PI * (a * angle + (1.0 - 1.0 / (a * a)).sqrt());
    let harmonic = |n: f64| {
        let bracket = n * (a * a - 1.0).sqrt() * (n * angle).sin() - (n * angle).cos();
        4.0 / (PI * n * (n * n - 1.0)) * bracket / fundamental
    };
    HardClip { fundamental, third: harmonic(3.0), fifth: harmonic(5.0) }
}

/// How far a sine whose orders 3 and 5 make this share is over a hard limit, dB (0 to 40).
pub fn overdrive_db(low_orders: f64) -> f64 {
    let (mut low, mut high) = (0.0, 40.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if hard_clip(middle).low_orders() < low_orders { low = middle } else { high = middle }
    }
    (low + high) / 2.0
}
