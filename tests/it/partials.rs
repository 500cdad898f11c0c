//! Lines beside a tone, held against closed forms of bent and divided sines.

mod crowd;

use std::f64::consts::{PI, TAU};

use underpin::analysis::partials::{Line, Partials, of};
use underpin::signal::random::Random;

const FS: f64 = 48_000.0;

/// Two seconds of a function of the angle 2π·hz·t.
fn shaped(hz: f64, mut shape: impl FnMut(f64) -> f64) -> Vec<f64> {
    (0..96_000).map(|n| shape(TAU * hz * f64::from(n) / FS)).collect()
}

fn db(gain: f64) -> f64 {
    20.0 * gain.log10()
}

fn gain(db: f64) -> f64 {
    10f64.powf(db / 20.0)
}

#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "got {got}, expected {expected} ± {tolerance}");
}

#[track_caller]
fn partials(samples: &[f64], tone_hz: f64) -> Partials {
    of(samples, FS, tone_hz).expect("a tone")
}

/// The line of `order` in `lines`.
#[track_caller]
fn line(lines: &[Line], order: f64) -> Line {
    let found = lines.iter().find(|line| (line.order - order).abs() < 1e-9);
    *found.unwrap_or_else(|| panic!("no line at {order} times the tone in {lines:?}"))
}

/// `lines` are at these multiples and levels re the tone, and no others.
#[track_caller]
fn exactly(lines: &[Line], expected: &[(f64, f64)], tolerance_db: f64) {
    assert_eq!(lines.len(), expected.len(), "{lines:?}");
    for (order, level_db) in expected {
        near(line(lines, *order).re_tone_db, *level_db, tolerance_db);
    }
}

fn noise(seed: u64, peak: f64) -> impl FnMut() -> f64 {
    let mut random = Random::new(seed);
    move || peak * (random.unit() + random.unit() - 1.0)
}

#[test]
fn a_mixture_is_read_line_by_line_and_side_by_side() {
    let mixture = shaped(40.0, |a| {
        a.sin()
            + gain(-10.0) * (a / 2.0).sin()
            + 0.01 * (2.0 * a).sin()
            + gain(-50.0) * (3.0 * a).sin()
            + 0.02
    });
    let got = partials(&mixture, 40.0);
    near(got.tone_hz, 40.0, 1e-9);
    near(got.tone_dbfs, 0.0, 1e-9);
    exactly(&got.below, &[(0.5, -10.0)], 1e-6);
    exactly(&got.above, &[(2.0, -40.0), (3.0, -50.0)], 1e-6);
    exactly(&got.odd_halves, &[], 0.0);
    near(got.below_ratio, 0.316_227_77, 1e-8);
    near(got.thd_f, 0.010_488_09, 1e-8);
    near(got.dc, 0.02, 1e-9);
    assert_eq!((got.thd_orders, got.thd_to_hz.round()), (20, 800.0));
    assert!(got.noise_dbfs < -200.0, "{}", got.noise_dbfs);
}

#[test]
fn a_half_60_db_down_is_exact_at_every_sample_rate() {
    for sample_rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
        let samples: Vec<f64> = (0..2 * sample_rate_hz as usize)
            .map(|n| TAU * 40.0 * n as f64 / sample_rate_hz)
            .map(|a| a.cos() + 0.001 * (a / 2.0 + 0.5).cos())
            .collect();
        let got = of(&samples, sample_rate_hz, 40.0).expect("a tone");
        let half = line(&got.below, 0.5);
        near(half.re_tone_db, -60.0, 1e-6);
        near(half.hz, 20.0, 1e-9);
        near(half.phase_deg, 0.5f64.to_degrees(), 1e-6);
        assert_eq!(got.below.len() + got.above.len() + got.odd_halves.len(), 1);
    }
}

#[test]
fn what_looks_only_above_does_not_see_the_octave_effect() {
    let effect = partials(&shaped(40.0, |a| a.sin() + 0.5 * (a / 2.0).sin()), 40.0);
    near(effect.thd_f, 0.0, 1e-9);
    near(effect.below_ratio, 0.5, 1e-9);
    let clipped = partials(&shaped(40.0, |a| (1.2 * a.sin()).clamp(-1.0, 1.0)), 40.0);
    assert!(clipped.thd_f > 0.05);
    near(clipped.below_ratio, 0.0, 1e-9);
}

#[test]
fn the_rounding_of_32_bit_samples_makes_no_lines() {
    for hz in [40.0, 50.0, 62.5, 100.0] {
        let rounded = shaped(hz, |a| f64::from((0.5 * a.sin()) as f32));
        let got = partials(&rounded, hz);
        assert_eq!((got.below.len(), got.above.len(), got.odd_halves.len()), (0, 0, 0));
        assert!(got.noise_dbfs < -145.0);
    }
}

