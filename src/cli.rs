//! The program: one command a file.
//!
//! Data go to standard output, everything said to a person about the run to
//! standard error. Commands return; only this file ends the program.

pub mod audio_file;
pub mod failure;
pub mod output;
pub mod stop;

mod choose;
mod closed_box;
mod completions;
mod demo;
mod diagnose;
mod gains;
mod hand;
mod hand_over;
mod identify;
mod lesson;
mod manual;
mod matched;
mod measure;
mod next;
mod number;
mod places;
mod presets;
mod progress;
mod prove;
mod render;
mod sheet;
mod signal;
mod sounds;
mod takes;
mod through;
mod track;
mod track_sheet;
mod tune;
mod unfinished;

use std::io::{self, IsTerminal, Write};
use std::panic;
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

use clap::{Parser, Subcommand};

use crate::cli::failure::{Code, Failure};

/// Help begins with what it is about and with examples.
const TEMPLATE: &str =
    "{about-with-newline}\n{before-help}{usage-heading} {usage}\n\n{all-args}{after-help}";

const EXAMPLES: &str = "Examples:
  underpin demo
  underpin signal kick --every 0.5 -o kick.wav
  underpin presets list
  underpin render song.wav lifted.wav --preset lift-the-roll-off
  underpin measure lifted.wav --against song.wav --report lifted.html
  underpin box --fc 45 --qtc 0.9 --to-hz 25
  underpin gains --power 500 --ohm 2";

const EXIT_CODES: &str = "Exit codes:
  0 done   1 a checked limit failed   2 usage   3 input unreadable
  4 output exists or cannot be written   5 nothing can be said about the input
  70 a fault of this program   130 interrupted";

/// Finds, lifts or remakes low bass, and proves what it did
#[derive(Parser)]
#[command(name = "underpin", version, before_help = EXAMPLES, after_help = EXIT_CODES)]
#[command(help_template = TEMPLATE)]
struct Program {
    /// Says nothing but errors: no progress, no remarks
    #[arg(long, short, global = true)]
    quiet: bool,
    #[command(subcommand)]
    command: Command,
}

/// A new command is a file beside this one, a line here and a line in `run`.
#[derive(Subcommand)]
enum Command {
    Demo(demo::Args),
    Lesson(lesson::Args),
    Signal(signal::Args),
    Render(render::Args),
    Measure(measure::Args),
    Prove(prove::Args),
    Diagnose(diagnose::Args),
    Tune(tune::Args),
    Identify(identify::Args),
    Box(closed_box::Args),
    Gains(gains::Args),
    HandOver(hand_over::Args),
    Presets(presets::Args),
    Completions(completions::Args),
    Man(manual::Args),
}

impl Command {
    fn run(self) -> Result<(), Failure> {
        match self {
            Command::Demo(args) => demo::run(&args),
            Command::Lesson(args) => lesson::run(&args),
            Command::Signal(args) => signal::run(&args),
            Command::Render(args) => render::run(&args),
            Command::Measure(args) => measure::run(&args),
            Command::Prove(args) => prove::run(&args),
            Command::Diagnose(args) => diagnose::run(&args),
            Command::Tune(args) => tune::run(&args),
            Command::Identify(args) => identify::run(&args),
            Command::Box(args) => closed_box::run(&args),
            Command::Gains(args) => gains::run(&args),
            Command::HandOver(args) => hand_over::run(&args),
            Command::Presets(args) => presets::run(&args),
            Command::Completions(args) => completions::run(&args),
            Command::Man(args) => manual::run(&args),
        }
    }
}

/// The one declaration of all arguments; help, completions and manual pages come from it.
pub fn arguments() -> clap::Command {
    <Program as clap::CommandFactory>::command()
}

/// Runs the program on the arguments of the process.
pub fn main() -> ExitCode {
    stop::listen();
    let program = match Program::try_parse() {
        Ok(program) => program,
        Err(error) => {
            refuse(&error);
            return exit(error.exit_code());
        }
    };
    QUIET.store(program.quiet, Ordering::Relaxed);
    let outcome = panic::catch_unwind(|| program.command.run()).unwrap_or_else(|_| {
        let sentence = "a fault of this program: please report it with the command you gave";
        Err(Failure::new(Code::Internal, sentence))
    });
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            if !failure.sentence.is_empty() {
                say(&failure.sentence);
            }
            exit(failure.code as i32)
        }
    }
}

/// Help and version to standard output, what is wrong with a command line to standard error.
fn refuse(error: &clap::Error) {
    if !error.use_stderr() {
        // A closed pipe is no error.
        let _ = error.print();
        return;
    }
    let args = std::env::args_os().map(|arg| arg.to_string_lossy().into_owned());
    match args.into_iter().find(|arg| shown(arg) != *arg) {
        Some(arg) => say(&format!("an argument cannot be understood: {arg}")),
        None => {
            let _ = error.print();
        }
    }
}

/// Whether nothing but errors shall be said.
static QUIET: AtomicBool = AtomicBool::new(false);

/// One sentence about the run to standard error, unless nothing but errors shall be said.
fn remark(sentence: &str) {
    if !QUIET.load(Ordering::Relaxed) {
        say(sentence);
    }
}

/// What to do next, to whoever sits at a terminal: a script is told nothing it did not ask for.
fn hint(next: &str) {
    if io::stderr().is_terminal() {
        remark(&format!("next: {next}"));
    }
}

/// One sentence to standard error.
fn say(sentence: &str) {
    // When nobody can be told, nothing is lost by going on.
    let _ = writeln!(io::stderr(), "underpin: {}", shown(sentence));
}

/// Words for a terminal: what would steer it (control characters, line ends, a change of the
/// writing's direction) is spelled out.
fn shown(words: &str) -> String {
    let steers =
        |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let spelled = |c: char| match steers(c) {
        true => c.escape_default().to_string(),
        false => c.to_string(),
    };
    words.chars().map(spelled).collect()
}

fn exit(code: i32) -> ExitCode {
    ExitCode::from(u8::try_from(code).unwrap_or(Code::Internal as u8))
}
