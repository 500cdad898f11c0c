//! What the plugin costs: time to load and make an instance, and share of one
//! core for one stereo instance at 48 kHz in blocks of 256, window closed.
//! Figures are of this machine and this moment; run it on a quiet one.

use hosts::{Plugin, noise};
use std::time::{Duration, Instant};
use underpin::settings::Settings;

const RATE_HZ: f64 = 48_000.0;
const SECONDS: usize = 20;
const ROUNDS: usize = 7;

fn main() {
    let loaded = Instant::now();
    let first = Plugin::load();
    println!("first load and instance: {:.1} ms", loaded.elapsed().as_secs_f64() * 1e3);
    let again = Instant::now();
    let _second = Plugin::load();
    println!("another instance: {:.1} ms", again.elapsed().as_secs_f64() * 1e3);
    drop(first);

    let started = Instant::now();
    let mut plugin = Plugin::load();
    let running = plugin.start(RATE_HZ, 256);
    println!("instance, activated: {:.1} ms", started.elapsed().as_secs_f64() * 1e3);
    plugin.stop(running);

    share("defaults, noise", &[], 0.5);
    share("defaults, silence after sound", &[], 0.0);
    share("everything on, noise", &everything(), 0.5);
    share("halved, noise", &[("octave.method", "halved")], 0.5);
    share("divided, noise", &[("octave.method", "divided")], 0.5);
    share("bypass, noise", &[("bypass", "on")], 0.5);
}

fn everything() -> Vec<(&'static str, &'static str)> {
    vec![
        ("low_band.gain_db", "6 dB"),
        ("high_pass.order", "4"),
        ("output.ceiling", "on"),
        ("octave.level_db", "0 dB"),
    ]
}

/// Prints the share of one core: the middle and both ends of several rounds.
fn share(what: &str, changed: &[(&str, &str)], peak: f32) {
    let mut plugin = Plugin::load();
    let events: Vec<_> = changed.iter().map(|(key, text)| plugin.event(0, key, text)).collect();
    plugin.flush(&events);
    let settings = plugin.settings();
    let expected = changed.iter().fold(Settings::default(), |settings, (key, text)| {
        settings.with(key, text).expect("a setting")
    });
    assert_eq!(settings, expected);
    let mut running = plugin.start(RATE_HZ, 256);
    running.run(&mut noise::stereo(48_000, 1), 256);
    running.run(&mut [vec![0.0; 10 * 48_000], vec![0.0; 10 * 48_000]], 256);
    let mut shares: Vec<f64> = (0..ROUNDS)
        .map(|round| {
            let mut sound = noise::stereo(SECONDS * 48_000, round as u64);
            sound.iter_mut().flatten().for_each(|s| *s *= 2.0 * peak);
            let begun = on_core();
            running.run(&mut sound, 256);
            (on_core() - begun).as_secs_f64() / SECONDS as f64 * 100.0
        })
        .collect();
    plugin.stop(running);
    shares.sort_by(f64::total_cmp);
    println!(
        "{what}: {:.3} % of a core ({:.3} to {:.3}, {ROUNDS} rounds of {SECONDS} s)",
        shares[ROUNDS / 2],
        shares[0],
        shares[ROUNDS - 1]
    );
}

/// Time this thread has been on a core so far, waiting left out; on systems
/// other than Linux the time of day, which needs a quiet machine.
fn on_core() -> Duration {
    let ran = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanos = ran.and_then(|text| text.split(' ').next()?.parse().ok());
    static BEGUN: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    nanos.map_or_else(|| BEGUN.get_or_init(Instant::now).elapsed(), Duration::from_nanos)
}
