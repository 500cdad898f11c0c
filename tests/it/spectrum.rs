//! Windows against Harris 1978 and numpy, spectra against Parseval and AES17.

use std::f64::consts::TAU;

use underpin::analysis::averager::Averager;
use underpin::analysis::spectrum::Spectrum;
use underpin::analysis::window::Window;
use underpin::units::power_to_db;

use crate::tones::{Noise, close, sine, sum};

const ALL: [Window; 3] = [Window::Rectangular, Window::Hann, Window::BlackmanHarris];

/// Magnitude of a window's transform at `bins` bins, re its middle, in dB.
fn lobe_db(weights: &[f64], bins: f64) -> f64 {
    let step = TAU * bins / weights.len() as f64;
    let (re, im) = weights.iter().enumerate().fold((0.0, 0.0), |(re, im), (i, w)| {
        (re + w * (step * i as f64).cos(), im + w * (step * i as f64).sin())
    });
    20.0 * (f64::hypot(re, im) / weights.iter().sum::<f64>()).log10()
}

/// Harris, Proc. IEEE 66 (1978), table 1; further digits computed with numpy and
/// `scipy.signal.get_window(.., 4096)`. Tolerance: half the last printed digit.
#[track_caller]
fn check_window(window: Window, gain: f64, enbw: f64, scallop_db: f64, side_lobe_db: f64) {
    let weights = window.coefficients(4096);
    let mean = weights.iter().sum::<f64>() / 4096.0;
    let square = weights.iter().map(|w| w * w).sum::<f64>() / 4096.0;
    close(mean, gain, 5e-6);
    close(window.coherent_gain(), gain, 5e-6);
    close(square / mean.powi(2), enbw, 5e-5);
    close(window.enbw_bins(), enbw, 5e-5);
    close(-lobe_db(&weights, 0.5), scallop_db, 5e-5);
    let first_null = window.half_lobe_bins();
    assert!(lobe_db(&weights, first_null) < -200.0, "no null at {first_null} bins");
    let highest = (1..400).map(|i| lobe_db(&weights, first_null + f64::from(i) * 0.02));
    close(highest.fold(-400.0, f64::max), side_lobe_db, 0.01);
}

#[test]
fn windows_have_the_figures_of_harris() {
    check_window(Window::Rectangular, 1.0, 1.0, 3.9224, -13.26);
    check_window(Window::Hann, 0.5, 1.5, 1.4236, -31.47);
    check_window(Window::BlackmanHarris, 0.35875, 2.0044, 0.8256, -92.01);
}

#[test]
fn every_half_hertz_is_a_bin_at_every_rate() {
    for rate in [44_100.0, 48_000.0, 88_200.0, 96_000.0, 176_400.0, 192_000.0] {
        let spectrum = Averager::new(rate, 1, Window::Hann).reading();
        assert_eq!(spectrum.df_hz, 0.5);
        assert_eq!(spectrum.top_hz(), rate / 2.0);
    }
}

/// Parseval: the bins of one unweighted block add up to its mean square, times two by AES17.
/// Tolerance: single-precision rounding of the samples.
#[test]
fn the_bins_add_up_to_the_power_of_the_signal() {
    let x = Noise(1).take(16_000);
    let twice_mean_square = 2.0 * x.iter().map(|x| x * x).sum::<f64>() / 16_000.0;
    let spectrum = Spectrum::of(&[&x], 8_000.0, Window::Rectangular);
    close(spectrum.total_power() / twice_mean_square, 1.0, 1e-7);
}

/// AES17: a sine that reaches full scale is 0 dBFS, a full-scale square +3.01 dBFS, and so
/// is a constant at full scale.
#[test]
fn a_full_scale_sine_is_0_dbfs_under_every_window() {
    for window in ALL {
        let x = sine(40.0, 1.0, 20.0, 48_000.0, 4.0);
        let spectrum = Spectrum::of(&[&x], 48_000.0, window);
        close(spectrum.line_dbfs(40.0), 0.0, 1e-6);
        close(power_to_db(spectrum.total_power()), 0.0, 1e-6);
        let constant = vec![1.0; 32_000];
        let at_zero = Spectrum::of(&[&constant], 8_000.0, window).line_dbfs(0.0);
        close(at_zero, 3.0103, 1e-4);
    }
}

/// The octave-down line 60 dB below its tone, with the floor that single-precision samples
/// leave: realfft in f64 alone goes to -319 dB, in f32 to -143 dB (both computed with realfft).
#[test]
fn a_line_60_db_down_stands_clear_of_its_tone() {
    let x = sum(&[sine(40.0, 1.0, 0.0, 48_000.0, 6.0), sine(20.0, 1e-3, 77.0, 48_000.0, 6.0)]);
    for window in ALL {
        let spectrum = Spectrum::of(&[&x], 48_000.0, window);
        close(spectrum.line_dbfs(40.0), 0.0, 1e-6);
        close(spectrum.line_dbfs(20.0), -60.0, 1e-4);
        let elsewhere = spectrum.power_between(45.0, 24_000.0) + spectrum.power_between(25.0, 35.0);
        assert!(power_to_db(elsewhere) < -150.0, "{window:?}: {}", power_to_db(elsewhere));
    }
}

