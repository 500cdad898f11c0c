//! Simulated hours through every built-in preset, with settings moved at random: levels, clicks,
//! drift and memory. `hours [HOURS] [SEED]`, 8 hours by default.
//!
//! The sound is a tone of 50 Hz at -6 dBFS. A click is what an eighth-order high-pass at 2 kHz
//! leaves, re full scale or re the loudest sample when that is louder; the ceiling is off, for a
//! limiter without latency bends a wave the instant it is passed, which is its work. Drift is what the line
//! gives after its hours with the preset's settings, against a new line that was given nothing
//! else.

use std::f64::consts::{PI, TAU};
use std::fs;
use std::process::ExitCode;

use hosts::noise::Random;
use underpin::path::Path;
use underpin::presets::{self, Preset};
use underpin::settings::{ALL, Kind, Settings};

const RATE_HZ: f64 = 48_000.0;
const BLOCK: usize = 480;
/// A click louder than this is a failure: 16-bit sound with 6 dB to spare, common practice.
const CLICK_DB: f64 = -90.0;
/// Levels after the hours and of a new line differ by no more than this, dB.
const DRIFT_DB: f64 = 0.01;
/// No gain is moved above this, dB.
const MOST_DB: f32 = 6.0;
/// A constant part of the output is no larger, re full scale.
const CONSTANT: f64 = 1e-4;
/// Resident memory grows by no more over all hours: pages of the program itself come in late.
const GROWTH_KIB: u64 = 4096;

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let hours: f64 = args.next().and_then(|a| a.parse().ok()).unwrap_or(8.0);
    let seed: u64 = args.next().and_then(|a| a.parse().ok()).unwrap_or(1);
    let presets = presets::all();
    let blocks = (hours * 3600.0 * RATE_HZ / BLOCK as f64 / presets.len() as f64) as u64;
    let mut random = Random::new(seed);
    let mut wrong = 0;
    let first_kib = resident_kib();
    println!("| preset | changes | loudest dBFS | click dB | drift dB | constant dBFS |");
    println!("|---|---|---|---|---|---|");
    for preset in &presets {
        let found = endure(preset, blocks, &mut random);
        let levels = [found.loudest, found.constant].map(|x| 20.0 * x.log10());
        println!(
            "| {} | {} | {:+.1} | {:.1} | {:+.4} | {:.0} |",
            preset.name, found.changes, levels[0], found.click_db, found.drift_db, levels[1]
        );
        wrong += usize::from(!found.is_right());
    }
    let grown = resident_kib().saturating_sub(first_kib);
    println!("\n{hours} hours, seed {seed}; memory grew by {grown} KiB; {wrong} presets failed");
    match wrong == 0 && grown <= GROWTH_KIB {
        true => ExitCode::SUCCESS,
        false => ExitCode::FAILURE,
    }
}

/// What one preset's time showed.
struct Found {
    changes: u64,
    loudest: f64,
    click_db: f64,
    drift_db: f64,
    constant: f64,
    finite: bool,
}

impl Found {
    fn is_right(&self) -> bool {
        let steady = self.drift_db.abs() <= DRIFT_DB && self.constant <= CONSTANT;
        self.finite && steady && self.click_db <= CLICK_DB
    }
}

/// So many blocks of the tone, about one change of a setting a second, then the preset again.
fn endure(preset: &Preset, blocks: u64, random: &mut Random) -> Found {
    let (mut line, mut tone, mut filter) = (Path::new(RATE_HZ, 1), Tone(0), HighPass::new());
    let mut settings = Settings { output_ceiling: false, ..preset.settings };
    line.set(&settings);
    let (mut found, mut sound) = (Found::none(), [0.0; BLOCK]);
    for block in 0..blocks {
        if block > 100 && random.below(100) == 0 {
            settings = moved(settings, random);
            line.set(&settings);
            found.changes += 1;
        }
        tone.fill(&mut sound);
        line.process(&mut [&mut sound], &mut ());
        found.hear(&sound, &mut filter, block > 100);
    }
    line.set(&preset.settings);
    let (aged, constant) = settled(&mut line, tone);
    let mut new = Path::new(RATE_HZ, 1);
    new.set(&preset.settings);
    let (fresh, _) = settled(&mut new, tone);
    found.drift_db = 10.0 * (aged / fresh).log10();
    found.constant = constant.abs();
    found
}

