//! Levels against AES17, ITU-R BS.1770-5 and EBU Tech 3341.
//!
//! The test signals of Tech 3341 are synthesised; their segment lengths and true-peak
//! tolerances are held as written, alike, in several public test suites.

use ebur128::{EbuR128, Mode};
use underpin::analysis::level::{Level, LevelMeter, true_peak_oversampling};

use crate::tones::{Noise, close, sine};

const RATE: f64 = 48_000.0;

fn level(channels: &[&[f64]], rate: f64) -> Level {
    let mut meter = LevelMeter::new(rate, channels.len());
    meter.push(channels);
    meter.reading()
}

/// Segments (seconds, dBFS) of a 1 kHz sine in both channels.
fn stereo_loudness(hz: f64, rate: f64, segments: &[(f64, f64)]) -> f64 {
    let mut meter = LevelMeter::new(rate, 2);
    for (seconds, dbfs) in segments {
        let x = sine(hz, 10f64.powf(dbfs / 20.0), 0.0, rate, *seconds);
        meter.push(&[&x, &x]);
    }
    meter.reading().loudness_lufs.unwrap()
}

/// AES17: full scale is a sine that reaches it; a square at full scale is +3.01 dBFS r.m.s.
#[test]
fn levels_are_read_by_aes17() {
    let x = sine(997.0, 1.0, 0.0, RATE, 1.0);
    let reading = level(&[&x], RATE);
    // 997 Hz steps its phase so that some sample comes within 1e-6 of the crest.
    close(reading.peak_dbfs, 0.0, 1e-5);
    close(reading.rms_dbfs, 0.0, 1e-9);
    close(reading.crest_db(), 3.0103, 1e-4);
    let square: Vec<f64> = x.iter().map(|x| if *x >= 0.0 { 1.0 } else { -1.0 }).collect();
    let reading = level(&[&square], RATE);
    close(reading.rms_dbfs, 3.0103, 1e-4);
    close(reading.crest_db(), 0.0, 1e-9);
}

#[test]
fn a_channel_at_rest_halves_the_power_not_the_peak() {
    let x = sine(100.0, 0.5, 0.0, RATE, 1.0);
    let reading = level(&[&x, &vec![0.0; x.len()]], RATE);
    close(reading.peak_dbfs, -6.0206, 1e-4);
    close(reading.rms_dbfs, -6.0206 - 3.0103, 1e-4);
}

#[test]
fn the_larger_offset_is_told_with_its_sign() {
    let (a, b) = (vec![0.1; 4_800], vec![-0.25; 4_800]);
    close(level(&[&a, &b], RATE).dc, -0.25, 1e-12);
}

/// ITU-R BS.1770-5 annex 1: 997 Hz at 0 dBFS in one front channel reads -3.01 LKFS.
#[test]
fn full_scale_in_one_channel_is_minus_3_01_lkfs() {
    let x = sine(997.0, 1.0, 0.0, RATE, 10.0);
    close(level(&[&x], RATE).loudness_lufs.unwrap(), -3.01, 0.005);
}

/// EBU Tech 3341 table 1, cases 1 to 5: -23.0 or -33.0 ± 0.1 LUFS.
#[test]
fn loudness_keeps_the_ebu_cases() {
    for rate in [44_100.0, 48_000.0, 96_000.0] {
        close(stereo_loudness(1e3, rate, &[(20.0, -23.0)]), -23.0, 0.1);
        close(stereo_loudness(1e3, rate, &[(20.0, -33.0)]), -33.0, 0.1);
    }
    let case_3 = [(10.0, -36.0), (60.0, -23.0), (10.0, -36.0)];
    close(stereo_loudness(1e3, RATE, &case_3), -23.0, 0.1);
    let case_4 = [(10.0, -72.0), (10.0, -36.0), (60.0, -23.0), (10.0, -36.0), (10.0, -72.0)];
    close(stereo_loudness(1e3, RATE, &case_4), -23.0, 0.1);
    let case_5 = [(20.0, -26.0), (20.1, -20.0), (20.0, -26.0)];
    close(stereo_loudness(1e3, RATE, &case_5), -23.0, 0.1);
}

/// K-weighting takes bass down: a stereo sine at -23 dBFS by the filter of BS.1770-5 annex 1,
/// computed with pyloudnorm ("DeMan" filters). 0.01 LU: the gate's blocks hold no whole periods.
#[test]
fn loudness_of_bass_follows_k_weighting() {
    for (hz, lufs) in [(20.0, -36.966), (40.0, -29.258), (63.0, -26.355)] {
        close(stereo_loudness(hz, RATE, &[(20.0, -23.0)]), lufs, 0.01);
    }
}

/// A tone at `hz` with the first and last 0.1 s faded, so that its ends do not ring.
fn faded(hz: f64, amplitude: f64, phase_deg: f64, rate: f64) -> Vec<f64> {
    let mut x = sine(hz, amplitude, phase_deg, rate, 1.0);
    let (fade, length) = ((0.1 * rate) as usize, x.len());
    for i in 0..fade {
        let gain = 0.5 - 0.5 * (std::f64::consts::PI * i as f64 / fade as f64).cos();
        x[i] *= gain;
        x[length - 1 - i] *= gain;
    }
    x
}

