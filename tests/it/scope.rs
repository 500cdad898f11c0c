//! The trace stands still on the subharmonic, whatever stretch it is given.

use std::f64::consts::TAU;

use underpin::analysis::full_scale::clipped_thd;
use underpin::analysis::scope::{Scope, trace};

const FS: f64 = 48_000.0;

/// A function of time from sample `first` on.
fn wave(first: usize, samples: usize, value: impl Fn(f64) -> f64) -> Vec<f64> {
    (first..first + samples).map(|n| value(n as f64 / FS)).collect()
}

/// A tone of `hz`, its half and both, over `samples` from `first` on.
#[track_caller]
fn locked(hz: f64, half: f64, first: usize, samples: usize) -> Scope {
    let tone = |t: f64| (TAU * hz * t + 0.3).sin();
    let octave = |t: f64| half * (TAU * hz / 2.0 * t + 1.0).sin();
    let dry = wave(first, samples, tone);
    let below = wave(first, samples, octave);
    let both = wave(first, samples, |t| tone(t) + octave(t));
    trace(&dry, &below, &both, FS, 2.0 / hz).expect("a trace")
}

#[track_caller]
fn same(a: &[f64], b: &[f64], tolerance: f64) {
    assert_eq!(a.len(), b.len());
    for (i, (a, b)) in a.iter().zip(b).enumerate() {
        assert!((a - b).abs() <= tolerance, "point {i}: {a} and {b}");
    }
}

#[test]
fn the_picture_is_the_same_whatever_the_stretch_starts_with() {
    for hz in [40.0, 43.7, 61.3, 110.0] {
        let still = locked(hz, 0.5, 0, 9600);
        for first in [1, 137, 600, 5555, 47_999] {
            let moved = locked(hz, 0.5, first, 9600);
            // Far less than the 0.5 % a tone of 40 Hz moves in one sample: the rest of the cubic.
            same(&still.out, &moved.out, 1e-5);
            same(&still.dry, &moved.dry, 1e-5);
            same(&still.octave, &moved.octave, 1e-5);
        }
    }
}

#[test]
fn it_starts_where_the_octave_part_rises_through_zero() {
    let scope = locked(43.7, 0.5, 321, 9600);
    assert!(scope.locked_to_octave);
    // Two periods of 2/43.7 s, an even number of points in each.
    assert!((scope.span_s - 4.0 / 43.7).abs() < 1e-12);
    let points = scope.octave.len() / 2;
    assert_eq!(points % 2, 0);
    let expected: Vec<f64> =
        (0..2 * points).map(|i| 0.5 * (TAU * i as f64 / points as f64).sin()).collect();
    same(&scope.octave, &expected, 1e-5);
}

#[test]
fn odd_and_even_swings_are_two_strands_with_a_half_and_one_without() {
    let gap = |scope: &Scope| {
        let (odd, even) = scope.swings();
        assert_eq!(odd.len(), even.len());
        odd.iter().zip(even).fold(0.0, |most: f64, (a, b)| most.max((a - b).abs()))
    };
    // Half a period on, the half has changed its sign: the gap is twice its peak.
    assert!((gap(&locked(40.0, 0.5, 0, 9600)) - 1.0).abs() < 1e-4);
    assert!(gap(&locked(40.0, 0.0, 0, 9600)) < 1e-5);
}

#[test]
fn without_an_octave_part_the_dry_part_locks() {
    let scope = locked(40.0, 0.0, 77, 9600);
    assert!(!scope.locked_to_octave);
    let points = scope.dry.len() as f64;
    let expected: Vec<f64> =
        (0..scope.dry.len()).map(|i| (4.0 * TAU * i as f64 / points).sin()).collect();
    same(&scope.dry, &expected, 1e-5);
    assert!(!locked(40.0, 5e-5, 0, 9600).locked_to_octave, "86 dB down it is none");
}

#[test]
fn a_divided_octave_part_with_odd_halves_stands_still_too() {
    let angle = |t: f64| TAU * 50.0 * t;
    let divided = |t: f64| angle(t).sin() * (angle(t) / 2.0).sin().signum();
    let at = |first: usize| {
        let dry = wave(first, 9600, |t| angle(t).sin());
        let octave = wave(first, 9600, divided);
        trace(&dry, &octave, &octave, FS, 2.0 / 50.0).expect("a trace")
    };
    // A sample moves a 50 Hz wave by 0.65 %: the trigger stays well within one.
    same(&at(0).out, &at(333).out, 2e-3);
}

#[test]
fn a_short_stretch_shows_one_period_and_too_short_a_one_nothing() {
    let short = locked(40.0, 0.5, 0, 7200);
    assert!((short.span_s - 0.05).abs() < 1e-12);
    let still = locked(40.0, 0.5, 99, 7200);
    same(&short.out, &still.out, 1e-4);
    let tone = wave(0, 9600, |t| (TAU * 40.0 * t).sin());
    assert_eq!(trace(&tone[..5900], &tone[..5900], &tone[..5900], FS, 0.05), None);
    assert_eq!(trace(&tone, &tone, &tone, FS, f64::NAN), None);
    assert_eq!(trace(&tone, &tone, &tone, FS, 0.0), None);
    assert_eq!(trace(&[], &[], &[], FS, 0.05), None);
}

#[test]
fn silence_gives_no_trigger() {
    assert_eq!(trace(&[0.0; 9600], &[0.0; 9600], &[0.0; 9600], FS, 0.05), None);
    assert_eq!(trace(&[f64::NAN; 9600], &[0.0; 9600], &[0.0; 9600], FS, 0.05), None);
}

#[test]
fn a_tone_that_leaves_full_scale_has_the_harmonics_of_a_cut_sine() {
    for over in [1.05f64, 1.5, 2.0, 4.0] {
        let tone = |t: f64| over * (TAU * 60.0 * t).sin();
        let dry = wave(0, 9600, tone);
        let scope = trace(&dry, &vec![0.0; 9600], &dry, FS, 2.0 / 60.0).expect("a trace");
        // A sine of amplitude a cut off at 1, by Fourier's integrals: it is cut from the angle
        // asin(1/a) on.
        let angle = (1.0 / over).asin();
        let first = 2.0 * over / std::f64::consts::PI * (angle + angle.sin() * angle.cos());
        let square = 2.0 / std::f64::consts::PI
            * (over * over * (angle / 2.0 - (2.0 * angle).sin() / 4.0)
                + std::f64::consts::FRAC_PI_2
                - angle);
        let all = (square - first * first / 2.0).sqrt() / (first / std::f64::consts::SQRT_2);
        let read = clipped_thd(&scope, 100).expect("a figure");
        // The harmonics beyond the 100th hold far less than this.
        assert!((read / all - 1.0).abs() < 0.002, "{over}: {read} for {all}");
    }
    let clean = wave(0, 9600, |t| 0.9 * (TAU * 60.0 * t).sin());
    let clean = trace(&clean, &vec![0.0; 9600], &clean, FS, 2.0 / 60.0).expect("a trace");
    assert_eq!(clipped_thd(&clean, 100), None);
}
