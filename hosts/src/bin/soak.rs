//! Thirty minutes of sound (simulated time) through one instance, with random
//! blocks, automation, state loads, resets and rates: no panic, nothing that is
//! not a number, nothing subnormal. `soak [MINUTES] [SEED]`

use hosts::noise::Random;
use hosts::{Plugin, Running};
use std::process::ExitCode;
use underpin::settings::ALL;

const RATES_HZ: [f64; 6] = [48_000.0, 44_100.0, 96_000.0, 192_000.0, 22_050.0, 1234.5678];
const MOST_FRAMES: usize = 2_048;

/// What is done, counted.
#[derive(Debug, Default)]
struct Done {
    blocks: u64,
    events: u64,
    loads: u64,
    resets: u64,
    starts: u64,
}

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let minutes: f64 = args.next().and_then(|a| a.parse().ok()).unwrap_or(30.0);
    let seed: u64 = args.next().and_then(|a| a.parse().ok()).unwrap_or(1);
    let mut random = Random::new(seed);
    let mut plugin = Plugin::load();
    let mut states = vec![plugin.save()];
    let (mut left_s, mut done) = (minutes * 60.0, Done::default());
    while left_s > 0.0 {
        let rate_hz = RATES_HZ[random.below(RATES_HZ.len())];
        let seconds = (5.0 + 25.0 * random.unit()).min(left_s);
        let mut running = plugin.start(rate_hz, MOST_FRAMES as u32);
        done.starts += 1;
        let mut frames = (seconds * rate_hz) as usize;
        while frames > 0 {
            let block = block_size(&mut random).min(frames);
            if let Err(what) =
                step(&mut plugin, &mut running, block, &mut random, &mut states, &mut done)
            {
                println!("seed {seed}, {rate_hz} Hz, after {done:?}: {what}");
                return ExitCode::FAILURE;
            }
            frames -= block;
        }
        plugin.stop(running);
        left_s -= seconds;
    }
    println!("{minutes} minutes of sound, seed {seed}: {done:?}, all output finite and normal");
    ExitCode::SUCCESS
}

fn block_size(random: &mut Random) -> usize {
    match random.below(4) {
        0 => 1 + random.below(8),
        1 => 64,
        2 => 512,
        _ => 1 + random.below(MOST_FRAMES),
    }
}

/// One block, with whatever chance adds to it.
fn step(
    plugin: &mut Plugin,
    running: &mut Running,
    frames: usize,
    random: &mut Random,
    states: &mut Vec<Vec<u8>>,
    done: &mut Done,
) -> Result<(), String> {
    match random.below(400) {
        0 => {
            let state = &states[random.below(states.len())];
            if !plugin.restore(state) {
                return Err("a saved state was refused".into());
            }
            done.loads += 1;
        }
        1 => {
            states.push(plugin.save());
            states.truncate(50);
        }
        2 => {
            running.reset();
            done.resets += 1;
        }
        _ => {}
    }
    let mut times: Vec<u32> = (0..random.below(6)).map(|_| random.below(frames) as u32).collect();
    times.sort_unstable();
    let events: Vec<_> = times
        .into_iter()
        .map(|time| {
            let setting = &ALL[random.below(ALL.len())];
            let [low, high, _] = plugin.param(setting.key).range;
            let value = match random.below(4) {
                0 => low,
                1 => high,
                _ => low + random.unit() * (high - low),
            };
            plugin.event_at(time, setting.key, value)
        })
        .collect();
    done.events += events.len() as u64;
    let loud = [1.0, 1.0, 0.01, 0.0, 4.0][random.below(5)];
    let mut sound: Vec<Vec<f32>> = (0..2)
        .map(|_| (0..frames).map(|_| ((random.unit() - 0.5) * loud) as f32).collect())
        .collect();
    if random.below(50) == 0 {
        let bad = [f32::NAN, f32::INFINITY, f32::MAX, 1e-40][random.below(4)];
        sound[random.below(2)][random.below(frames)] = bad;
    }
    let mut block: Vec<&mut [f32]> = sound.iter_mut().map(|c| &mut c[..]).collect();
    running.process(&mut block, &events);
    done.blocks += 1;
    match sound.iter().flatten().find(|s| !s.is_finite() || s.is_subnormal()) {
        Some(bad) => Err(format!("{bad:e} came out")),
        None => Ok(()),
    }
}
