//! The sweep, held against its formula and what its inverse sets apart.

use super::*;

#[test]
fn a_sweep_is_its_formula() {
    let sweep = Sweep { from_hz: 20.0, to_hz: 20_000.0, seconds: 10.0, level_dbfs: 0.0 };
    let rate = 10.0 / 1000f64.ln();
    let got: Vec<f64> = source(&Kind::Sweep(sweep), FS).collect();
    assert_eq!(got.len(), 480_000);
    // At the end the angle is 1.8e5 rad: one rounding of e^(t/L) moves it by 4e-11.
    let expected = |n: usize| (TAU * 20.0 * rate * ((n as f64 / FS / rate).exp() - 1.0)).sin();
    same(&got, expected, 1e-9);
}

#[test]
fn harmonics_of_a_sweep_arrive_early_by_the_printed_times() {
    // L·ln N (Farina 2000), worked out with mpmath.
    for (seconds, from_hz, to_hz, order, lead_s) in [
        (10.0, 10.0, 1000.0, 2.0, 1.5051),
        (10.0, 10.0, 1000.0, 3.0, 2.3856),
        (10.0, 10.0, 1000.0, 4.0, 3.0103),
        (10.0, 10.0, 1000.0, 5.0, 3.4949),
        (10.0, 10.0, 1000.0, 0.5, -1.5051),
        (20.0, 8.0, 500.0, 2.0, 3.3525),
        (20.0, 8.0, 500.0, 3.0, 5.3135),
        (10.0, 20.0, 20_000.0, 2.0, 1.0034),
        (10.0, 20.0, 20_000.0, 3.0, 1.5904),
        (10.0, 10.0, 20_000.0, 2.0, 0.9119),
    ] {
        let sweep = Sweep { from_hz, to_hz, seconds, level_dbfs: 0.0 };
        near(sweep.lead_s(order), lead_s, 1e-4);
    }
}

/// The level at `hz` of what arrives `lead_s` early when `device` answers a sweep of
/// 10..1000 Hz in 10 s, undone by division of spectra.
fn packet_db(device: impl Fn(usize, f64) -> f64, lead_s: f64, hz: f64) -> f64 {
    let fs = 8000.0;
    let sweep = Kind::Sweep(Sweep { level_dbfs: 0.0, ..Sweep::default() });
    let mut played = take(&sweep, fs, 80_000);
    let mut answered: Vec<f64> = played.iter().enumerate().map(|(n, x)| device(n, *x)).collect();
    played.resize(160_000, 0.0);
    answered.resize(160_000, 0.0);
    let (x, y) = (spectrum(&played), spectrum(&answered));
    let floor = 1e-6 * x.iter().fold(0.0, |most: f64, bin| bin.norm_sqr().max(most));
    let mut quotient: Vec<_> =
        x.iter().zip(&y).map(|(x, y)| y * x.conj() / (x.norm_sqr() + floor)).collect();
    let inverse = RealFftPlanner::<f64>::new().plan_fft_inverse(160_000);
    (quotient[0].im, quotient[80_000].im) = (0.0, 0.0);
    let mut answer = inverse.make_output_vec();
    inverse.process(&mut quotient, &mut answer).expect("lengths of the plan");
    // 0.8 s around the packet, its ends faded over 0.1 s.
    let centre = -lead_s * fs;
    let mut sum = Complex::new(0.0, 0.0);
    for i in -3200..3200i32 {
        let n = (centre.round() as i32 + i).rem_euclid(160_000);
        let fade = (f64::from(3200 - i.abs()) / 800.0).min(1.0);
        let turn = Complex::from_polar(1.0, -TAU * hz * f64::from(n) / fs);
        sum += turn * answer[n as usize] / 160_000.0 * fade;
    }
    20.0 * sum.norm().log10()
}

#[test]
fn a_sweep_sets_the_harmonics_of_a_bent_line_apart() {
    // y = x + 0.1x² + 0.05x³ on a full-scale sine: 1.0375, 0.05, 0.0125 by the formulas of the
    // powers of a sine. The rest of the sweep's sudden ends is below 0.05 dB at mid band.
    let bent = |_: usize, x: f64| x + 0.1 * x * x + 0.05 * x * x * x;
    let sweep = Sweep::default();
    for hz in [100.0, 200.0] {
        near(packet_db(bent, 0.0, hz), 0.320, 0.05);
        near(packet_db(bent, sweep.lead_s(2.0), hz), -26.021, 0.05);
        near(packet_db(bent, sweep.lead_s(3.0), hz), -38.062, 0.05);
    }
}

#[test]
fn a_half_frequency_arrives_late_in_a_sweep() {
    let rate = 10.0 / 100f64.ln();
    let angle = |n: usize| TAU * 10.0 * rate * ((n as f64 / 8000.0 / rate).exp() - 1.0);
    let halves = |n: usize, x: f64| x + 0.5 * (angle(n) / 2.0).sin();
    for hz in [40.0, 60.0, 100.0] {
        near(packet_db(halves, Sweep::default().lead_s(0.5), hz), -6.02, 0.05);
    }
}
