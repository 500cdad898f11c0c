//! What goes wrong around a program: it is killed, the disk fills, the input is cut, a pipe
//! closes, two runs meet, the sound never ends.
//!
//! Every mishap is made to happen to the built program, many times, and counted. A row that
//! does not end as it must is a failure; the table is printed and written to
//! `mishaps.md` of the target folder.

mod disk;
mod endless;
mod kill;
mod meet;
mod pipe;
mod scratch;

use std::fs;

use crate::Outcome;
use crate::bundle;
use crate::shell;
use scratch::Scratch;

/// One line of the table.
struct Row {
    what: String,
    times: usize,
    must: &'static str,
    /// What went otherwise, in the order it happened.
    wrong: Vec<String>,
}

impl Row {
    fn new(what: impl Into<String>, times: usize, must: &'static str, wrong: Vec<String>) -> Row {
        Row { what: what.into(), times, must, wrong }
    }

    fn line(&self) -> String {
        let found = match self.wrong.as_slice() {
            [] => "so it was".to_owned(),
            [first, ..] => format!("{} were not: {first}", self.wrong.len()),
        };
        format!("| {} | {} | {} | {found} |\n", self.what, self.times, self.must)
    }
}

/// How much is tried.
struct Effort {
    /// Moments at which each command is killed, and turns of what depends on time.
    moments: usize,
    /// Seconds of sound through a pipe.
    pipe_s: u64,
    /// Whether a file above four gibibytes is written and read.
    large: bool,
}

const SHORT: Effort = Effort { moments: 6, pipe_s: 900, large: false };
const LONG: Effort = Effort { moments: 100, pipe_s: 36_000, large: true };

/// Makes all of it happen; `long` is the form whose figures are published.
pub(crate) fn run(long: bool) -> Outcome {
    if !cfg!(target_os = "linux") {
        return Err("full disks and killed runs are made on Linux".into());
    }
    shell::run("cargo", &["build", "--quiet", "--release", "--bin", "underpin"])?;
    let effort = if long { LONG } else { SHORT };
    let scratch = Scratch::new()?;
    print!("{HEAD}");
    let mut rows = Vec::new();
    for line in kill::COMMANDS {
        rows.push(told(kill::row(&scratch, line, effort.moments)?));
    }
    rows.extend(disk::rows(&scratch)?.into_iter().map(told));
    rows.extend(meet::rows(&scratch, effort.moments)?.into_iter().map(told));
    rows.push(told(pipe::row(&scratch)?));
    rows.extend(endless::rows(&scratch, &effort)?.into_iter().map(told));
    table(&rows)
}

const HEAD: &str = "| what happens | times | what must be | found |\n|---|---|---|---|\n";

/// Prints a row as soon as it is known.
fn told(row: Row) -> Row {
    print!("{}", row.line());
    row
}

/// Keeps the table; an error when a row went wrong.
fn table(rows: &[Row]) -> Outcome {
    let lines: String = rows.iter().map(Row::line).collect();
    let kept = bundle::target().join("mishaps.md");
    fs::write(&kept, HEAD.to_owned() + &lines).map_err(|e| format!("{}: {e}", kept.display()))?;
    match rows.iter().filter(|row| !row.wrong.is_empty()).count() {
        0 => Ok(()),
        wrong => Err(format!("{wrong} mishaps did not end as they must")),
    }
}