/// Interpolation between bins is exact for Hann but for the image at -f (Grandke, IEEE
/// Trans. IM-32, 1983); 2e-5 Hz covers that image at 20 Hz.
#[test]
fn the_strongest_line_is_read_between_the_bins() {
    for hz in [20.1, 37.3, 49.76, 63.25, 100.0] {
        let x = sine(hz, 0.5, 50.0, 8_000.0, 8.0);
        let peak = Spectrum::of(&[&x], 8_000.0, Window::Hann).strongest_line(5.0, 1_000.0).unwrap();
        close(peak.hz, hz, 2e-5);
        close(power_to_db(peak.power), -6.0206, 0.02);
    }
    let silence = Spectrum::of(&[&[0.0; 16_000]], 8_000.0, Window::Hann);
    assert_eq!(silence.strongest_line(5.0, 1_000.0), None);
}

#[test]
fn a_bin_on_an_edge_is_shared() {
    let power = vec![8.0; 5];
    let spectrum = Spectrum { df_hz: 0.5, power, window: Window::Hann, averages: 1.0 };
    close(spectrum.power_between(0.5, 1.0), 8.0, 1e-12); // half of 0.5 Hz, half of 1 Hz
    close(spectrum.power_between(0.6, 0.7), 8.0 * 0.2, 1e-12); // inside one bin
    close(spectrum.power_between(0.0, 0.25), 8.0, 1e-12); // 0 Hz has its upper half only
    close(spectrum.power_between(0.0, 0.125), 4.0, 1e-12);
    close(spectrum.power_between(0.0, 9.0), 40.0, 1e-12);
    close(spectrum.power_between(-3.0, 9.0), 40.0, 1e-12);
    close(spectrum.power_between(7.0, 9.0), 0.0, 0.0);
    close(spectrum.power_between(1.5, 0.5), 0.0, 0.0);
}

/// Welch 1967: 10 half-overlapping Hann blocks are worth 9.52, 100 are worth 94.79,
/// 10 that overlap by three quarters 5.47 (computed with numpy). Rectangular blocks do not overlap.
#[test]
fn overlapping_blocks_count_for_less() {
    let averages =
        |window, seconds: usize| Spectrum::of(&[&vec![0.0; seconds * 100]], 100.0, window).averages;
    close(averages(Window::Hann, 11), 9.52, 0.005);
    close(averages(Window::Hann, 101), 94.79, 0.005);
    let mut quarter = Averager::for_periodic(100.0, 1);
    quarter.push(&[&[0.0; 200 + 9 * 50]]);
    close(quarter.reading().averages, 5.47, 0.005);
    close(averages(Window::Rectangular, 20), 10.0, 0.0);
    close(averages(Window::Hann, 1), 0.5, 0.0); // one block of half the length
}

#[test]
fn the_size_of_the_pieces_changes_nothing() {
    let (left, right) = (Noise(2).take(9_000), Noise(3).take(9_000));
    let whole = Spectrum::of(&[&left, &right], 1_000.0, Window::Hann);
    let mut averager = Averager::new(1_000.0, 2, Window::Hann);
    for (l, r) in left.chunks(37).zip(right.chunks(37)) {
        averager.push(&[l, r]);
    }
    assert_eq!(averager.reading(), whole);
    averager.reset();
    averager.push(&[&left, &right]);
    assert_eq!(averager.reading(), whole);
}

/// Power is the mean of the channels: one full-scale sine in one of two is -3.01 dBFS.
#[test]
fn channels_are_averaged_in_power() {
    let x = sine(50.0, 1.0, 0.0, 4_000.0, 4.0);
    let spectrum = Spectrum::of(&[&x, &vec![0.0; x.len()]], 4_000.0, Window::Hann);
    close(spectrum.line_dbfs(50.0), -3.0103, 1e-4);
}

#[test]
fn what_is_shorter_than_a_block_is_still_measured() {
    let x = sine(100.0, 0.5, 0.0, 8_000.0, 0.5);
    let spectrum = Spectrum::of(&[&x], 8_000.0, Window::Hann);
    close(power_to_db(spectrum.total_power()), -6.0206, 1e-3);
    assert_eq!(spectrum.averages, 0.25);
    assert_eq!(Spectrum::of(&[&[]], 8_000.0, Window::Hann).total_power(), 0.0);
    assert_eq!(Spectrum::of(&[&[1.0]], 8_000.0, Window::Hann).total_power(), 0.0);
    assert_eq!(Spectrum::of(&[], 8_000.0, Window::Hann).total_power(), 0.0);
}
