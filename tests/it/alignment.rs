//! Delay, gain and polarity between two signals, against signals whose truth is written out: sums of
//! sines at frequencies and phases drawn by chance, each delayed and turned by its own formula.

use std::f64::consts::TAU;
use underpin::analysis::alignment::align;

const RATE_HZ: f64 = 48_000.0;

/// Frequencies in Hz and phases by a linear congruential generator, 40 Hz to 12 kHz.
fn drawn(count: usize, seed: u64) -> Vec<(f64, f64)> {
    let mut state = seed;
    let mut chance = || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / (1u64 << 31) as f64
    };
    (0..count).map(|_| (40.0 * 300f64.powf(chance()), TAU * chance())).collect()
}

/// The signal at `seconds`, each sine through a gain and a phase of its own.
fn at(sines: &[(f64, f64)], seconds: f64, through: impl Fn(f64) -> (f64, f64)) -> f64 {
    let one = |(hz, phase): &(f64, f64)| {
        let (gain, turn) = through(*hz);
        gain * (TAU * hz * seconds + phase + turn).cos()
    };
    sines.iter().map(one).sum::<f64>() / sines.len() as f64
}

fn pair(delay_samples: f64, through: impl Fn(f64) -> (f64, f64)) -> (Vec<f32>, Vec<f32>) {
    let sines = drawn(300, 5);
    let sent = (0..24_000).map(|n| at(&sines, f64::from(n) / RATE_HZ, |_| (1.0, 0.0)) as f32);
    let returned =
        (0..36_000).map(|n| at(&sines, (f64::from(n) - delay_samples) / RATE_HZ, &through) as f32);
    (sent.collect(), returned.collect())
}

#[test]
fn a_delay_is_found_to_a_hundredth_of_a_sample() {
    for delay in [0.0, 0.5, 17.25, 480.9, 9_999.4] {
        let (sent, returned) = pair(delay, |_| (0.5, 0.0));
        let found = align(&sent, &returned, RATE_HZ).expect("sound");
        assert!((found.delay_samples - delay).abs() < 0.01, "{delay}: {}", found.delay_samples);
        // Half: 20·log10(0.5). At a fraction of a sample the nearest whole one is a little less alike.
        assert!((found.gain_db + 6.02).abs() < 0.5, "{}", found.gain_db);
        assert!(!found.is_ambiguous && !found.is_inverted);
    }
}

#[test]
fn a_coupling_far_below_is_no_delay() {
    // First order at 20 Hz: gain f/√(f²+fc²), phase atan(fc/f).
    let (sent, returned) = pair(123.4, |hz| (hz / hz.hypot(20.0), (20.0 / hz).atan()));
    let found = align(&sent, &returned, RATE_HZ).expect("sound");
    assert!((found.delay_samples - 123.4).abs() < 0.02, "{}", found.delay_samples);
}

#[test]
fn polarity_and_silence_and_a_tone_are_told() {
    let (sent, returned) = pair(50.0, |_| (-1.0, 0.0));
    let found = align(&sent, &returned, RATE_HZ).expect("sound");
    assert!(found.is_inverted && (found.delay_samples - 50.0).abs() < 0.01);
    assert!(align(&sent, &[0.0; 36_000], RATE_HZ).is_none());
    assert!(align(&[0.0; 24_000], &returned, RATE_HZ).is_none());
    // A tone of 1 kHz repeats itself every millisecond: nobody can tell by how many it is late.
    let tone: Vec<f32> = (0..36_000).map(|n| (TAU * f64::from(n) / 48.0).sin() as f32).collect();
    assert!(align(&tone[..24_000], &tone, RATE_HZ).expect("sound").is_ambiguous);
}

#[test]
fn what_was_not_sent_is_unlike() {
    let (sent, _) = pair(0.0, |_| (1.0, 0.0));
    let other = drawn(300, 77);
    let other: Vec<f32> =
        (0..36_000).map(|n| at(&other, f64::from(n) / RATE_HZ, |_| (1.0, 0.0)) as f32).collect();
    assert!(align(&sent, &other, RATE_HZ).expect("sound").likeness < 0.3);
}
