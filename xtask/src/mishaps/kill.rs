//! `kill -9` at many moments of each command that writes.

use std::thread;
use std::time::{Duration, Instant};

use super::Row;
use super::scratch::Scratch;
use crate::bundle;

/// Each command that writes, and its outputs.
pub(super) const COMMANDS: [(&str, &[&str]); 10] = [
    ("signal track -o a.wav --force", &["a.wav"]),
    ("render song.wav a.wav --force", &["a.wav"]),
    ("render song.wav a.wav --report a.html --force", &["a.wav", "a.html"]),
    ("measure song.wav --report a.html --force", &["a.html"]),
    ("prove --report a.html --force", &["a.html"]),
    ("diagnose track.wav track.wav --report a.html --force", &["a.html"]),
    ("tune track.wav track.wav --plan a.toml --preset b.toml --force", &["a.toml", "b.toml"]),
    ("identify long.wav long.wav --report a.html --force", &["a.html"]),
    ("hand-over plan.toml --report a.html --force", &["a.html"]),
    ("demo --out demo", &["demo"]),
];

/// Inputs that must stay as they are.
const INPUTS: [&str; 4] = ["song.wav", "track.wav", "long.wav", "plan.toml"];

/// An output is the old one, the new one or not there; inputs are untouched; the next run succeeds.
const MUST: &str = "whole outputs or none, and the next run succeeds";

/// One command, killed at moments spread over its whole run: in odd turns over files that a
/// whole run left, in even turns over nothing.
pub(super) fn row(
    scratch: &Scratch,
    (line, outputs): (&str, &[&str]),
    moments: usize,
) -> Result<Row, String> {
    scratch.remove(outputs)?;
    let began = Instant::now();
    scratch.does(line)?;
    let whole_s = began.elapsed().as_secs_f64();
    let made: Vec<_> = outputs.iter().map(|name| scratch.bytes(name)).collect();
    let inputs = INPUTS.map(|name| scratch.bytes(name));
    let mut wrong = Vec::new();
    for turn in 0..moments {
        if turn % 2 == 0 {
            scratch.remove(outputs)?;
        }
        let after_s = whole_s * (turn as f64 + 0.5) / moments as f64;
        kill(scratch, line, after_s)?;
        let at = format!("killed after {after_s:.3} s");
        for (name, made) in outputs.iter().zip(&made) {
            let left = scratch.bytes(name);
            if left.is_some() && left != *made {
                wrong.push(format!("{name} is neither old nor new, {at}"));
            }
        }
        if INPUTS.map(|name| scratch.bytes(name)) != inputs {
            return Err(format!("{line}: an input was changed, {at}"));
        }
        if let Err(error) = scratch.does(line) {
            wrong.push(format!("the next run failed, {at}: {error}"));
        }
        scratch.unfinished().iter().try_for_each(|path| bundle::remove(path))?;
    }
    scratch.remove(outputs)?;
    Ok(Row::new(format!("`kill -9`: `{line}`"), moments, MUST, wrong))
}

fn kill(scratch: &Scratch, line: &str, after_s: f64) -> Result<(), String> {
    let mut child = scratch.command(line).spawn().map_err(|e| format!("{line}: {e}"))?;
    thread::sleep(Duration::from_secs_f64(after_s));
    // A run that has ended before is a moment too: the last one.
    let _ = child.kill();
    child.wait().map(|_| ()).map_err(|e| e.to_string())
}
