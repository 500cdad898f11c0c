//! What a host hears is the signal path, whatever the host does.

use crate::{RATE_HZ, direct, drawn, music, same};
use hosts::Plugin;
use hosts::noise::Random;
use underpin::path::Path;
use underpin::settings::Settings;

/// A plugin with these settings, loaded as state would load them.
fn with(settings: &Settings) -> Plugin {
    let mut plugin = Plugin::load();
    let texts: Vec<_> = settings.each().map(|(s, plain)| (s.key, s.show(plain))).collect();
    let events: Vec<_> = texts.iter().map(|(key, text)| plugin.event(0, key, text)).collect();
    plugin.flush(&events);
    plugin
}

#[test]
fn latency_is_none() {
    assert_eq!(Plugin::load().latency(), 0);
}

#[test]
fn random_blocks_change_no_sample() {
    let settings = drawn(3);
    let mut plugin = with(&settings);
    let mut heard = music(48_000, 3);
    let expected = direct(&settings, &heard, RATE_HZ);
    let mut running = plugin.start(RATE_HZ, 2_048);
    let (mut random, mut start) = (Random::new(3), 0);
    while start < heard[0].len() {
        let most = if random.below(3) == 0 { 2_048 } else { 33 };
        let end = heard[0].len().min(start + 1 + random.below(most));
        let mut block: Vec<&mut [f32]> = heard.iter_mut().map(|c| &mut c[start..end]).collect();
        running.process(&mut block, &[]);
        start = end;
    }
    plugin.stop(running);
    same(&heard, &expected);
}

#[test]
fn an_event_is_heard_on_its_exact_sample() {
    for at in [1u32, 256, 300, 511] {
        let mut plugin = Plugin::load();
        let mut heard = music(1_024, 4);
        let mut expected = heard.clone();
        let changed = Settings::default().with("output.gain_db", "-12 dB").expect("a setting");

        let mut path = Path::new(RATE_HZ, 2);
        path.set(&Settings::default());
        let [left, right] = &mut expected[..] else { panic!("two channels") };
        let at_sample = at as usize;
        path.process(&mut [&mut left[..at_sample], &mut right[..at_sample]], &mut ());
        path.set(&changed);
        path.process(&mut [&mut left[at_sample..], &mut right[at_sample..]], &mut ());

        let event = plugin.event(at, "output.gain_db", "-12 dB");
        let mut running = plugin.start(RATE_HZ, 1_024);
        let mut block: Vec<&mut [f32]> = heard.iter_mut().map(|c| &mut c[..]).collect();
        running.process(&mut block, &[event]);
        plugin.stop(running);
        same(&heard, &expected);
    }
}

#[test]
fn activated_again_at_another_rate_it_is_as_new() {
    let settings = drawn(5);
    let mut plugin = with(&settings);
    for (round, rate_hz) in [44_100.0, 96_000.0, 48_000.0, 192_000.0, 44_100.0].iter().enumerate() {
        let mut heard = music(9_000, round as u64);
        let expected = direct(&settings, &heard, *rate_hz);
        let mut running = plugin.start(*rate_hz, 512);
        running.run(&mut heard, 512);
        plugin.stop(running);
        same(&heard, &expected);
    }
}

#[test]
fn after_a_reset_it_is_as_new() {
    let settings = drawn(6);
    let mut plugin = with(&settings);
    let mut running = plugin.start(RATE_HZ, 512);
    running.run(&mut music(20_000, 1), 512);
    running.reset();
    let mut heard = music(9_000, 2);
    let expected = direct(&settings, &heard, RATE_HZ);
    running.run(&mut heard, 512);
    plugin.stop(running);
    same(&heard, &expected);
}

#[test]
fn bypass_is_the_input_bit_for_bit() {
    let settings = drawn(7).with("bypass", "on").expect("a setting");
    let mut plugin = with(&settings);
    let mut heard = music(9_000, 7);
    let expected = heard.clone();
    let mut running = plugin.start(RATE_HZ, 512);
    running.run(&mut heard, 512);
    plugin.stop(running);
    same(&heard, &expected);
}