/// Coefficient of order n of A·sin clipped at ±1, by Fourier's integral.
fn clipped_sine(order: f64, amplitude: f64) -> f64 {
    let k = 1.0 / amplitude;
    let a = k.asin();
    if order == 1.0 {
        return 2.0 / PI * (amplitude * a + (1.0 - k * k).sqrt());
    }
    let root = (amplitude * amplitude - 1.0).sqrt();
    4.0 / (PI * order * (order * order - 1.0))
        * (order * root * (order * a).sin() - (order * a).cos())
}

#[test]
fn a_clipped_sine_is_the_table() {
    // Overdrive in dB; THD of all orders, H3, H5, H7 in % (closed form, worked out with mpmath).
    for (overdrive_db, thd, h3, h5, h7) in [
        (0.1, 0.3369, 0.1443, -0.1390, 0.1314),
        (0.25, 0.9942, 0.5487, -0.4996, 0.4318),
        (0.5, 2.1889, 1.4599, -1.2059, 0.8840),
        (1.0, 4.6316, 3.6842, -2.4718, 1.1876),
        (2.0, 9.2499, 8.4773, -3.4717, -0.0782),
        (3.0, 13.3795, 12.9234, -2.6092, -1.8374),
        (6.0, 23.2371, 22.5839, 4.4738, -1.6437),
        (12.0, 35.3690, 30.5533, 15.2475, 8.0033),
    ] {
        let amplitude = gain(overdrive_db);
        let fundamental = clipped_sine(1.0, amplitude);
        let share = |order: i32| clipped_sine(f64::from(order), amplitude) / fundamental;
        let up_to =
            |last: i32| (3..=last).step_by(2).map(|order| share(order).powi(2)).sum::<f64>().sqrt();
        near(100.0 * up_to(20_001), thd, 1e-4);

        let got = partials(&shaped(40.0, |a| (amplitude * a.sin()).clamp(-1.0, 1.0)), 40.0);
        // The sampled clip folds what lies above 24 kHz back: less than 0.001 %.
        near(100.0 * got.thd_f, 100.0 * up_to(19), 1e-3);
        near(got.tone_dbfs, db(fundamental), 1e-4);
        for (order, percent) in [(3.0, h3), (5.0, h5), (7.0, h7)] {
            let line = line(&got.above, order);
            // A sine is a cosine at −90°; a negative coefficient turns it round.
            let signed = gain(line.re_tone_db) * -line.phase_deg.signum();
            near(100.0 * signed, percent, 1e-3);
        }
        exactly(&got.below, &[], 0.0);
        exactly(&got.odd_halves, &[], 0.0);
    }
}

#[test]
fn one_per_cent_of_distortion_is_a_quarter_decibel_of_overdrive() {
    // 1 % THD: 0.2513 dB, 3 %: 0.6657 dB, 10 %: 2.1731 dB, over all orders; up to 20 a little less.
    for (overdrive_db, thd, missing) in
        [(0.2513, 0.01, 0.0004), (0.6657, 0.03, 0.0003), (2.1731, 0.1, 0.0003)]
    {
        let amplitude = gain(overdrive_db);
        let got = partials(&shaped(40.0, |a| (amplitude * a.sin()).clamp(-1.0, 1.0)), 40.0);
        near(got.thd_f, thd - missing / 2.0, missing / 2.0);
    }
}

#[test]
fn a_square_is_counted_up_to_the_orders_that_fit() {
    // Harmonics of a square to order 5, 7, 9 (analytic): the tone is so high that no more fit.
    for (hz, orders, thd) in
        [(4000.0, 5, 0.388_730), (3000.0, 7, 0.414_149), (2400.0, 9, 0.428_795)]
    {
        let limited = shaped(hz, |a| {
            (1..=orders).step_by(2).map(|n| (f64::from(n) * a).sin() / f64::from(n)).sum()
        });
        let got = partials(&limited, hz);
        near(got.thd_f, thd, 1e-6);
        assert_eq!(got.thd_orders, orders as usize);
    }
}

/// THD of harmonics of these amplitudes re the fundamental, up to 20.
#[track_caller]
fn thd_of(amplitude: impl Fn(f64) -> f64, all_orders: f64) {
    let upto = |last: i32| (2..=last).map(|n| amplitude(f64::from(n)).powi(2)).sum::<f64>().sqrt();
    near(upto(200_000), all_orders, 1e-5);
    let samples =
        shaped(40.0, |a| (1..=20).map(f64::from).map(|n| amplitude(n) * (n * a).sin()).sum());
    near(partials(&samples, 40.0).thd_f, upto(20), 1e-9);
}

#[test]
fn square_triangle_and_saw_have_their_closed_distortion() {
    // √(π²/8−1), √(π⁴/96−1), √(π²/6−1).
    let odd = |n: f64| if n % 2.0 == 1.0 { 1.0 } else { 0.0 };
    thd_of(|n| odd(n) / n, 0.483_425_8);
    thd_of(|n| odd(n) / (n * n), 0.121_152_9);
    thd_of(|n| 1.0 / n, 0.803_077_9);
}

