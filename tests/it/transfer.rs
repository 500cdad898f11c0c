//! Transfer functions against Bendat & Piersol and against systems written out here.

use std::f64::consts::{PI, TAU};

use underpin::analysis::transfer::{
    Transfer, TransferMeter, TransferPoint, gain_sd_db, unrelated_coherence,
};
use underpin::measure::{Ask, Measure};
use underpin::path::{Listen, Tap};

use crate::tones::{Noise, close, sine};

const RATE: f64 = 2_000.0;

/// The transfer function of two signals whose delay is looked for.
#[track_caller]
fn measured(first: &[f64], second: &[f64]) -> Transfer {
    let mut meter = TransferMeter::new(RATE, 1);
    meter.push(&[first], &[second]);
    meter.reading().expect("long enough")
}

/// The transfer function of a line that is heard at both ends, which run in step.
#[track_caller]
fn in_step(first: &[f64], second: &[f64]) -> Transfer {
    let mut measure = Measure::new(RATE, 1, &Ask { transfer: true, ..Ask::default() });
    measure.hear(Tap::Before, &[first]);
    measure.hear(Tap::After, &[second]);
    measure.reading().transfer.expect("long enough")
}

fn delayed(signal: &[f64], samples: usize) -> Vec<f64> {
    let mut out = vec![0.0; samples];
    out.extend_from_slice(&signal[..signal.len() - samples]);
    out
}

#[track_caller]
fn nearest(transfer: &Transfer, hz: f64) -> TransferPoint {
    let points = transfer.points.iter();
    *points.min_by(|a, b| (a.hz - hz).abs().total_cmp(&(b.hz - hz).abs())).unwrap()
}

/// y = 2·x: 6.0206 dB everywhere, coherence 1. Tolerance: single-precision samples.
#[test]
fn twice_the_signal_is_6_db_and_coherent() {
    let x = Noise(1).take(20_000);
    let y: Vec<f64> = x.iter().map(|x| 2.0 * x).collect();
    let transfer = measured(&x, &y);
    assert_eq!(transfer.delay_s, 0.0);
    assert!(transfer.points.len() > 150);
    for point in &transfer.points {
        close(point.gain_db, 6.0206, 1e-5);
        close(point.phase_deg, 0.0, 1e-5);
        close(point.coherence, 1.0, 1e-12);
        assert!(point.sd_db < 1e-5);
    }
}

#[test]
fn a_delay_to_either_side_is_found_and_taken_out() {
    let x = Noise(2).take(20_000);
    for samples in [1, 37, 1_000, 1_990] {
        let y: Vec<f64> = delayed(&x, samples).iter().map(|y| -0.5 * y).collect();
        let late = measured(&x, &y);
        close(late.delay_s, samples as f64 / RATE, 1e-12);
        close(nearest(&late, 100.0).gain_db, -6.0206, 1e-4);
        close(nearest(&late, 100.0).phase_deg.abs(), 180.0, 1e-3);
        let early = measured(&y, &x);
        close(early.delay_s, -(samples as f64) / RATE, 1e-12);
        close(nearest(&early, 100.0).gain_db, 6.0206, 1e-4);
    }
}

#[test]
fn a_delay_is_found_behind_silence() {
    let mut x = vec![0.0; 30_000];
    x.extend(Noise(3).take(20_000));
    let y = delayed(&x, 300);
    let mut meter = TransferMeter::new(RATE, 1);
    for (x, y) in x.chunks(700).zip(y.chunks(700)) {
        meter.push(&[x], &[y]);
    }
    let transfer = meter.reading().unwrap();
    close(transfer.delay_s, 0.15, 1e-12);
    close(nearest(&transfer, 50.0).gain_db, 0.0, 1e-6);
}

/// A tone fits again one period later: the shortest delay is meant.
#[test]
fn a_steady_tone_is_not_taken_for_late() {
    let x = sine(40.0, 0.5, 0.0, RATE, 10.0);
    let transfer = measured(&x, &x);
    assert_eq!(transfer.delay_s, 0.0);
    close(nearest(&transfer, 40.0).gain_db, 0.0, 1e-6);
}

/// Where the first signal holds nothing there is no point: a tone leaves its own lobe, and
/// an octave part below it gets no gain.
#[test]
fn an_octave_part_gets_no_gain() {
    let x = sine(80.0, 0.5, 0.0, RATE, 10.0);
    let y: Vec<f64> = x.iter().zip(sine(40.0, 0.5, 0.0, RATE, 10.0)).map(|(a, b)| a + b).collect();
    let points = in_step(&x, &y).points;
    assert!(!points.is_empty() && points.iter().all(|p| (p.hz - 80.0).abs() < 3.0), "{points:?}");
}

/// Delay bias of H1 with blocks of length T under Hann, for white noise delayed by T/4:
/// the window's correlation with itself, 0.659 (-3.62 dB), coherence its square 0.435
/// (computed with scipy.signal.csd). Four standard deviations of 300 averages are 0.25 dB; points over
/// 1/24 octave scatter less, but the phase turns inside: bins below 34 Hz only.
#[test]
fn signals_taken_for_in_step_read_low_when_one_is_late() {
    let x = Noise(4).take(1_200_000);
    let y = delayed(&x, 1_000);
    let transfer = in_step(&x, &y);
    let low: Vec<_> = transfer.points.iter().filter(|p| p.hz < 34.0).collect();
    let mean =
        |f: fn(&TransferPoint) -> f64| low.iter().map(|p| f(p)).sum::<f64>() / low.len() as f64;
    close(mean(|p| p.gain_db), -3.62, 0.1);
    close(mean(|p| p.coherence), 0.435, 0.01);
}

