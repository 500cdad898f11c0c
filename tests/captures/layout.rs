//! The track as sound, held against a plan of its own: times, levels, frequencies, gaps. Whoever
//! changes the track changes it twice, or has made a new version of it.

use std::f64::consts::TAU;

use underpin::signal::track::Track;
use underpin::signal::track::layout::{Content, Form};

const RATE: f64 = 12_000.0;

/// The left and the right channel.
fn sound(form: Form) -> [Vec<f64>; 2] {
    let track = Track::new(form, 0, RATE);
    let frames: Vec<[f64; 2]> = (0..track.samples()).map(|n| track.frame(n)).collect();
    [0, 1].map(|c| frames.iter().map(|f| f[c]).collect())
}

fn part(channel: &[f64], from_s: f64, seconds: f64) -> &[f64] {
    let from = (from_s * RATE).round() as usize;
    &channel[from..from + (seconds * RATE).round() as usize]
}

/// Peak amplitude of a line over a stretch that holds whole periods of it.
fn amplitude(stretch: &[f64], hz: f64) -> f64 {
    let (mut re, mut im) = (0.0, 0.0);
    for (n, x) in stretch.iter().enumerate() {
        let (sin, cos) = (TAU * hz * n as f64 / RATE).sin_cos();
        re += x * cos;
        im += x * sin;
    }
    2.0 * f64::hypot(re, im) / stretch.len() as f64
}

fn peak(stretch: &[f64]) -> f64 {
    stretch.iter().fold(0f64, |peak, x| peak.max(x.abs()))
}

fn db(ratio: f64) -> f64 {
    20.0 * ratio.log10()
}

/// A tone that starts at `from_s` at this level, softly, and ends before `seconds` are over.
#[track_caller]
fn check_tone(channels: &[Vec<f64>; 2], from_s: f64, seconds: f64, hz: f64, dbfs: f64) {
    for channel in channels {
        // From 0.1 s on whole periods: 997 in 1 s, and even halves of a hertz in 2 s.
        let length = if seconds > 2.2 { 2.0 } else { (seconds - 0.2).min(1.0) };
        let length = (length * hz).floor() / hz;
        let level = db(amplitude(part(channel, from_s + 0.1, length), hz));
        assert!((level - dbfs).abs() < 0.05, "{hz} Hz at {from_s} s: {level} dBFS, not {dbfs}");
        let full = 10f64.powf(dbfs / 20.0);
        // Raised-cosine fades of 50 ms: 1 % after 3.2 ms.
        assert!(peak(part(channel, from_s, 0.003)) < 0.01 * full, "a click at {from_s} s");
        assert!(peak(part(channel, from_s + seconds - 0.003, 0.003)) < 0.01 * full);
        assert!(peak(part(channel, from_s + seconds, 0.05)) == 0.0, "{from_s} s: no end");
    }
}

/// A comb whose louder channel peaks at this level in a settled period of 2 s.
#[track_caller]
fn check_comb(channels: &[Vec<f64>; 2], from_s: f64, dbfs: f64) {
    let peaks = [0, 1].map(|c| db(peak(part(&channels[c], from_s + 2.0, 2.0))));
    let most = peaks[0].max(peaks[1]);
    // A grid of 12 kHz misses the very top between its samples by 0.1 dB.
    assert!((most - dbfs).abs() < 0.15, "{from_s} s: {most} dBFS, not {dbfs}");
}

#[test]
fn the_short_form_plays_what_its_plan_says() {
    let channels = sound(Form::Short);
    assert_eq!(channels[0].len(), (50.7 * RATE).round() as usize);
    let silent = |from_s: f64, seconds: f64| {
        assert_eq!(peak(part(&channels[0], from_s, seconds)), 0.0, "a sound from {from_s} s on");
    };
    silent(0.0, 1.0);
    silent(3.0, 4.4);
    check_tone(&channels, 7.4, 2.0, 997.0, -20.0);
    check_comb(&channels, 9.6, -26.0);
    check_comb(&channels, 19.6, -16.0);
    check_comb(&channels, 29.6, -6.0);
    check_tone(&channels, 43.9, 1.5, 997.0, -1.0);
    check_tone(&channels, 45.6, 2.0, 45.0, -1.0);
    silent(50.1, 0.6);
}

#[test]
fn the_long_form_plays_what_its_plan_says() {
    let channels = sound(Form::Long);
    // 2 min 32 s.
    assert_eq!(channels[0].len(), (151.7 * RATE).round() as usize);
    check_tone(&channels, 9.4, 2.0, 997.0, -20.0);
    for (from_s, dbfs) in [(11.6, -26.0), (21.6, -16.0), (31.6, -6.0)] {
        check_comb(&channels, from_s, dbfs);
    }
    let ladder = [20.0, 25.5, 32.0, 40.0, 51.0, 64.0, 80.0, 102.0, 128.0, 160.0, 204.0];
    for (i, hz) in ladder.iter().chain(&ladder).enumerate() {
        let dbfs = if i < 11 { -25.0 } else { -13.0 };
        check_tone(&channels, 65.9 + 2.6 * i as f64, 2.5, *hz, dbfs);
    }
    for step in 0..16 {
        check_tone(&channels, 123.1 + 0.9 * f64::from(step), 0.8, 997.0, f64::from(step) - 15.0);
    }
    for (i, dbfs) in [-13.0, -7.0, -4.0, -1.0].iter().enumerate() {
        check_tone(&channels, 137.5 + 2.6 * i as f64, 2.5, 45.0, *dbfs);
    }
    // One bump of 20 ms upwards, to half of full scale: for eyes that look for the polarity.
    let bump = part(&channels[0], 148.1, 0.02);
    assert!(bump.iter().all(|x| *x >= 0.0));
    assert!((bump[120] - 0.5).abs() < 1e-6 && bump[60] > 0.24 && bump[60] < 0.26);
    assert_eq!(peak(part(&channels[0], 148.13, 0.9)), 0.0);
}

