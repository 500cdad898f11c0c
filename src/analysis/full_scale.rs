//! What a converter makes of a tone that leaves full scale: its harmonics as they will be heard.
//!
//! Inside the line a wave may stand above full scale and be clean; whatever it leaves by cuts it
//! off there. The standing wave of a [`Scope`] is whole periods of the tone, so what is cut off
//! can be computed and no window is needed.

use super::scope::Scope;
use std::f64::consts::TAU;

/// r.m.s. sum of the harmonics 2 to `orders` of what comes out once it is cut off at full scale,
/// as a share of the tone; `None` where it stays within.
pub fn clipped_thd(scope: &Scope, orders: usize) -> Option<f64> {
    let is_over = scope.out.iter().any(|x| x.abs() > 1.0);
    let periods = (scope.span_s / scope.period_s).round();
    if !(is_over && periods >= 1.0 && periods.is_finite()) {
        return None;
    }
    let cut: Vec<f64> = scope.out.iter().map(|x| x.clamp(-1.0, 1.0)).collect();
    // Two periods of the tone are one of its half.
    let tone = 2.0 * periods;
    let power = |order: usize| power_at(&cut, order as f64 * tone);
    let below_nyquist = |order: &usize| *order as f64 * tone < 0.5 * cut.len() as f64;
    let harmonics: f64 = (2..=orders).take_while(below_nyquist).map(power).sum();
    let share = (harmonics / power(1)).sqrt();
    share.is_finite().then_some(share)
}

/// Power of the line with `cycles` over the whole wave, in any unit.
fn power_at(wave: &[f64], cycles: f64) -> f64 {
    let step = TAU * cycles / wave.len() as f64;
    let turn = |(i, x): (usize, &f64)| {
        let (sin, cos) = (step * i as f64).sin_cos();
        (x * cos, x * sin)
    };
    let sum = wave.iter().enumerate().map(turn).fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
    sum.0 * sum.0 + sum.1 * sum.1
}
