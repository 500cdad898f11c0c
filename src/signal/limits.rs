//! What a signal must keep to, and the sentence for one that does not.

/// A sample rate that audio knows.
pub(super) fn sample_rate(sample_rate_hz: f64) -> Result<(), String> {
    if (1.0..=1e7).contains(&sample_rate_hz) {
        return Ok(());
    }
    Err(format!("A sample rate of {sample_rate_hz} Hz is not possible."))
}

/// A frequency above 0 and below half the sample rate.
pub(super) fn frequency(hz: f64, sample_rate_hz: f64) -> Result<(), String> {
    let nyquist_hz = sample_rate_hz / 2.0;
    if hz > 0.0 && hz < nyquist_hz {
        return Ok(());
    }
    Err(format!(
        "A frequency of {hz} Hz is not possible at {sample_rate_hz} Hz: \
         it must lie above 0 and below {nyquist_hz} Hz."
    ))
}

/// A level that does not exceed full scale.
pub(super) fn level(level_dbfs: f64) -> Result<(), String> {
    if level_dbfs <= 0.0 {
        return Ok(());
    }
    Err(format!("A level of {level_dbfs} dBFS is above full scale: at most 0 dBFS can be played."))
}

/// A time or a count, `what`, that is above 0.
pub(super) fn positive(what: &str, value: f64) -> Result<(), String> {
    if value > 0.0 && value.is_finite() {
        return Ok(());
    }
    Err(format!("{what} must be above 0, not {value}."))
}

/// Seconds to the nearest whole number of samples.
pub(super) fn samples(seconds: f64, sample_rate_hz: f64) -> u64 {
    (seconds * sample_rate_hz).round() as u64
}

/// The distance of repeats in samples, which must not be shorter than what is repeated.
pub(super) fn repeat(
    every_s: Option<f64>,
    own_samples: u64,
    sample_rate_hz: f64,
) -> Result<Option<u64>, String> {
    let Some(every_s) = every_s else { return Ok(None) };
    positive("The time from one to the next", every_s)?;
    let every = samples(every_s, sample_rate_hz);
    if every >= own_samples {
        return Ok(Some(every));
    }
    let shortest_s = own_samples as f64 / sample_rate_hz;
    Err(format!("Every {every_s} s is too often: one alone lasts {shortest_s:.3} s."))
}
