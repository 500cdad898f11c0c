//! Judges general-purpose pitch shifters by the goals of the octave engine, in one run with its
//! own methods: what one could do offline with `sox` or `rubberband` on the low-passed signal.
//!
//! `cargo xtask compare` installs both and writes `docs/octave-compare.md`.

#[allow(dead_code)]
mod judged;
#[path = "../recordings/mod.rs"]
mod recordings;
mod shifter;

use std::process::{Command, Stdio};
use std::time::Instant;

use judged as octave_goals;
use judged::figure::{Figure, shown};
use judged::recorded::{Recording, agreement, likeness, mixed, off_the_halves};
use judged::{RATE_HZ, hits, onsets, signals, steady};
use recordings::{Set, held, sets};
use shifter::{ALL, Shifter};
use underpin::settings::Settings;

/// Every figure that can be had from a mono signal.
fn figures(shifter: Shifter) -> Vec<Figure> {
    shifter.judge();
    let settings = Settings::default();
    [steady::figures, onsets::figures, hits::figures]
        .iter()
        .flat_map(|all| all(&settings))
        .collect()
}

/// Figures of the recordings that nobody looked at, at their own speed.
fn untouched(shifter: Shifter, set: &Set, held: &[Recording]) -> Vec<Figure> {
    shifter.judge();
    let settings = Settings::default();
    let floorless = Settings { octave_floor_hz: 0.0, ..settings };
    let mean = |values: Vec<f64>| values.iter().sum::<f64>() / values.len() as f64;
    let Set { hits, notes, .. } = set;
    let sure = hits.iter().filter(|hit| agreement(hit) >= 0.9);
    let likes = sure.map(|hit| likeness(&settings, hit)[0]).collect();
    let over = |i: usize| mixed(&settings, &hits[i], &held[3 * i % held.len()]);
    let levels = notes.iter().map(|note| likeness(&floorless, note)[1].abs());
    let off = notes.iter().map(|note| off_the_halves(&settings, note)).collect();
    let of = |what: &str| format!("{} recordings: {what}", set.name);
    vec![
        shown(of("hits of sure sign, mean correlation"), mean(likes)),
        shown(of("hits over notes, mean correlation"), mean((0..hits.len()).map(over).collect())),
        shown(of("notes, mean level error, dB"), mean(levels.collect())),
        shown(of("notes, off the halves, dB"), mean(off)),
    ]
}

/// How many times faster than the sound lasts.
fn speed(shifter: Shifter) -> f64 {
    const SECONDS: f64 = 60.0;
    let x = signals::pink(0.1, (SECONDS * RATE_HZ) as usize, 3);
    let start = Instant::now();
    std::hint::black_box(shifter.render(&Settings::default(), RATE_HZ, &x));
    SECONDS / start.elapsed().as_secs_f64()
}

/// A figure, or what it stands for.
fn words(name: &str, value: f64) -> String {
    match value {
        9999.0 => "never".into(),
        // A half that is not there.
        60.0.. if name.contains("level error") => "lost".into(),
        value => format!("{value:.2}"),
    }
}

fn main() {
    let there = |program: &str| {
        Command::new(program)
            .arg("--help")
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .is_ok()
    };
    if !there("sox") || !there("rubberband") {
        println!(
            "sox or rubberband is not installed: nothing was compared (cargo xtask compare installs them)"
        );
        return;
    }
    let mut columns = ALL.map(|(_, shifter)| figures(shifter));
    match held().zip(sets()) {
        Some((held, [_, _, set])) => {
            for (column, (_, shifter)) in columns.iter_mut().zip(ALL) {
                column.extend(untouched(shifter, &set, &held));
            }
        }
        None => eprintln!("no recordings in data/ (cargo xtask data fetches them)"),
    }
    println!("| | goal | {} |", ALL.map(|(name, _)| name).join(" | "));
    println!("|{}", "---|".repeat(ALL.len() + 2));
    for (i, figure) in columns[0].iter().enumerate() {
        // Nobody else has a fast response.
        if figure.name.contains("fast") {
            continue;
        }
        let cells = columns.iter().map(|column| {
            let value = column[i].value;
            let missed = if figure.goal.met_by(value) { "" } else { " \u{2717}" };
            format!("{}{missed}", words(&figure.name, value))
        });
        println!(
            "| {} | {} | {} |",
            figure.name,
            figure.goal.text(),
            cells.collect::<Vec<_>>().join(" | ")
        );
    }
    let speeds = ALL.map(|(_, shifter)| format!("{:.0}\u{d7}", speed(shifter)));
    println!("| faster than the sound lasts, mono | | {} |", speeds.join(" | "));
}