#[test]
fn rectified_sines_have_their_closed_lines() {
    // Half wave: DC 1/π, second −7.444 dB, no third. Samples fold back about 1e-6.
    let half = partials(&shaped(40.0, |a| a.sin().max(0.0)), 40.0);
    near(half.dc, 1.0 / PI, 1e-5);
    near(line(&half.above, 2.0).re_tone_db, -7.444, 1e-3);
    assert!(half.above.iter().all(|l| l.order % 2.0 == 0.0 || l.re_tone_db < -90.0));
    // Full wave of 40 Hz, re its own 80 Hz: −13.979, −21.339, −26.444 dB; DC 2/π.
    let full = partials(&shaped(40.0, |a| a.sin().abs()), 80.0);
    near(full.dc, 2.0 / PI, 1e-5);
    near(full.tone_dbfs, -7.444, 1e-3);
    for (order, level_db) in [(2.0, -13.979), (3.0, -21.339), (4.0, -26.444)] {
        near(line(&full.above, order).re_tone_db, level_db, 1e-3);
    }
    // 22.72718 % over all orders: the coefficients 1/(4m²−1) re the first, 1/3.
    let upto = |last: i32| {
        (2..=last).map(|m| (3.0 / (4.0 * f64::from(m * m) - 1.0)).powi(2)).sum::<f64>().sqrt()
    };
    near(upto(10_000), 0.227_271_8, 1e-6);
    // Samples fold about 7e-7 of the fundamental back onto each order, all of one sign: 1.3e-5.
    near(full.thd_f, upto(20), 2e-5);
}

#[test]
fn a_one_sided_clip_makes_even_harmonics() {
    for (overdrive_db, levels_db) in [
        (1.0, [-33.884, -34.884, -36.346, -38.350]),
        (3.0, [-21.703, -24.703, -29.631, -38.600]),
        (6.0, [-15.351, -21.351, -35.228, -35.414]),
    ] {
        let amplitude = gain(overdrive_db);
        let got = partials(&shaped(40.0, |a| (amplitude * a.sin()).min(1.0)), 40.0);
        for (order, level_db) in [2.0, 3.0, 4.0, 5.0].into_iter().zip(levels_db) {
            near(line(&got.above, order).re_tone_db, level_db, 2e-3);
        }
    }
}

#[test]
fn a_soft_bend_has_its_odd_harmonics() {
    // tanh(g·sin), by quadrature in mpmath.
    for (g, levels_db) in [
        (0.5, vec![(3.0, -34.149), (5.0, -66.627)]),
        (1.0, vec![(3.0, -23.500), (5.0, -45.091), (7.0, -66.536)]),
        (2.0, vec![(3.0, -15.451), (5.0, -28.298), (7.0, -40.876)]),
    ] {
        let got = partials(&shaped(40.0, |a| (g * a.sin()).tanh()), 40.0);
        for (order, level_db) in levels_db {
            near(line(&got.above, order).re_tone_db, level_db, 1e-3);
        }
        exactly(&got.below, &[], 0.0);
    }
}

#[test]
fn a_frequency_divider_has_its_series_of_odd_halves() {
    // sin(2πft)·sgn(sin(πft)): lines at m·f/2, m odd, of amplitude (8/π)/|m²−4|; nothing at f, 2f.
    let divided = |a: f64| a.sin() * (a / 2.0).sin().signum();
    let got = partials(&shaped(60.0, |a| a.sin() + divided(a)), 60.0);
    exactly(&got.below, &[(0.5, -1.424)], 1e-3);
    for (order, level_db) in [(1.5, -5.861), (2.5, -18.326), (3.5, -24.945)] {
        near(line(&got.odd_halves, order).re_tone_db, level_db, 1e-3);
    }
    assert_eq!(got.odd_halves.len(), 19, "up to 19.5 times the tone");
    near(got.below_ratio, 0.848_826, 1e-4);
    // The odd halves are in neither figure.
    assert!(got.thd_f < 1e-4, "{}", got.thd_f);
    near(got.tone_dbfs, 0.0, 1e-3);
}

#[test]
fn thirds_and_quarters_below_are_told_apart() {
    let got = partials(
        &shaped(45.0, |a| {
            a.sin()
                + 0.1 * (a / 3.0).sin()
                + 0.01 * (2.0 * a / 3.0).sin()
                + 0.03 * (a / 4.0).cos()
                + 0.003 * (0.75 * a).cos()
        }),
        45.0,
    );
    let expected = [(1.0 / 3.0, -20.0), (2.0 / 3.0, -40.0), (0.25, db(0.03)), (0.75, db(0.003))];
    exactly(&got.below, &expected, 1e-6);
}
