//! Prints what the octave core reaches against its goals, method by method:
//! the goals' signals, fresh signals no constant was fitted to, recordings, cost.
//!
//! `cargo bench --bench engine`

mod cost;
mod hashes;
mod judged;
#[path = "../../tests/octave_goals/mod.rs"]
#[allow(dead_code)]
mod octave_goals;
mod picture;
mod presets;
#[path = "../recordings/mod.rs"]
mod recordings;

use octave_goals::figure::Figure;
use octave_goals::{figures, fresh};
use underpin::settings::{Method, Settings};

pub(crate) const METHODS: [Method; 3] = [Method::Tracked, Method::Halved, Method::Divided];

/// The default settings with another method.
pub(crate) fn with(octave_method: Method) -> Settings {
    Settings { octave_method, ..Settings::default() }
}

fn main() {
    if std::env::args().any(|arg| arg == "--pictures") {
        let note = recordings::load("bass_woodsy_c").expect("recordings: `cargo xtask data`");
        let to = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/octave.svg");
        std::fs::write(to, picture::drawn(&note)).expect("docs/");
        println!("wrote {to}");
        return;
    }
    if std::env::args().any(|arg| arg == "--hashes") {
        hashes::print();
        return;
    }
    if std::env::args().any(|arg| arg == "--presets") {
        presets::print();
        return;
    }
    if std::env::args().any(|arg| arg == "--steps") {
        steps();
        return;
    }
    println!("| | goal | stretch | tracked | halved | divided |");
    println!("|---|---|---|---|---|---|");
    let rows = |all: fn(&Settings) -> Vec<Figure>| METHODS.map(|method| all(&with(method)));
    let mut columns = rows(figures);
    for (column, cost) in columns.iter_mut().zip(cost::figures()) {
        column.extend(cost);
    }
    print(&columns);
    let fresh = rows(fresh::figures);
    print(&fresh);
    match judged::figures() {
        Some(recorded) => print(&recorded),
        None => println!(
            "\nNo recordings in data/ (`cargo xtask data` fetches them): G10 was not measured."
        ),
    }
    println!();
    for (method, column) in METHODS.iter().zip(&columns) {
        let goals = column.iter().filter(|f| f.has_goal());
        let (all, met) = goals
            .fold((0, 0), |(all, met), f| (all + 1, met + usize::from(f.goal.met_by(f.value))));
        let aims = column.iter().filter_map(|f| Some((f.stretch?, f.value)));
        let (stretches, reached) = aims.fold((0, 0), |(all, met), (aim, value)| {
            (all + 1, met + usize::from(aim.met_by(value)))
        });
        println!("{method:?}: {met} of {all} goals, {reached} of {stretches} stretches");
    }
}

/// The figures that tell the steps of `tracked` from each other, a line each.
const STEPS: [&str; 10] = [
    "G1 tones, worst other line, dB",
    "G2 24 random pairs, worst rest, dB",
    "G2 60 + 66 Hz, rest, dB",
    "G11 plucked, half of 110 Hz, level, dB",
    "G4 50 + 80 Hz, rest < -40 dB from, ms",
    "G6 glide 45 to 90 Hz, envelope off by, dB",
    "G6 glide 90 to 45 Hz, envelope off by, dB",
    "G5 kick over 82.4 Hz, mean correlation",
    "fresh: 12 chords of three, worst rest, dB",
    "fresh: 48 kicks over notes, mean correlation",
];

fn steps() {
    let tracked = with(Method::Tracked);
    let all = figures(&tracked).into_iter().chain(fresh::figures(&tracked));
    for figure in all.filter(|figure| STEPS.contains(&figure.name.as_str())) {
        println!("{}\t{}", figure.name, cell(&figure));
    }
    for figure in judged::over_notes(&tracked).into_iter().flatten() {
        println!("{}\t{}", figure.name, cell(&figure));
    }
}

fn print(columns: &[Vec<Figure>; 3]) {
    for (i, figure) in columns[0].iter().enumerate() {
        let stretch = figure.stretch.map_or(String::new(), |aim| aim.text());
        let cells: Vec<String> = columns.iter().map(|column| cell(&column[i])).collect();
        println!(
            "| {} | {} | {stretch} | {} |",
            figure.name,
            figure.goal.text(),
            cells.join(" | ")
        );
    }
}

/// The value, ✗ for a goal missed, ★ for a stretch reached.
fn cell(figure: &Figure) -> String {
    let mark = match (figure.goal.met_by(figure.value), figure.stretch) {
        (false, _) => " ✗",
        (true, Some(aim)) if aim.met_by(figure.value) => " ★",
        _ => "",
    };
    match figure.value {
        9999.0 => format!("never{mark}"),
        value => format!("{value:.3}{mark}"),
    }
}
