//! Judges general-purpose pitch shifters by the goals of the octave engine, in one run with its
//! own methods: what one could do offline with `sox` or `rubberband` on the low-passed signal.
//!
//! `cargo xtask compare` installs both and writes `docs/octave-compare.md`.

#[allow(dead_code)]
mod judged;
mod shifter;

use std::process::{Command, Stdio};
use std::time::Instant;

use judged::figure::Figure;
use judged::{RATE_HZ, hits, onsets, signals, steady};
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
    let columns = ALL.map(|(_, shifter)| figures(shifter));
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
