//! The bench on the wires: nothing that arrives goes out, what is sent and returned is what the window
//! hears, and nothing on the audio thread allocates.

use crate::RATE_HZ;
use assert_no_alloc::assert_no_alloc;
use underpin::link::bench::Measured;
use underpin::link::measuring::Test;
use underpin::link::{self, Taps, UiEnd};
use underpin::path::{Listen, Tap};
use underpin::signal::track::Track;
use underpin::signal::track::layout::Form;

/// Both ends, first channel.
#[derive(Default)]
struct Ends([Vec<f64>; 2]);

impl Listen for Ends {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        let at = match tap {
            Tap::Before => 0,
            Tap::After => 1,
            _ => return,
        };
        self.0[at].extend_from_slice(channels[0]);
    }
}

fn connected(what: Measured) -> (Taps, UiEnd) {
    let (mut taps, ends) = link::connect();
    taps.start(RATE_HZ, 2);
    taps.watched(true);
    ends.meters.measure(what);
    assert_eq!(taps.measured(), what);
    (taps, ends)
}

/// A device of another structure than the line: 37 samples of delay, half the level, turned over, a
/// cubic bend.
struct Device {
    line: std::collections::VecDeque<f32>,
}

impl Device {
    fn new() -> Self {
        Self { line: std::iter::repeat_n(0.0, 37).collect() }
    }

    fn through(&mut self, x: f32) -> f32 {
        self.line.push_back(x);
        let late = self.line.pop_front().unwrap_or(0.0);
        -0.5 * (late - late.powi(3) / 3.0)
    }
}

#[test]
fn with_a_radio_silence_goes_out_and_what_arrives_is_heard() {
    let (mut taps, mut ends) = connected(Measured::Radio);
    let run = ends.receiver.fresh().expect("a run");
    assert_eq!(run.measured, Measured::Radio);
    let mut heard = Ends::default();
    let mut sent = Vec::new();
    for block in 0..50 {
        let mut left: Vec<f32> =
            (0..701).map(|n| ((block * 701 + n) as f32 * 0.013).sin()).collect();
        sent.extend(left.iter().map(|x| f64::from(*x)));
        let mut right = left.clone();
        assert_no_alloc(|| taps.exchange(&mut [&mut left, &mut right]));
        assert!(left.iter().chain(&right).all(|x| *x == 0.0), "silence goes out");
        ends.receiver.drain(&mut heard);
    }
    assert_eq!(heard.0[0], sent);
}

#[test]
fn with_a_device_the_signal_goes_out_and_never_the_input() {
    let (mut taps, mut ends) = connected(Measured::Device);
    ends.receiver.fresh().expect("a run");
    ends.remote.start(Test::Pink, -30.0, RATE_HZ).expect("a signal");
    let (mut device, mut heard) = (Device::new(), Ends::default());
    let (mut out, mut back) = (Vec::new(), vec![0f32; 480]);
    let mut expected = Vec::new();
    for _ in 0..200 {
        expected.extend(back.iter().map(|x| f64::from(*x)));
        let (mut left, mut right) = (back.clone(), back.clone());
        assert_no_alloc(|| taps.exchange(&mut [&mut left, &mut right]));
        out.extend(left.iter().map(|x| f64::from(*x)));
        back = left.iter().map(|x| device.through(*x)).collect();
        ends.receiver.drain(&mut heard);
    }
    assert_eq!(heard.0[0], out, "sent is what goes out");
    assert_eq!(heard.0[1], expected, "returned is what the device gave");
    assert!(out.iter().any(|x| x.abs() > 1e-3));
    // With no signal nothing goes out, whatever arrives: no loop can close.
    ends.remote.stop();
    for block in 0..100 {
        let (mut left, mut right) = ([0.9f32; 480], [0.9f32; 480]);
        taps.exchange(&mut [&mut left, &mut right]);
        let peak = left.iter().fold(0.0f32, |peak, x| peak.max(x.abs()));
        assert!(block < 20 || peak == 0.0, "{peak} goes out in block {block}");
    }
}

#[test]
fn the_track_goes_out_as_it_is_and_no_louder_than_the_cap() {
    let (mut taps, mut ends) = connected(Measured::Device);
    // -1 dBFS at its loudest, in steps of 6 dB: the first that is no louder than -12 is -13 dBFS.
    let level = ends.remote.start(Test::Track(Form::Long), 0.0, RATE_HZ).expect("a track");
    assert!((level + 13.0).abs() < 1e-9, "{level}");
    let track = Track::new(Form::Long, 2, RATE_HZ);
    let mut at = 0;
    for _ in 0..400 {
        let (mut left, mut right) = ([0f32; 480], [0f32; 480]);
        assert_no_alloc(|| taps.exchange(&mut [&mut left, &mut right]));
        for n in 0..480 {
            // The input gives way in 20 ms, in which the track is silent.
            let wanted = track.frame(at + n).map(|x| x as f32);
            assert_eq!([left[n], right[n]], wanted, "frame {}", at + n);
        }
        at += 480;
    }
    assert!(ends.remote.sounding() && (ends.remote.left_s() - 147.7).abs() < 0.5);
}

#[test]
fn a_change_of_what_is_measured_is_a_run_of_its_own_and_silences_what_sounds() {
    let (mut taps, mut ends) = connected(Measured::Device);
    ends.receiver.fresh().expect("a run");
    ends.remote.start(Test::Pink, -30.0, RATE_HZ).expect("a signal");
    taps.exchange(&mut [&mut [0.0; 480], &mut [0.0; 480]]);
    assert!(ends.remote.sounding());
    ends.meters.measure(Measured::Line);
    assert_no_alloc(|| taps.measured());
    assert!(!ends.remote.sounding(), "what was sent to the device must not go through the line");
    assert_eq!(ends.receiver.fresh().expect("a run").measured, Measured::Line);
    assert!(ends.receiver.fresh().is_none());
}

#[test]
fn what_is_no_sound_is_heard_as_silence() {
    let (mut taps, mut ends) = connected(Measured::Radio);
    ends.receiver.fresh().expect("a run");
    let mut wild = [f32::NAN, f32::INFINITY, 1e30, 0.25];
    taps.exchange(&mut [&mut wild]);
    let mut heard = Ends::default();
    ends.receiver.drain(&mut heard);
    assert_eq!(heard.0[0], [0.0, 0.0, 0.0, 0.25]);
}

#[test]
fn a_window_that_closes_leaves_the_line_to_be_measured() {
    let (mut taps, _ends) = connected(Measured::Radio);
    taps.watched(false);
    assert_eq!(taps.measured(), Measured::Line);
}