impl Found {
    fn none() -> Self {
        let click_db = f64::NEG_INFINITY;
        Self { changes: 0, loudest: 0.0, click_db, drift_db: 0.0, constant: 0.0, finite: true }
    }

    fn hear(&mut self, sound: &[f32], filter: &mut HighPass, counts: bool) {
        for sample in sound {
            let sample = f64::from(*sample);
            self.finite &= sample.is_finite();
            let click = filter.next(sample).abs();
            if counts {
                self.loudest = self.loudest.max(sample.abs());
                let click_db = 20.0 * (click / self.loudest.max(1.0)).log10();
                self.click_db = self.click_db.max(click_db);
            }
        }
    }
}

/// Mean power and mean of five seconds, after twenty to settle in.
fn settled(line: &mut Path, mut tone: Tone) -> (f64, f64) {
    let (mut power, mut sum, mut sound) = (0.0, 0.0, [0.0; BLOCK]);
    for block in 0..2500 {
        tone.fill(&mut sound);
        line.process(&mut [&mut sound], &mut ());
        if block >= 2000 {
            power += sound.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>();
            sum += sound.iter().map(|x| f64::from(*x)).sum::<f64>();
        }
    }
    (power / (500.0 * BLOCK as f64), sum / (500.0 * BLOCK as f64))
}

/// One setting anywhere in its range, but for gains that would drive the sound far over full
/// scale, where what a click is re nobody hears.
fn moved(settings: Settings, random: &mut Random) -> Settings {
    let mut plain = settings.to_plain();
    let place = random.below(ALL.len());
    let value = match ALL[place].kind {
        Kind::Switch => random.below(2) as f32,
        Kind::Choice { words, .. } => random.below(words.len()) as f32,
        Kind::Number { min, max, .. } if ALL[place].key.ends_with("_db") => {
            min + random.unit() as f32 * (max.min(MOST_DB) - min)
        }
        Kind::Number { min, max, .. } => min + random.unit() as f32 * (max - min),
    };
    plain[place] = ALL[place].clamp(value);
    Settings { output_ceiling: false, ..Settings::from_plain(plain) }
}

/// The tone, by the place in its period of 960 samples: it never drifts itself.
#[derive(Clone, Copy)]
struct Tone(usize);

impl Tone {
    fn fill(&mut self, sound: &mut [f32]) {
        for sample in sound {
            *sample = (0.5 * (TAU * self.0 as f64 / 960.0).sin()) as f32;
            self.0 = (self.0 + 1) % 960;
        }
    }
}

/// Eighth-order Butterworth high-pass at 2 kHz: four sections of the Audio EQ Cookbook.
struct HighPass([Section; 4]);

struct Section {
    b: f64,
    a: [f64; 2],
    x: [f64; 2],
    y: [f64; 2],
}

impl HighPass {
    fn new() -> Self {
        Self([1.0, 3.0, 5.0, 7.0].map(|k| {
            let (q, w) = (0.5 / (k * PI / 16.0).cos(), TAU * 2000.0 / RATE_HZ);
            let (alpha, cos) = (w.sin() / (2.0 * q), w.cos());
            let a = [-2.0 * cos / (1.0 + alpha), (1.0 - alpha) / (1.0 + alpha)];
            Section { b: 0.5 * (1.0 + cos) / (1.0 + alpha), a, x: [0.0; 2], y: [0.0; 2] }
        }))
    }

    fn next(&mut self, sample: f64) -> f64 {
        self.0.iter_mut().fold(sample, |x, s| {
            let y = s.b * (x - 2.0 * s.x[0] + s.x[1]) - s.a[0] * s.y[0] - s.a[1] * s.y[1];
            (s.x, s.y) = ([x, s.x[0]], [y, s.y[0]]);
            y
        })
    }
}

/// Resident memory, proc(5); 0 where the system has no such file.
fn resident_kib() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmRSS:"));
    line.and_then(|l| l.split_whitespace().nth(1)?.parse().ok()).unwrap_or(0)
}