#[test]
fn mono_is_the_left_of_two_equal_channels() {
    let settings = drawn(8);
    let left = music(9_000, 8).swap_remove(0);
    let mut dual = vec![left.clone(), left.clone()];
    let mut stereo = with(&settings);
    let mut running = stereo.start(RATE_HZ, 512);
    running.run(&mut dual, 512);
    stereo.stop(running);

    let mut mono = vec![left];
    let mut plugin = with(&settings);
    plugin.choose([1, 1]);
    let mut running = plugin.start(RATE_HZ, 512);
    running.run(&mut mono, 512);
    plugin.stop(running);
    same(&mono, &dual[..1]);
}

#[test]
fn one_channel_goes_out_as_two() {
    let settings = drawn(10);
    let left = music(9_000, 10).swap_remove(0);
    let expected = direct(&settings, &[left.clone(), left.clone()], RATE_HZ);
    let mut plugin = with(&settings);
    plugin.choose([1, 2]);
    let mut running = plugin.start(RATE_HZ, 512);
    // What a host left in its buffers, on both channels.
    let mut heard = vec![vec![0.7f32; left.len()]; 2];
    for start in (0..left.len()).step_by(512) {
        let end = left.len().min(start + 512);
        let mut block: Vec<&mut [f32]> = heard.iter_mut().map(|c| &mut c[start..end]).collect();
        running.fan_out(&left[start..end], &mut block);
    }
    plugin.stop(running);
    same(&heard, &expected);
}

#[test]
fn nothing_that_is_not_a_number_comes_out() {
    let bad = [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, f32::MAX, 1e-42, -1e-42];
    for bypass in ["off", "on"] {
        let settings = drawn(9).with("bypass", bypass).expect("a setting");
        let mut plugin = with(&settings);
        let mut heard = music(9_000, 9);
        for (i, bad) in bad.iter().enumerate() {
            heard[i % 2][100 * (i + 1)] = *bad;
        }
        let mut running = plugin.start(RATE_HZ, 512);
        running.run(&mut heard, 512);
        plugin.stop(running);
        let sound = heard.iter().flatten().all(|s| s.is_finite() && !s.is_subnormal());
        assert!(sound, "bypass {bypass}");
    }
}

#[test]
fn the_line_is_silent_when_its_tail_is_over() {
    // The longest ring there is: a narrow, deep low band lifted as far as it
    // goes, a box extended as far as it goes, and a high-pass of the fourth
    // order below it. -120 dBFS is below what 20 bits resolve; scipy's filters
    // have 1.5e-5 left after 12 s and 1.0e-7 after 14 s.
    let longest = [
        ("low_band.centre_hz", "16 Hz"),
        ("low_band.width_oct", "0.2 oct"),
        ("low_band.gain_db", "18 dB"),
        ("closed_box.on", "on"),
        ("closed_box.from_hz", "120 Hz"),
        ("closed_box.from_q", "0.3"),
        ("closed_box.to_hz", "10 Hz"),
        ("closed_box.to_q", "1.2"),
        ("high_pass.order", "4"),
        ("high_pass.hz", "8 Hz"),
        ("octave.floor_hz", "off"),
        // Overloaded: every gain before and after the band at its top.
        ("input.trim_db", "24 dB"),
        ("output.gain_db", "24 dB"),
    ];
    let settings = longest.iter().fold(Settings::default(), |settings, (key, text)| {
        settings.with(key, text).expect("a setting")
    });
    let mut plugin = with(&settings);
    let mut running = plugin.start(RATE_HZ, 512);
    // Just under +60 dBFS, above which a sample is heard as silence.
    let burst =
        |i: usize| (900.0 * (std::f64::consts::TAU * 16.0 * i as f64 / RATE_HZ).sin()) as f32;
    let sound: Vec<f32> = (0..96_000).map(burst).collect();
    running.run(&mut [sound.clone(), sound], 512);
    let tail = running.tail();
    assert!((1..700_000).contains(&tail), "a tail of {tail} samples");
    running.run(&mut [vec![0.0; tail as usize], vec![0.0; tail as usize]], 512);
    let mut rest = vec![vec![0.0; 48_000]; 2];
    running.run(&mut rest, 512);
    plugin.stop(running);
    let loudest = rest.iter().flatten().fold(0.0f32, |peak, s| peak.max(s.abs()));
    assert!(loudest < 1e-6, "{loudest} is left after the tail");
}
