//! A reader that goes away.

use std::process::Stdio;

use super::Row;
use super::scratch::{Scratch, chosen, said};

/// Commands that write to standard output.
const COMMANDS: [&str; 8] = [
    "signal pink --seconds 20 -o -",
    "render song.wav -",
    "measure song.wav --json",
    "prove --json",
    "diagnose track.wav track.wav",
    "presets list",
    "completions bash",
    "--help",
];

/// Each command with a standard output that is closed before it writes.
pub(super) fn row(scratch: &Scratch) -> Result<Row, String> {
    let mut wrong = Vec::new();
    for line in COMMANDS {
        let mut command = scratch.command(line);
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().map_err(|e| format!("{line}: {e}"))?;
        drop(child.stdout.take());
        let ran = child.wait_with_output().map_err(|e| format!("{line}: {e}"))?;
        if !chosen(&ran) || said(&ran).lines().count() > 1 {
            wrong.push(format!("`{line}`: {}, said {:?}", ran.status, said(&ran)));
        }
    }
    let must = "an end without a crash, and at most one sentence";
    Ok(Row::new("a reader closes the pipe", COMMANDS.len(), must, wrong))
}
