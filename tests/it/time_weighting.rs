//! Time weightings against the closed form, and against the decay rates and the tone bursts of
//! IEC 61672-1 (its figures from memory).

use std::f64::consts::TAU;
use underpin::analysis::time_weighting::{FAST_S, SLOW_S, TimeWeighting};

const RATE_HZ: f64 = 48_000.0;

fn heard(meter: &mut TimeWeighting, seconds: f64, amplitude: f64) -> f64 {
    let mut top = f64::MIN;
    for n in 0..(seconds * RATE_HZ) as usize {
        // 4 kHz, as the standard's bursts are.
        let x = amplitude * (TAU * 4000.0 * n as f64 / RATE_HZ).sin();
        meter.push(x * x);
        top = top.max(meter.dbfs());
    }
    top
}

#[test]
fn a_tone_switched_on_rises_by_the_closed_form() {
    for constant in [FAST_S, SLOW_S] {
        for seconds in [0.05, 0.125, 0.5, 1.0, 4.0] {
            let mut meter = TimeWeighting::new(constant, RATE_HZ);
            heard(&mut meter, seconds, 0.5);
            // Amplitude 0.5 is −6.0206 dBFS by AES17; 1 − e^(−t/τ) of its power has come.
            let share = 1.0 - (-seconds / constant).exp();
            let wanted = 20.0 * 0.5f64.log10() + 10.0 * share.log10();
            // The ripple at 8 kHz is 1/(2·τ·2π·8000) of the mean: 0.0004 dB for F.
            assert!(
                (meter.dbfs() - wanted).abs() < 0.002,
                "{constant} {seconds}: {}",
                meter.dbfs()
            );
        }
    }
}

#[test]
fn silence_decays_by_34_7_and_4_3_db_a_second() {
    for (constant, rate) in [(FAST_S, 34.7), (SLOW_S, 4.3)] {
        let mut meter = TimeWeighting::new(constant, RATE_HZ);
        heard(&mut meter, 10.0, 0.5);
        let before = meter.dbfs();
        heard(&mut meter, 1.0, 0.0);
        assert!(
            (before - meter.dbfs() - rate).abs() < 0.06,
            "{constant}: {}",
            before - meter.dbfs()
        );
    }
}

#[test]
fn bursts_reach_what_the_standard_says() {
    let bursts = [
        (FAST_S, 1.0, 0.0),
        (FAST_S, 0.2, -1.0),
        (FAST_S, 0.05, -4.8),
        (FAST_S, 0.01, -11.1),
        (SLOW_S, 1.0, -2.0),
        (SLOW_S, 0.5, -4.1),
        (SLOW_S, 0.2, -7.4),
    ];
    for (constant, seconds, wanted) in bursts {
        let top = heard(&mut TimeWeighting::new(constant, RATE_HZ), seconds, 1.0);
        assert!((top - wanted).abs() < 0.06, "{seconds} s at {constant}: {top}");
    }
}