/// EBU Tech 3341 table 1, cases 15 to 19: +0.2/-0.4 dB.
#[test]
fn true_peak_keeps_the_ebu_cases() {
    for (part, amplitude, phase_deg, dbtp) in [
        (4.0, 0.50, 0.0, -6.0),
        (4.0, 0.50, 45.0, -6.0),
        (6.0, 0.50, 60.0, -6.0),
        (8.0, 0.50, 67.5, -6.0),
        (4.0, 1.41, 45.0, 3.0),
    ] {
        let reading = level(&[&faded(RATE / part, amplitude, phase_deg, RATE)], RATE);
        let error = reading.true_peak_dbtp - dbtp;
        assert!((-0.4..=0.2).contains(&error), "fs/{part} at {phase_deg}°: {error} dB");
    }
}

/// BS.1770-5 annex 2: n-fold oversampling reads at most 20·lg cos(π·f/(n·fs)) low. Up to 24 kHz
/// that is 0.69 dB at every rate, so the samples alone do at 192 kHz; +0.05 dB for the
/// library's short filter.
#[test]
fn true_peak_is_fine_enough_up_to_24_khz_at_every_rate() {
    for (rate, factor) in [(44_100.0, 4), (48_000.0, 4), (96_000.0, 2), (192_000.0, 1)] {
        assert_eq!(true_peak_oversampling(rate), factor);
        for hz in [997.0, 5_001.0, 12_003.0, 19_007.0] {
            let low = level(&[&faded(hz, 0.5, 13.0, rate)], rate).true_peak_dbtp + 6.0206;
            assert!((-0.74..=0.05).contains(&low), "{hz} Hz at {rate} Hz: {low} dB");
        }
    }
}

/// Gibbs: a band-limited square overshoots by Si(π)·2/π, 1.4301 dB. A square of 100 Hz with its
/// harmonics to 10 kHz: four values a sample read 10 kHz at most 0.19 dB low.
#[test]
fn the_true_peak_of_a_square_shows_gibbs_overshoot() {
    let at = |n: usize, order: f64| (std::f64::consts::TAU * 100.0 * order * n as f64 / RATE).sin();
    let orders: Vec<f64> = (0..50).map(|k| f64::from(2 * k + 1)).collect();
    let square: Vec<f64> = (0..48_000)
        .map(|n| 2.0 / std::f64::consts::PI * orders.iter().map(|o| at(n, *o) / o).sum::<f64>())
        .collect();
    let over = level(&[&square], RATE).true_peak_dbtp + 6.0206;
    assert!((1.43 - 0.19..1.43 + 0.05).contains(&over), "{over} dB");
}

#[test]
fn a_true_peak_is_never_below_the_sample_peak() {
    let mut x = vec![0.0; 4_800];
    x[100] = 0.7;
    x[101] = -0.7;
    let reading = level(&[&x], RATE);
    assert!(reading.true_peak_dbtp >= reading.peak_dbfs);
}

#[test]
fn silence_has_a_level_but_no_loudness() {
    let reading = level(&[&[0.0; 48_000]], RATE);
    assert_eq!((reading.rms_dbfs, reading.peak_dbfs, reading.dc), (-400.0, -400.0, 0.0));
    assert_eq!((reading.true_peak_dbtp, reading.loudness_lufs), (-400.0, None));
    assert_eq!(LevelMeter::new(RATE, 2).reading().rms_dbfs, -400.0);
}

#[test]
fn a_rate_no_loudness_is_defined_for_still_has_a_peak() {
    let reading = level(&[&[0.5; 100]], 3.0);
    close(reading.true_peak_dbtp, -6.0206, 1e-4);
    assert_eq!(reading.loudness_lufs, None);
}

#[test]
fn a_reset_meter_is_a_new_one() {
    let x = sine(100.0, 0.9, 0.0, RATE, 1.0);
    let mut meter = LevelMeter::new(RATE, 1);
    meter.push(&[&x]);
    meter.reset();
    meter.push(&[&x[..24_000]]);
    assert_eq!(meter.reading(), level(&[&x[..24_000]], RATE));
}

/// Where the level jumps at random, and the samples come in pieces of any size, the true peak is
/// that which the library finds looking everywhere (`ebur128`, general-purpose library).
#[test]
fn no_true_peak_is_passed_over() {
    for (seed, rate) in (1..).zip([48_000.0, 96_000.0, 44_100.0, 176_400.0]) {
        let mut random = Noise(seed);
        let mut draw = |most: f64| random.unit() * most;
        let mut whole: [Vec<f64>; 2] = Default::default();
        let (mut meter, mut library) =
            (LevelMeter::new(rate, 2), EbuR128::new(2, rate as u32, Mode::TRUE_PEAK).unwrap());
        let mut level = 1e-3;
        for step in 0..2_000 {
            // Slowly louder, with jumps of up to 20 dB.
            let jump = 10f64.powf(draw(2.0) - 1.0);
            level *= 1.003;
            let frames = 1 + draw(if step % 7 == 0 { 400.0 } else { 40.0 }) as usize;
            let piece: [Vec<f64>; 2] =
                [0, 1].map(|_| (0..frames).map(|_| (draw(2.0) - 1.0) * jump * level).collect());
            meter.push(&[&piece[0], &piece[1]]);
            whole.iter_mut().zip(&piece).for_each(|(all, new)| all.extend(new));
            if step % 100 == 99 {
                library.reset();
                library.add_frames_planar_f64(&[&whole[0], &whole[1]]).unwrap();
                let found = [0, 1].map(|c| library.true_peak(c).unwrap());
                let found_db = 20.0 * found[0].max(found[1]).log10();
                close(meter.reading().true_peak_dbtp, found_db, 1e-9);
            }
        }
    }
}
