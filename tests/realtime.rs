//! The audio thread allocates nothing: path, settings, reset. A test program of its own,
//! because it replaces the allocator.

use assert_no_alloc::{AllocDisabler, assert_no_alloc};
use underpin::path::Path;
use underpin::settings::{ALL, Kind, Settings};

#[global_allocator]
static ALLOCATOR: AllocDisabler = AllocDisabler;

/// Settings with every setting, in turn, at each of its ends or words.
fn extremes() -> Vec<Settings> {
    let mut all = vec![Settings::default()];
    for (i, setting) in ALL.iter().enumerate() {
        let values = match setting.kind {
            Kind::Switch => vec![0.0, 1.0],
            Kind::Choice { words, .. } => (0..words.len()).map(|w| w as f32).collect(),
            Kind::Number { min, max, off, .. } => vec![off.unwrap_or(min), min, max],
        };
        for value in values {
            let mut plain = Settings::default().to_plain();
            plain[i] = value;
            all.push(Settings::from_plain(plain));
        }
    }
    all
}

#[test]
fn nothing_but_new_allocates() {
    let mut sound: Vec<f32> = (0..4_096).map(|i| (i as f32 * 0.008).sin()).collect();
    let mut other = sound.clone();
    let bad = [f32::NAN, f32::INFINITY, 1e30, 1e-40];
    for (rate_hz, channels) in [(48_000.0, 2), (44_100.0, 1), (1234.5678, 2)] {
        let settings = extremes();
        let mut path = Path::new(rate_hz, channels);
        assert_no_alloc(|| {
            for settings in &settings {
                path.set(settings);
                path.process(&mut [&mut sound, &mut other], &mut ());
                sound[..4].copy_from_slice(&bad);
                path.process(&mut [&mut sound[..37], &mut other[..37]], &mut ());
            }
            path.reset();
            path.process(&mut [], &mut ());
        });
    }
}