/// The peaking filter of the Audio EQ Cookbook (W3C note, 2021): coefficients and response.
struct Peaking([f64; 3], [f64; 3]);

impl Peaking {
    fn new(hz: f64, q: f64, gain_db: f64) -> Self {
        let (a, w0) = (10f64.powf(gain_db / 40.0), TAU * hz / RATE);
        let alpha = w0.sin() / (2.0 * q);
        let b = [1.0 + alpha * a, -2.0 * w0.cos(), 1.0 - alpha * a];
        Self(b, [1.0 + alpha / a, -2.0 * w0.cos(), 1.0 - alpha / a])
    }

    fn run(&self, x: &[f64]) -> Vec<f64> {
        let (Self(b, a), mut state) = (self, [0.0; 2]);
        let mut step = |x: &f64| {
            let y = (b[0] * x + state[0]) / a[0];
            state = [b[1] * x - a[1] * y + state[1], b[2] * x - a[2] * y];
            y
        };
        x.iter().map(&mut step).collect()
    }

    fn response_db(&self, hz: f64) -> f64 {
        let magnitude = |c: &[f64; 3]| {
            let w = TAU * hz / RATE;
            let re = c[0] + c[1] * w.cos() + c[2] * (2.0 * w).cos();
            re.hypot(c[1] * w.sin() + c[2] * (2.0 * w).sin())
        };
        20.0 * (magnitude(&self.0) / magnitude(&self.1)).log10()
    }
}

/// A filter of the trade and noise that is not its: the gain is within four of its own
/// standard deviations at every point (0.006 % of 200 points would be outside), plus 0.03 dB
/// for what the blocks' resolution does to the slope of a bell one octave wide at 45 Hz.
#[test]
fn a_bell_filter_is_measured_through_noise() {
    let (bell, x) = (Peaking::new(45.0, 1.41, 9.0), Noise(5).take(200_000));
    let y: Vec<f64> =
        bell.run(&x).iter().zip(Noise(6).take(200_000)).map(|(y, n)| y + 0.3 * n).collect();
    for point in measured(&x, &y).points {
        close(point.gain_db, bell.response_db(point.hz), 4.0 * point.sd_db + 0.03);
        assert!(point.sd_db < 0.4 && point.coherence > 0.8, "{point:?}");
    }
}

/// Bendat & Piersol: standard deviation of the gain in dB, evaluated with numpy.
#[test]
fn the_scatter_is_that_of_bendat_and_piersol() {
    for (coherence, averages, sd_db) in [
        // Linearised, 20/ln 10·ε; 20·lg(1 + ε) of the same ε of 0.0745 is 0.624 dB.
        (0.9, 10.0, 0.647),
        (0.9, 32.0, 0.362),
        (0.9, 100.0, 0.205),
        (0.5, 100.0, 0.614),
        (0.99, 32.0, 0.109),
    ] {
        close(gain_sd_db(coherence, averages), sd_db, 0.0006);
    }
}

/// Bendat & Piersol: 95 % limit for unrelated signals.
#[test]
fn unrelated_signals_have_a_limit() {
    for (averages, limit) in
        [(5.0, 0.5271), (10.0, 0.2831), (16.0, 0.1810), (32.0, 0.0921), (100.0, 0.0298)]
    {
        close(unrelated_coherence(averages), limit, 5e-5);
    }
    assert_eq!(unrelated_coherence(1.0), 1.0);
}

/// Two unrelated noises: of the single bins one in twenty passes the limit. 58 bins: up to
/// 9 are within four standard deviations.
#[test]
fn unrelated_noise_stays_below_the_limit() {
    let (x, y) = (Noise(7).take(64_000), Noise(8).take(64_000));
    let transfer = in_step(&x, &y);
    let bins: Vec<_> = transfer.points.iter().filter(|p| p.hz < 34.0).collect();
    let above = bins.iter().filter(|p| p.coherence > transfer.unrelated_below()).count();
    assert!(bins.len() > 50 && above <= 9, "{above} of {}", bins.len());
}

#[test]
fn one_block_is_not_called_coherent() {
    let x = Noise(9).take(4_500);
    let mut meter = TransferMeter::new(RATE, 1);
    meter.push(&[&x], &[&x]);
    assert_eq!(meter.reading(), None);
    let mut silent = TransferMeter::new(RATE, 1);
    silent.push(&[&[0.0; 50_000]], &[&[0.0; 50_000]]);
    assert_eq!(silent.reading(), None);
}

#[test]
fn pieces_and_a_reset_change_nothing() {
    let x = Noise(10).take(21_000);
    let y = delayed(&x, 123);
    let mut meter = TransferMeter::new(RATE, 1);
    meter.push(&[&y], &[&x]);
    meter.reset();
    for (x, y) in x.chunks(64).zip(y.chunks(64)) {
        meter.push(&[x], &[y]);
    }
    assert_eq!(meter.reading(), Some(measured(&x, &y)));
}

/// Phase is told with its sign: a first-order low-pass lags by 45° at its corner. 1°: the
/// bilinear corner is placed exactly, the bin next to it is 0.25 Hz away at most.
#[test]
fn a_low_pass_lags() {
    let k = (PI * 60.0 / RATE).tan();
    let (x, mut state) = (Noise(11).take(100_000), (0.0, 0.0));
    let mut low = |x: &f64| {
        let y = (k * (x + state.0) + (1.0 - k) * state.1) / (1.0 + k);
        state = (*x, y);
        y
    };
    let y: Vec<f64> = x.iter().map(&mut low).collect();
    let point = nearest(&in_step(&x, &y), 60.0);
    close(point.phase_deg, -45.0, 1.0);
    close(point.gain_db, -3.0103, 0.1);
}
