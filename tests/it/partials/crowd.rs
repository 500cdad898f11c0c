//! Lines beside a tone in noise, in hum and in a crowd of other lines.

use super::*;

#[test]
fn noise_is_no_line_and_has_its_own_figure() {
    // Triangular noise of ±p has mean square p²/6.
    for seed in 0..10 {
        let mut hiss = noise(seed, 0.01);
        let got = partials(&shaped(43.7, |a| 0.5 * a.sin() + hiss()), 43.7);
        let lines = got.below.len() + got.above.len() + got.odd_halves.len();
        assert_eq!(lines, 0, "{got:?}");
        // 96 000 values know their mean square to 0.02 dB.
        near(got.noise_dbfs, 10.0 * (2.0 * 1e-4f64 / 6.0).log10(), 0.1);
        near(got.tone_dbfs, db(0.5), 0.01);
    }
}

#[test]
fn a_line_in_noise_is_read_as_far_as_it_stands_out() {
    // A bin of 0.75 Hz holds −44.8 − 45.1 dB of this noise: −70 dB stands 20 dB above it.
    let mut hiss = noise(4, 0.01);
    let got = partials(&shaped(43.7, |a| a.sin() + gain(-70.0) * (a / 2.0).sin() + hiss()), 43.7);
    exactly(&got.below, &[(0.5, -70.0)], 1.5);
}

#[test]
fn quantisation_noise_is_the_textbook_figure() {
    // 6.0206·16 + 1.7609 = 98.09 dB; triangular dither takes 4.771 dB (IEEE 1241, Lipshitz 1992).
    let scale = 32_768.0;
    let round = |x: f64| (x * scale).round() / scale;
    let plain = partials(&shaped(40.7, |a| round(0.99 * a.sin())), 40.7);
    near(plain.tone_dbfs - plain.noise_dbfs, 98.09 + db(0.99), 0.1);
    let mut dither = noise(1, 1.0 / scale);
    let dithered = partials(&shaped(40.7, |a| round(0.99 * a.sin() + dither())), 40.7);
    near(dithered.tone_dbfs - dithered.noise_dbfs, 93.32 + db(0.99), 0.1);
}

/// A tone of `hz` with hum of `hum_hz`, 40 dB below.
fn with_hum(hz: f64, hum_hz: f64) -> Partials {
    let hum = |n: usize| 0.01 * (TAU * hum_hz * n as f64 / FS + 1.0).sin();
    let samples = shaped(hz, f64::sin);
    let samples: Vec<f64> = samples.iter().enumerate().map(|(n, x)| x + hum(n)).collect();
    partials(&samples, hz)
}

#[test]
fn mains_hum_beside_a_half_is_no_half() {
    for (hz, hum_hz) in [(102.0, 50.0), (101.0, 50.0), (98.0, 50.0), (122.0, 60.0), (99.0, 50.02)] {
        let got = with_hum(hz, hum_hz);
        assert!(got.below.is_empty(), "{hz} Hz with hum of {hum_hz} Hz: {:?}", got.below);
        near(got.noise_dbfs, -40.0, 0.3);
    }
    for (hz, hum_hz) in [(49.0, 100.0), (51.3, 150.0), (61.0, 120.0)] {
        let got = with_hum(hz, hum_hz);
        assert!(got.above.is_empty(), "{hz} Hz with hum of {hum_hz} Hz: {:?}", got.above);
    }
}

#[test]
fn hum_that_stands_exactly_at_the_half_is_said_to_be_possible() {
    let got = with_hum(100.0, 50.0);
    exactly(&got.below, &[(0.5, -40.0)], 1e-3);
    assert!(got.below[0].near_mains);
    let clear = partials(&shaped(86.0, |a| a.sin() + 0.01 * (a / 2.0).sin()), 86.0);
    assert!(!clear.below[0].near_mains, "43 Hz is nowhere near the mains");
}

#[test]
fn a_half_beside_hum_is_still_read() {
    let hum = |n: usize| 0.01 * (TAU * 50.0 * n as f64 / FS).sin();
    let samples = shaped(106.0, |a| a.sin() + 0.1 * (a / 2.0).sin());
    let samples: Vec<f64> = samples.iter().enumerate().map(|(n, x)| x + hum(n)).collect();
    // Six bins off, a Hann window lets −31 − 18·log2(6/2.5) = −54 dB of the hum through.
    exactly(&partials(&samples, 106.0).below, &[(0.5, -20.0)], 0.01);
}

#[test]
fn a_clock_off_by_300_ppm_costs_nothing() {
    let got = partials(&shaped(40.0 * 1.0003, |a| a.sin() + 0.001 * (a / 2.0).sin()), 40.0);
    near(got.tone_hz, 40.012, 1e-9);
    exactly(&got.below, &[(0.5, -60.0)], 1e-6);
}

#[test]
fn another_tone_far_away_is_neither_line_nor_in_the_way() {
    let other = |n: usize| 0.5 * (TAU * 57.3 * n as f64 / FS).sin();
    let samples = shaped(40.0, |a| a.sin() + 0.01 * (2.0 * a).sin());
    let samples: Vec<f64> = samples.iter().enumerate().map(|(n, x)| x + other(n)).collect();
    let got = partials(&samples, 40.0);
    exactly(&got.below, &[], 0.0);
    exactly(&got.above, &[(2.0, -40.0)], 0.2);
    near(got.noise_dbfs, db(0.5), 0.01);
}

#[test]
fn what_holds_no_tone_is_refused_in_a_sentence() {
    let refused = |samples: &[f64], hz: f64| of(samples, FS, hz).expect_err("no tone");
    let tone = shaped(40.0, f64::sin);
    assert!(refused(&tone[..28_000], 40.0).contains("0.6 s"));
    assert!(refused(&[0.0; 96_000], 40.0).contains("No tone"));
    assert!(refused(&tone, 50.0).contains("No tone"));
    assert!(refused(&tone, 0.0).contains("not possible"));
    assert!(refused(&tone, 30_000.0).contains("not possible"));
    assert!(refused(&[f64::NAN; 96_000], 40.0).contains("not numbers"));
    let mut hiss = noise(5, 0.5);
    let noise: Vec<f64> = (0..96_000).map(|_| hiss()).collect();
    assert!(refused(&noise, 40.0).contains("No tone"));
}

#[test]
fn a_half_in_a_crowd_of_other_lines_is_none() {
    // What AAC at 64 kbit/s left around a half of 50 Hz (read by numpy): nearby lines 8 dB over it.
    let crowd = [40.56, 46.88, 34.41, 59.34, 53.03, 71.97];
    let alone = |a: f64| a.sin() + gain(-61.0) * (a / 2.0).sin();
    let got = partials(&shaped(100.0, alone), 100.0);
    near(line(&got.below, 0.5).re_tone_db, -61.0, 0.01);
    let crowded = shaped(100.0, |a| {
        let noise = crowd.iter().map(|hz| gain(-54.0) * (a * hz / 100.0 + hz).sin());
        alone(a) + noise.sum::<f64>()
    });
    assert!(partials(&crowded, 100.0).below.is_empty());
    // Mains hum is known by its place: a half of 30 Hz beside 50 Hz stays a half.
    let hum = shaped(60.0, |a| {
        a.sin() + gain(-61.0) * (a / 2.0).sin() + gain(-50.0) * (a * 50.0 / 60.0).sin()
    });
    near(line(&partials(&hum, 60.0).below, 0.5).re_tone_db, -61.0, 0.3);
}
