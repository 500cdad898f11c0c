//! Sine, power and logarithm made of sums, products and quotients alone, so
//! that they are the same bits on every machine; system libraries differ in
//! the last one.
//!
//! Each reduces its argument to a small interval and sums the Taylor series
//! there until the next term is below 10⁻¹⁷.

use std::f64::consts::{LN_2, LOG2_10, PI, SQRT_2};

/// Sine of an angle in turns: 1 is once round.
pub(super) fn sin_turns(turns: f64) -> f64 {
    let within = turns - turns.round();
    let quarter = (4.0 * within).round();
    let angle = 2.0 * PI * (within - quarter / 4.0);
    match quarter as i64 {
        0 => sin_small(angle),
        1 => cos_small(angle),
        -1 => -cos_small(angle),
        _ => -sin_small(angle),
    }
}

/// Cosine of an angle in turns.
pub(super) fn cos_turns(turns: f64) -> f64 {
    sin_turns(turns - turns.round() + 0.25)
}

/// Two to the power of `x`, for results between 2⁻¹⁰²² and 2¹⁰²³.
pub(super) fn exp2(x: f64) -> f64 {
    let whole = x.round().clamp(-1022.0, 1023.0);
    let power_of_two = f64::from_bits(((whole as i64 + 1023) as u64) << 52);
    let y = (x - whole).clamp(-1.0, 1.0) * LN_2;
    let series = (1..=18).rev().fold(1.0, |sum, n| 1.0 + y / f64::from(n) * sum);
    power_of_two * series
}

/// e to the power of `x`.
pub(super) fn exp(x: f64) -> f64 {
    exp2(x / LN_2)
}

/// Natural logarithm of a normal number above 0, by ln m = 2·artanh((m−1)/(m+1)).
pub(super) fn ln(x: f64) -> f64 {
    let bits = x.to_bits();
    let mut power = (bits >> 52) as i64 - 1023;
    let mut mantissa = f64::from_bits((bits & ((1 << 52) - 1)) | (1023 << 52));
    if mantissa > SQRT_2 {
        mantissa /= 2.0;
        power += 1;
    }
    let s = (mantissa - 1.0) / (mantissa + 1.0);
    let series = (0..12).rev().fold(0.0, |sum, i| 1.0 / f64::from(2 * i + 1) + s * s * sum);
    power as f64 * LN_2 + 2.0 * s * series
}

/// Decibels to an amplitude ratio.
pub(super) fn db_to_gain(db: f64) -> f64 {
    exp2(db * (LOG2_10 / 20.0))
}

/// Sine for |a| ≤ π/4.
fn sin_small(a: f64) -> f64 {
    let square = a * a;
    let series = (1..=9).rev().fold(1.0, |sum, i| {
        let n = f64::from(2 * i);
        1.0 - square / (n * (n + 1.0)) * sum
    });
    a * series
}

/// Cosine for |a| ≤ π/4.
fn cos_small(a: f64) -> f64 {
    let square = a * a;
    (1..=9).rev().fold(1.0, |sum, i| {
        let n = f64::from(2 * i);
        1.0 - square / (n * (n - 1.0)) * sum
    })
}