/// The comb's frequencies: every hertz from 10.5 to 99.5, then 24 an octave, each on the odd half
/// hertz below.
fn comb_hz() -> Vec<f64> {
    let mut hz: Vec<f64> = (0..90).map(|n| 10.5 + f64::from(n)).collect();
    while hz.len() < 187 {
        hz.push((hz[hz.len() - 1] * 2f64.powf(1.0 / 24.0)).floor() + 0.5);
    }
    hz
}

#[test]
fn the_comb_is_pink_and_each_line_goes_where_it_should() {
    let channels = sound(Form::Short);
    let stretches = [0, 1].map(|c| part(&channels[c], 31.6, 2.0));
    let hz = comb_hz();
    assert_eq!(hz[186], 1623.5);
    let heard = |c: usize, hz: f64| amplitude(stretches[c], hz) / 10f64.powf(-6.0 / 20.0);
    let mut levels = Vec::new();
    for (i, hz) in hz.iter().enumerate() {
        let [left, right] = [heard(0, *hz), heard(1, *hz)];
        // Both, left, both, right, both, left, right, nobody.
        let (in_left, in_right) =
            ([0, 1, 2, 4, 5].contains(&(i % 8)), [0, 2, 3, 4, 6].contains(&(i % 8)));
        assert_eq!((left > 1e-4, right > 1e-4), (in_left, in_right), "{hz} Hz");
        levels.push((*hz, db(left.max(right))));
    }
    let level = |wanted: f64| levels.iter().find(|l| l.0 == wanted).expect("a line").1;
    // Pink: equal power an octave. A line every hertz has a share of it that falls with frequency.
    let fall = |low: f64, high: f64| level(low) - level(high);
    for (low, high) in [(12.5, 50.5), (20.5, 80.5), (30.5, 90.5)] {
        assert!((fall(low, high) - 10.0 * f64::log10(high / low)).abs() < 0.05, "{low} to {high}");
    }
    // Above 400 Hz it falls by 3 dB an octave more: 24 lines an octave, 0.3 dB for their rounding.
    let [low, high] = [420.0, 1600.0].map(|near| {
        let apart = |l: &&(f64, f64)| ((l.0 - near).abs(), l.1);
        let told = levels.iter().filter(|l| l.1 > -80.0);
        *told.min_by(|a, b| apart(a).0.total_cmp(&apart(b).0)).expect("a line")
    });
    let want = 10.0 * f64::log10(high.0 / low.0);
    assert!((low.1 - high.1 - want).abs() < 0.3, "{low:?} {high:?}");
    // Nothing beside the lines: their power is all there is.
    let all: f64 = stretches[0].iter().map(|x| x * x).sum::<f64>() / stretches[0].len() as f64;
    let lines: f64 = hz.iter().map(|hz| amplitude(stretches[0], *hz).powi(2) / 2.0).sum();
    assert!((lines / all - 1.0).abs() < 1e-6, "{lines} of {all}");
}

/// A chirp of 0.2 s between 600 and 3600 Hz.
fn chirp(n: usize, rising: bool) -> (f64, f64) {
    let t = n as f64 / RATE;
    let (from, slope) = if rising { (600.0, 15_000.0) } else { (3600.0, -15_000.0) };
    (TAU * (from * t + slope * t * t / 2.0)).sin_cos()
}

#[test]
fn the_markers_are_four_chirps_whose_gaps_carry_their_numbers() {
    let channels = sound(Form::Short);
    // Version 1 and full level are 0; the short form at no common rate is 24, its end 25; the
    // check is (2·a + 3·b + 11) mod 31. Gaps are 0.3 s and 0.01 s for each unit.
    for (from_s, numbers) in [(1.0, [0, 24, 21]), (48.1, [0, 25, 24])] {
        let mut at_s = from_s;
        for i in 0..4 {
            let heard = part(&channels[1], at_s, 0.2);
            assert!((peak(heard) - 0.25).abs() < 0.003, "peak {}", peak(heard));
            let (mut re, mut im, mut energy) = (0.0, 0.0, 0.0);
            for (n, x) in heard.iter().enumerate() {
                let (sin, cos) = chirp(n, i % 2 == 0);
                re += x * cos;
                im += x * sin;
                energy += x * x;
            }
            // The share that a chirp without fades explains of one whose ends fade by a tenth.
            let share = 2.0 * (re * re + im * im) / (energy * heard.len() as f64);
            assert!(share > 0.9, "chirp {i} at {at_s} s: {share}");
            at_s += 0.3 + 0.01 * f64::from(numbers.get(i).copied().unwrap_or(0));
        }
    }
}

#[test]
fn combs_have_as_many_whole_blocks_as_their_length_allows() {
    // 1.9 s settle, then blocks of 2 s before the fade, in pairs.
    for (form, want) in [(Form::Short, [4, 4, 6]), (Form::Long, [4, 4, 16])] {
        let sections = form.sections();
        let combs = sections.iter().filter(|s| matches!(s.content, Content::Comb { .. }));
        assert_eq!(combs.map(|s| s.blocks()).collect::<Vec<_>>(), want);
    }
}
