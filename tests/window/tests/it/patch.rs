//! A device between output and input: both ends are laid onto one moment, and what is wrong is said
//! within two seconds. The device here is a delay line with a cubic bend, of no structure that the line
//! has.

use std::collections::VecDeque;
use underpin::editor::measuring::patch::Patch;
use underpin::editor::model::returned::Fault;
use underpin::path::{Listen, Tap};

const RATE_HZ: f64 = 48_000.0;
const BLOCK: usize = 480;

/// White noise, uniform, by a linear congruential generator.
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / (1u64 << 30) as f64 - 1.0
    }
}

/// What is shown at both ends.
#[derive(Default)]
struct Ends([Vec<f64>; 2]);

impl Listen for Ends {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        let at = usize::from(tap == Tap::After);
        self.0[at].extend_from_slice(channels[0]);
    }
}

struct Bench {
    patch: Patch,
    noise: Noise,
    line: VecDeque<f64>,
    ends: Ends,
    heard_s: f64,
}

impl Bench {
    fn new(delay: usize) -> Self {
        Self {
            patch: Patch::new(RATE_HZ),
            noise: Noise(9),
            line: std::iter::repeat_n(0.0, delay).collect(),
            ends: Ends::default(),
            heard_s: 0.0,
        }
    }

    /// Sends noise of a peak for a time; `device` gives something back of what left the delay line.
    fn run(&mut self, seconds: f64, peak: f64, device: impl Fn(f64) -> f64) {
        for _ in 0..(seconds * RATE_HZ) as usize / BLOCK {
            let sent: Vec<f64> = (0..BLOCK).map(|_| peak * self.noise.next()).collect();
            let late = |line: &mut VecDeque<f64>, x: f64| {
                line.push_back(x);
                line.pop_front().unwrap_or(0.0)
            };
            let back: Vec<f64> = sent.iter().map(|x| device(late(&mut self.line, *x))).collect();
            self.patch.hear(Tap::Before, &[&sent], &mut self.ends);
            self.patch.hear(Tap::After, &[&back], &mut self.ends);
            self.heard_s += BLOCK as f64 / RATE_HZ;
        }
    }

    /// Runs until a fault is said; how long that took in seconds.
    fn until_said(&mut self, wanted: impl Fn(Fault) -> bool, device: impl Fn(f64) -> f64) -> f64 {
        let from = self.heard_s;
        while self.heard_s - from < 10.0 {
            self.run(0.01, 0.1, &device);
            if self.patch.returned().fault.is_some_and(&wanted) {
                return self.heard_s - from;
            }
        }
        f64::INFINITY
    }
}

#[test]
fn the_delay_is_shown_and_both_ends_are_of_one_moment() {
    let mut bench = Bench::new(617);
    bench.run(4.0, 0.1, |x| -0.5 * x);
    let returned = bench.patch.returned();
    let delay_ms = returned.delay_ms.expect("a delay");
    // 617 samples at 48 kHz are 12.854 ms; a hundredth of a sample is 0.0002 ms.
    assert!((delay_ms - 617.0 / 48.0).abs() < 0.0003, "{delay_ms}");
    assert!((returned.gain_db.expect("a gain") + 6.02).abs() < 0.05 && returned.is_inverted);
    assert_eq!(returned.fault, None);
    let [before, after] = &bench.ends.0;
    assert_eq!(before.len(), after.len());
    for (x, y) in before.iter().zip(after).rev().take(48_000) {
        assert!((y + 0.5 * x).abs() < 1e-12, "{x} against {y}");
    }
}

#[test]
fn a_return_that_is_gone_is_said_within_two_seconds_of_the_start_and_later() {
    let took = Bench::new(100).until_said(|fault| fault == Fault::NoReturn, |_| 0.0);
    assert!(took < 2.0, "{took} s");
    let mut bench = Bench::new(100);
    bench.run(3.0, 0.1, |x| x);
    assert_eq!(bench.patch.returned().fault, None);
    let took = bench.until_said(|fault| fault == Fault::NoReturn, |_| 0.0);
    assert!(took < 2.0, "{took} s");
}

#[test]
fn a_clipped_return_is_said_within_two_seconds() {
    let mut bench = Bench::new(100);
    bench.run(3.0, 0.1, |x| x);
    let took = bench.until_said(|fault| fault == Fault::Clipped, |x| (12.0 * x).clamp(-1.0, 1.0));
    assert!(took < 2.0, "{took} s");
}

#[test]
fn lost_sound_is_said_within_two_seconds_as_a_jump_of_the_delay() {
    let mut bench = Bench::new(1000);
    bench.run(3.0, 0.1, |x| 0.7 * x);
    // 240 samples are lost: 5 ms.
    bench.line.drain(..240);
    let said = |fault: Fault| matches!(fault, Fault::Jumped(ms) if (ms + 5.0).abs() < 0.01);
    let took = bench.until_said(said, |x| 0.7 * x);
    assert!(took < 2.0, "{took} s");
}

#[test]
fn a_cable_is_told_from_a_device() {
    let mut bench = Bench::new(300);
    bench.run(3.0, 0.1, |x| 0.9 * x);
    assert!(bench.patch.returned().is_cable);
    let mut bench = Bench::new(300);
    bench.run(3.0, 0.5, |x| x - 2.0 * x.powi(3));
    assert!(!bench.patch.returned().is_cable);
    assert_eq!(bench.patch.returned().fault, None);
}

#[test]
fn while_nothing_is_sent_nothing_is_claimed() {
    let mut bench = Bench::new(10);
    bench.run(3.0, 0.0, |x| x);
    let returned = bench.patch.returned();
    assert!(!returned.is_sending && returned.delay_ms.is_none() && returned.fault.is_none());
}
