//! Live equals offline.

use crate::RATE_HZ;
use assert_no_alloc::assert_no_alloc;
use hosts::noise::{Random, stereo};
use underpin::link::bench::Measured;
use underpin::link::{self, Run, Taps, UiEnd};
use underpin::measure::{Ask, Measure};
use underpin::path::{Listen, Path, Tap};
use underpin::settings::Settings;

/// Remembers everything it hears: a track for each tap and channel.
#[derive(Default, PartialEq)]
struct Tape {
    tracks: Vec<(usize, usize, Vec<u64>)>,
}

impl Listen for Tape {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        for (side, samples) in channels.iter().enumerate() {
            let of = (tap as usize, side);
            let bits = samples.iter().map(|s| s.to_bits());
            match self.tracks.iter_mut().find(|t| (t.0, t.1) == of) {
                Some((_, _, track)) => track.extend(bits),
                None => self.tracks.push((of.0, of.1, bits.collect())),
            }
        }
    }
}

/// Runs `signal` through a path in random blocks of at most 700 frames, with
/// the taps listening and the window draining now and then.
fn live(
    signal: &[Vec<f32>],
    settings: &Settings,
    mut heard: impl FnMut(&mut UiEnd),
) -> (Taps, UiEnd) {
    let (mut taps, mut wires) = link::connect();
    let mut path = Path::new(RATE_HZ, signal.len());
    path.set(settings);
    taps.start(RATE_HZ, signal.len());
    taps.watched(true);
    assert_eq!(
        wires.receiver.fresh(),
        Some(Run { sample_rate_hz: RATE_HZ, channels: signal.len(), measured: Measured::Line })
    );
    let (mut random, mut start, mut out) = (Random::new(1), 0, signal.to_vec());
    while start < out[0].len() {
        let end = out[0].len().min(start + 1 + random.below(700));
        let mut block: Vec<&mut [f32]> = out.iter_mut().map(|c| &mut c[start..end]).collect();
        assert_no_alloc(|| path.process(&mut block, &mut taps));
        if random.below(5) == 0 {
            heard(&mut wires);
        }
        start = end;
    }
    heard(&mut wires);
    (taps, wires)
}

#[track_caller]
fn live_equals_offline(channels: usize) {
    let signal = stereo(60_000, 2)[..channels].to_vec();
    let settings = Settings::default().with("low_band.gain_db", "6 dB").expect("a setting");
    let mut tape = Tape::default();
    live(&signal, &settings, |wires| {
        wires.receiver.drain(&mut tape);
    });

    let mut offline = Tape::default();
    let mut path = Path::new(RATE_HZ, channels);
    path.set(&settings);
    let mut out = signal.clone();
    let mut block: Vec<&mut [f32]> = out.iter_mut().map(|c| &mut c[..]).collect();
    path.process(&mut block, &mut offline);
    assert!(tape == offline, "the window heard something else");
    assert_eq!(tape.tracks.len(), 6 * channels);
}

#[test]
fn the_window_hears_what_the_program_hears_in_stereo() {
    live_equals_offline(2);
}

#[test]
fn the_window_hears_what_the_program_hears_in_mono() {
    live_equals_offline(1);
}

#[test]
fn a_window_that_does_not_listen_costs_sound_and_nothing_else() {
    let signal = stereo(120_000, 3);
    let (_, mut wires) = live(&signal, &Settings::default(), |_| {});
    let lost = wires.meters.lost();
    assert!(lost > 0 && lost < 120_000, "{lost}");
    let run = Some(Run { sample_rate_hz: RATE_HZ, channels: 2, measured: Measured::Line });
    assert_eq!(wires.receiver.fresh(), run, "the listener must start afresh");
    assert_eq!(wires.receiver.fresh(), None);
}

#[test]
fn without_a_window_the_ring_stays_empty() {
    let (mut taps, mut wires) = link::connect();
    taps.start(RATE_HZ, 2);
    let (mut left, mut right) = (vec![0.5; 1_000], vec![0.25; 1_000]);
    Path::new(RATE_HZ, 2).process(&mut [&mut left, &mut right], &mut taps);
    assert_eq!(wires.receiver.drain(&mut Tape::default()), 0);
}

#[test]
fn sound_of_an_earlier_rate_is_not_heard_in_a_later_run() {
    let (mut taps, mut wires) = link::connect();
    for (rate_hz, frames) in [(44_100.0, 300), (96_000.0, 500)] {
        taps.start(rate_hz, 2);
        taps.watched(true);
        let mut out = stereo(frames, 4);
        let [left, right] = &mut out[..] else { panic!("two channels") };
        Path::new(rate_hz, 2).process(&mut [left, right], &mut taps);
    }
    assert_eq!(wires.receiver.fresh().map(|run| run.sample_rate_hz), Some(96_000.0));
    assert_eq!(wires.receiver.drain(&mut Tape::default()), 500);
}

#[test]
fn the_latch_counts_stretches_beyond_full_scale() {
    let (mut taps, wires) = link::connect();
    taps.start(RATE_HZ, 2);
    let settings = Settings::default().with("octave.level_db", "off").expect("a setting");
    let mut path = Path::new(RATE_HZ, 2);
    path.set(&settings);
    for peak in [0.9f32, 1.0, 1.1, 1.1, 0.5, 1.1] {
        let mut block = [vec![peak; 128], vec![0.0; 128]];
        let [left, right] = &mut block;
        path.process(&mut [left, right], &mut taps);
    }
    assert_eq!(wires.meters.overs(), 2);
    // Three blocks of 1.1 in the left channel.
    assert_eq!(wires.meters.over_s(), 3.0 * 128.0 / RATE_HZ);
    wires.meters.clear_overs();
    assert_eq!((wires.meters.overs(), wires.meters.over_s()), (0, 0.0));
}

#[test]
fn readings_of_the_window_are_those_of_the_program() {
    let signal = stereo(60_000, 2);
    let settings = Settings::default().with("low_band.gain_db", "6 dB").expect("a setting");
    let ask = Ask { strata: true, transfer: true, ..Ask::default() };
    let mut window = Measure::new(RATE_HZ, 2, &ask);
    live(&signal, &settings, |wires| {
        wires.receiver.drain(&mut window);
    });
    let mut program = Measure::new(RATE_HZ, 2, &ask);
    let mut path = Path::new(RATE_HZ, 2);
    path.set(&settings);
    let mut out = signal.clone();
    let mut block: Vec<&mut [f32]> = out.iter_mut().map(|c| &mut c[..]).collect();
    path.process(&mut block, &mut program);
    assert_eq!(window.reading(), program.reading());
}
