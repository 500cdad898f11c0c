//! A test signal can hurt: it starts softly, stays below its cap and ends.

use crate::RATE_HZ;
use assert_no_alloc::assert_no_alloc;
use underpin::link::measuring::{MOST_DBFS, Test};
use underpin::link::{self, Taps, UiEnd};

/// UiEnd at 48 kHz with `test` ordered at a level.
fn ordered(test: Test, level_dbfs: f64) -> (Taps, UiEnd) {
    let (mut taps, mut wires) = link::connect();
    taps.start(RATE_HZ, 2);
    wires.remote.start(test, level_dbfs, RATE_HZ).expect("a signal");
    (taps, wires)
}

/// What comes in place of an input at `input` for `seconds`, in blocks of 64.
fn played(taps: &mut Taps, input: f32, seconds: f64) -> Vec<f32> {
    let mut out = vec![input; (seconds * RATE_HZ) as usize];
    let mut other = out.clone();
    for (left, right) in out.chunks_mut(64).zip(other.chunks_mut(64)) {
        assert_no_alloc(|| {
            taps.feed.fill(&mut [left, right]);
        });
    }
    assert_eq!(out, other, "both channels carry the same signal");
    out
}

fn peak_dbfs(samples: &[f32]) -> f64 {
    20.0 * f64::from(samples.iter().fold(0.0f32, |peak, s| peak.max(s.abs()))).log10()
}

const EVERY: [Test; 5] = [Test::Tone(30.0), Test::Tone(60.0), Test::Pink, Test::Sweep, Test::Kick];

#[test]
fn every_signal_begins_below_minus_40_dbfs_and_needs_200_ms_to_be_loud() {
    for test in EVERY {
        let (mut taps, _wires) = ordered(test, MOST_DBFS);
        let start = played(&mut taps, 0.0, 0.2);
        assert!(
            peak_dbfs(&start[..480]) <= -40.0,
            "{test:?} begins at {}",
            peak_dbfs(&start[..480])
        );
        // Half the cosine of 300 ms has passed at 150 ms, three quarters of its gain at 200 ms.
        let rising = 0.5 - 0.5 * (std::f64::consts::PI * 200.0 / 300.0).cos();
        let most = if test == Test::Pink { 0.0 } else { MOST_DBFS };
        assert!(peak_dbfs(&start) <= most + 20.0 * rising.log10() + 0.01, "{test:?}");
    }
}

#[test]
fn no_signal_is_louder_than_the_cap_until_it_is_unlocked() {
    for test in EVERY.into_iter().filter(|test| *test != Test::Pink) {
        let (mut taps, mut wires) = link::connect();
        taps.start(RATE_HZ, 2);
        assert_eq!(wires.remote.start(test, 0.0, RATE_HZ), Ok(MOST_DBFS));
        assert!(peak_dbfs(&played(&mut taps, 0.0, 3.0)) <= MOST_DBFS + 0.001, "{test:?}");
        wires.remote.unlock();
        assert_eq!(wires.remote.start(test, -1.0, RATE_HZ), Ok(-1.0));
    }
}

#[test]
fn pink_noise_keeps_its_root_mean_square_at_the_cap() {
    let (mut taps, _wires) = ordered(Test::Pink, 0.0);
    let whole = played(&mut taps, 0.0, 3.0);
    let period = &whole[48_000..];
    let mean_square =
        period.iter().map(|s| f64::from(*s).powi(2)).sum::<f64>() / period.len() as f64;
    // AES17: a full-scale sine, mean square 1/2, is 0 dBFS. One period is exact
    // but for the rounding to single precision.
    let dbfs = 10.0 * (2.0 * mean_square).log10();
    assert!((dbfs - MOST_DBFS).abs() < 0.01, "{dbfs}");
}

#[test]
fn a_tone_below_40_hz_ends_after_ten_seconds_and_the_input_comes_back() {
    let (mut taps, wires) = ordered(Test::Tone(30.0), -20.0);
    played(&mut taps, 0.5, 9.8);
    assert!(wires.remote.sounding() && wires.remote.left_s() < 0.3);
    played(&mut taps, 0.5, 0.3);
    assert!(!wires.remote.sounding());
    assert!(played(&mut taps, 0.5, 0.1).iter().all(|s| *s == 0.5));
}

#[test]
fn a_tone_of_40_hz_goes_on() {
    let (mut taps, wires) = ordered(Test::Tone(40.0), -20.0);
    played(&mut taps, 0.0, 30.0);
    assert!(wires.remote.sounding());
}

#[test]
fn the_signal_replaces_the_input_wholly() {
    let (mut with_input, _a) = ordered(Test::Tone(60.0), -20.0);
    let (mut without, _b) = ordered(Test::Tone(60.0), -20.0);
    let (one, other) = (played(&mut with_input, 0.7, 1.0), played(&mut without, 0.0, 1.0));
    // 20 ms to give way.
    assert_eq!(one[960..], other[960..]);
}

#[test]
fn stop_is_heard_as_the_input_within_20_ms() {
    let (mut taps, mut wires) = ordered(Test::Pink, -20.0);
    played(&mut taps, 0.5, 1.0);
    wires.remote.stop();
    let after = played(&mut taps, 0.5, 0.1);
    assert!(after[1_024..].iter().all(|s| *s == 0.5));
    assert!(!wires.remote.sounding());
}

#[test]
fn a_reset_and_a_new_run_are_silence_at_once_and_forget_orders() {
    let (mut taps, mut wires) = ordered(Test::Pink, -20.0);
    played(&mut taps, 0.0, 1.0);
    wires.remote.start(Test::Kick, -20.0, RATE_HZ).expect("a signal");
    assert_no_alloc(|| taps.feed.silence());
    assert!(played(&mut taps, 0.25, 0.1).iter().all(|s| *s == 0.25));
    wires.remote.start(Test::Kick, -20.0, RATE_HZ).expect("a signal");
    taps.start(96_000.0, 2);
    assert!(played(&mut taps, 0.25, 0.1).iter().all(|s| *s == 0.25));
}

#[test]
fn a_signal_that_cannot_be_is_said_in_one_sentence() {
    let (_taps, mut wires) = link::connect();
    let why = wires.remote.start(Test::Tone(60.0), -20.0, 100.0).expect_err("no such tone");
    assert!(why.ends_with('.') && why.contains("60"), "{why}");
}

#[test]
fn a_host_that_stands_still_is_said_after_a_few_orders() {
    let (_taps, mut wires) = link::connect();
    let orders = (0..40).map(|_| wires.remote.start(Test::Kick, -20.0, RATE_HZ));
    assert!(orders.last().expect("forty").is_err());
}
