//! Volts, decibels and how much room there is between radio and amplifier.
//!
//! Common practice of the trade, no source, unless a line says more. A digital level becomes volts by
//! one meter reading of a known tone, and in no other way.

use crate::units::{db_to_gain, gain_to_db};

/// 0 dBu in V: 1 mW in 600 Ω is √0.6 V.
pub const DBU_VOLT: f64 = 0.774_596_669_241_483_4;

/// What a meter that averages and is calibrated for sines shows for Gaussian noise, in dB re its true
/// r.m.s.: form factors π/(2√2) of the sine and √(π/2) of the noise.
pub const AVERAGING_NOISE_DB: f64 = -1.0491;

/// The same for a square wave: π/(2√2) over 1.
pub const AVERAGING_SQUARE_DB: f64 = 0.9121;

/// Volts r.m.s. that give `power_w` in `load_ohm`: √(P·R).
pub fn target_volts(power_w: f64, load_ohm: f64) -> f64 {
    (power_w * load_ohm).sqrt()
}

/// Volts r.m.s. in dB re 1 V.
pub fn dbv(volts: f64) -> f64 {
    gain_to_db(volts)
}

/// Volts r.m.s. in dB re √0.6 V.
pub fn dbu(volts: f64) -> f64 {
    gain_to_db(volts / DBU_VOLT)
}

/// One reading of a meter: what a tone of a known level gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Volts r.m.s.
    pub volts: f64,
    /// Level of the tone in the file, dBFS.
    pub tone_dbfs: f64,
}

impl Reading {
    /// Volts r.m.s. of a sine of `dbfs` at the same volume step, as long as nothing clips.
    pub fn volts_at(&self, dbfs: f64) -> f64 {
        self.volts * db_to_gain(dbfs - self.tone_dbfs)
    }
}

/// A stage on the way from the radio to the amplifier's output.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// What it is.
    pub name: String,
    /// Volts r.m.s. of a sine at which it clips.
    pub clips_at_volts: f64,
    /// Volts r.m.s. that a full-scale tone at the highest clean volume gives there.
    pub carries_volts: f64,
}

impl Stage {
    /// Room before the stage clips, dB; below 0 it clips.
    pub fn margin_db(&self) -> f64 {
        gain_to_db(self.clips_at_volts / self.carries_volts)
    }
}

/// The stages from the radio to the amplifier.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Chain {
    /// Volts that a full-scale tone gives at the radio's output, at the highest clean volume.
    pub radio_volts: f64,
    /// Volts at which a device between them clips at its input.
    pub device_in_volts: Option<f64>,
    /// Volts at which that device clips at its output.
    pub device_out_volts: Option<f64>,
    /// Gain of that device in dB.
    pub device_gain_db: f64,
    /// Volts at which the amplifier's input clips, whatever its gain is set to.
    pub amplifier_in_volts: Option<f64>,
}

impl Chain {
    /// The stages whose limits are known, in the order of the signal.
    pub fn stages(&self) -> Vec<Stage> {
        let after = self.radio_volts * db_to_gain(self.device_gain_db);
        let stage = |name: &str, limit: Option<f64>, carries_volts: f64| {
            let name = name.into();
            limit.map(|clips_at_volts| Stage { name, clips_at_volts, carries_volts })
        };
        let stages = [
            stage("input of the device", self.device_in_volts, self.radio_volts),
            stage("output of the device", self.device_out_volts, after),
            stage("input of the amplifier", self.amplifier_in_volts, after),
        ];
        stages.into_iter().flatten().collect()
    }

    /// Volts that a full-scale tone brings to the amplifier's input.
    pub fn amplifier_volts(&self) -> f64 {
        self.radio_volts * db_to_gain(self.device_gain_db)
    }
}

/// What an overlap of gains means: gains are set with a tone `overlap_db` below full scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overlap {
    /// The overlap in dB.
    pub db: f64,
}

impl Overlap {
    /// How much louder the average of music becomes, as a factor of power, before its peaks clip more
    /// than the overlap.
    pub fn power_factor(&self) -> f64 {
        10f64.powf(self.db / 10.0)
    }

    /// Share of Gaussian noise with the crest factor `crest_db` (full scale re r.m.s.) that is clipped:
    /// erfc(x/√2) beyond x = crest − overlap.
    pub fn clipped_share(&self, crest_db: f64) -> f64 {
        erfc(db_to_gain(crest_db - self.db) / std::f64::consts::SQRT_2)
    }
}

/// Complementary error function for x ≥ 0, within 1.5e-7 (Abramowitz and Stegun 7.1.26).
fn erfc(x: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let c = [1.061_405_429, -1.453_152_027, 1.421_413_741, -0.284_496_736, 0.254_829_592];
    c.iter().fold(0.0, |sum, c| (sum + c) * t) * (-x * x).exp()
}
