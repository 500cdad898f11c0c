//! A disk without room, and one that cannot be written: small mounts of their own, which end
//! with the command. Only root may make them.

use std::process::{Command, Output};

use super::Row;
use super::scratch::{Scratch, said};

/// Each command that writes, into the folder `disk`.
const COMMANDS: [(&str, &str); 7] = [
    ("signal pink --seconds 5 -o disk/a.wav", "disk/a.wav"),
    ("render song.wav disk/a.wav", "disk/a.wav"),
    ("measure song.wav --report disk/a.html", "disk/a.html"),
    ("prove --report disk/a.html", "disk/a.html"),
    ("diagnose track.wav track.wav --report disk/a.html", "disk/a.html"),
    ("hand-over plan.toml --report disk/a.html", "disk/a.html"),
    ("demo --out disk/demo", "disk"),
];

/// Mounts `$1`, runs the rest, and lists what is left in the folder on standard output.
const ENTER: &str = "mount -t tmpfs -o \"$0\" none disk || exit 99; \"$@\" >/dev/null; code=$?; \
    ls -A disk; exit $code";

const MUST: &str = "one sentence that names the output, exit code 4, nothing left behind";

pub(super) fn rows(scratch: &Scratch) -> Result<Vec<Row>, String> {
    std::fs::create_dir_all(scratch.path("disk")).map_err(|e| e.to_string())?;
    let full = row(scratch, "full disk", "size=16k")?;
    let sealed = row(scratch, "disk that cannot be written", "ro,size=16k")?;
    Ok(vec![full, sealed])
}

fn row(scratch: &Scratch, what: &str, options: &str) -> Result<Row, String> {
    let mut wrong = Vec::new();
    for (line, output) in COMMANDS {
        let ran = inside(scratch, line, options)?;
        let (said, left) = (said(&ran), String::from_utf8_lossy(&ran.stdout).into_owned());
        let told = said.lines().count() == 1 && said.contains(output);
        if ran.status.code() != Some(4) || !told || !left.is_empty() {
            wrong.push(format!("`{line}`: {}, said {said:?}, left {left:?}", ran.status));
        }
    }
    Ok(Row::new(what, COMMANDS.len(), MUST, wrong))
}

fn inside(scratch: &Scratch, line: &str, options: &str) -> Result<Output, String> {
    let mut command = Command::new("unshare");
    command.args(["--mount", "sh", "-c", ENTER, options]).arg(scratch.program());
    command.args(line.split(' ')).current_dir(scratch.folder());
    let ran = command.output().map_err(|e| format!("unshare: {e}"))?;
    match ran.status.code() {
        Some(99) | None => Err(format!("no mount of its own (root is needed): {}", said(&ran))),
        _ => Ok(ran),
    }
}
