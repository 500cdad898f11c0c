//! What each step of the octave part is worth: its figures without one step at a time.

use std::path::Path;
use std::process::Command;

use super::{NUMBER, list::Fault};
use crate::Outcome;

/// Faults here that take a step away say so.
const PLACE: &str = "src/dsp/octave";
const WITHOUT: &str = "without ";

/// Measures the planted tree with all steps, then without each; prints a table, a row a step.
pub(super) fn table(tree: &Path, all: &[Fault]) -> Outcome {
    let whole = measured(tree, 0)?;
    let names: Vec<&str> = whole.iter().map(|(name, _)| name.as_str()).collect();
    println!("| | {} |\n|{}", names.join(" | "), "---|".repeat(names.len() + 1));
    row("all of it", &whole);
    let steps = all.iter().filter(|fault| fault.place.starts_with(PLACE));
    for step in steps.filter(|fault| fault.meaning.starts_with(WITHOUT)) {
        row(&step.meaning, &measured(tree, step.number)?);
    }
    Ok(())
}

fn row(name: &str, figures: &[(String, String)]) {
    let cells: Vec<&str> = figures.iter().map(|(_, value)| value.as_str()).collect();
    println!("| {name} | {} |", cells.join(" | "));
}

/// Name and value of every figure that the benchmark prints.
fn measured(tree: &Path, number: usize) -> Result<Vec<(String, String)>, String> {
    let mut bench = Command::new("cargo");
    bench.args(["bench", "--quiet", "--bench", "engine", "--", "--steps"]).current_dir(tree);
    bench.env("CARGO_TARGET_DIR", super::trial::target()).env(NUMBER, number.to_string());
    let ran = bench.output().map_err(|e| format!("cargo bench: {e}"))?;
    if !ran.status.success() {
        return Err(String::from_utf8_lossy(&ran.stderr).into_owned());
    }
    let said = String::from_utf8_lossy(&ran.stdout).into_owned();
    let pair = |line: &str| line.split_once('\t').map(|(a, b)| (a.to_owned(), b.to_owned()));
    Ok(said.lines().filter_map(pair).collect())
}
