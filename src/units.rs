//! Decibels, hertz, octaves, samples: the conversions every other file shares.
//!
//! Levels of signals follow AES17: a sine whose peak reaches digital full
//! scale is 0 dBFS, both as a peak and as an r.m.s. level.

/// The smallest level this program writes, in dB: below it a level is "−inf".
pub const SILENCE_DB: f64 = -400.0;

/// Decibels to an amplitude ratio (20 dB = 10).
pub fn db_to_gain(db: f64) -> f64 {
    libm::pow(10.0, db / 20.0)
}

/// An amplitude ratio to decibels (10 = 20 dB); zero gives [`SILENCE_DB`].
pub fn gain_to_db(gain: f64) -> f64 {
    (20.0 * gain.abs().log10()).max(SILENCE_DB)
}

/// Decibels to a power ratio (10 dB = 10).
pub fn db_to_power(db: f64) -> f64 {
    libm::pow(10.0, db / 10.0)
}

/// A power ratio to decibels (10 = 10 dB); zero gives [`SILENCE_DB`].
pub fn power_to_db(power: f64) -> f64 {
    (10.0 * power.log10()).max(SILENCE_DB)
}

/// Mean square to dBFS r.m.s. by AES17: a full-scale sine (mean square 1/2) is 0 dBFS.
pub fn mean_square_to_dbfs(mean_square: f64) -> f64 {
    power_to_db(2.0 * mean_square)
}

/// The distance from `from_hz` up to `to_hz` in octaves.
pub fn octaves(from_hz: f64, to_hz: f64) -> f64 {
    (to_hz / from_hz).log2()
}

/// A time in seconds to the nearest whole number of samples.
pub fn seconds_to_samples(seconds: f64, sample_rate_hz: f64) -> usize {
    (seconds * sample_rate_hz).round().max(0.0) as usize
}
