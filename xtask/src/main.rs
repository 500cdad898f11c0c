//! The project's chores, one file a verb: `cargo xtask VERB`.
//!
//! Chores run other programs; none of them is needed to build or use the project.

mod check;
mod data;
mod shell;

use std::process::ExitCode;

type Outcome = Result<(), String>;

const USAGE: &str = "\
cargo xtask VERB
  check    format, lints, tests, documentation: needs Rust and a C compiler
  data     fetch open recordings into data/ (Debian's apt)";

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let outcome = match args.next().as_deref() {
        Some("check") => check::run(),
        Some("data") => data::run(),
        _ => Err(USAGE.to_owned()),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
}
