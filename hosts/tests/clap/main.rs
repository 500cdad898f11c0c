//! The built plugin in a CLAP host. The reference is the signal path itself,
//! called directly: what a host hears must be that, bit for bit.

mod parameters;
mod sound;
mod state;

use hosts::noise::{self, Random};
use underpin::path::Path;
use underpin::settings::{ALL, Kind, Settings};

const RATE_HZ: f64 = 48_000.0;

/// Settings that are far from every default, drawn by chance, on the hosts' grid of hundredths.
fn drawn(seed: u64) -> Settings {
    let mut random = Random::new(seed);
    let mut plain = Settings::default().to_plain();
    for (plain, setting) in plain.iter_mut().zip(ALL) {
        let value = match setting.kind {
            Kind::Switch => random.below(2) as f32,
            Kind::Choice { words, .. } => random.below(words.len()) as f32,
            Kind::Number { min, max, .. } => {
                let value = f64::from(min) + random.unit() * f64::from(max - min);
                ((value * 100.0).round() / 100.0) as f32
            }
        };
        *plain = value;
    }
    plain[0] = 0.0; // not bypassed: there would be nothing to hear
    Settings::from_plain(plain)
}

/// `signal` through the signal path, without any host.
#[track_caller]
fn direct(settings: &Settings, signal: &[Vec<f32>], rate_hz: f64) -> Vec<Vec<f32>> {
    let mut out = signal.to_vec();
    let mut path = Path::new(rate_hz, signal.len());
    path.set(settings);
    let mut block: Vec<&mut [f32]> = out.iter_mut().map(|c| &mut c[..]).collect();
    path.process(&mut block, &mut ());
    out
}

/// Both signals are the same, bit for bit.
#[track_caller]
fn same(got: &[Vec<f32>], expected: &[Vec<f32>]) {
    assert_eq!(got.len(), expected.len(), "channels");
    for (side, (got, expected)) in got.iter().zip(expected).enumerate() {
        assert_eq!(got.len(), expected.len(), "length");
        let bits = |x: &f32| x.to_bits();
        let first = got.iter().zip(expected).position(|(g, e)| bits(g) != bits(e));
        if let Some(at) = first {
            panic!("channel {side} differs at sample {at}: {} is not {}", got[at], expected[at]);
        }
    }
}

/// Noise of two channels with a bass note under it.
fn music(frames: usize, seed: u64) -> Vec<Vec<f32>> {
    let mut signal = noise::stereo(frames, seed);
    for channel in &mut signal {
        for (i, sample) in channel.iter_mut().enumerate() {
            let turns = 61.0 * i as f64 / RATE_HZ;
            *sample = 0.3 * *sample + 0.4 * (std::f64::consts::TAU * turns).sin() as f32;
        }
    }
    signal
}
