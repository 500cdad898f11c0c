//! `man`: the manual pages, from the one declaration of the arguments.

use clap::Command;
use clap_mangen::Man;

use crate::cli::arguments;
use crate::cli::failure::{Code, Failure};
use crate::cli::output::print;

const EXAMPLES: &str = "Examples:
  underpin man | man -l -
  underpin man render > underpin-render.1";

/// Prints the manual page of the program or of one command
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// The command; without it the page of the program
    command: Option<String>,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let mut program = arguments();
    // So that the pages know their full names.
    program.build();
    let page = match &args.command {
        None => program,
        Some(name) => program.find_subcommand(name).cloned().ok_or_else(|| {
            Failure::usage(format!("there is no command {name:?}; underpin --help lists them"))
        })?,
    };
    let mut text = Vec::new();
    let rendered = Man::new(with_examples(page)).render(&mut text);
    rendered.map_err(|error| Failure::new(Code::Internal, error.to_string()))?;
    print(&String::from_utf8_lossy(&text))
}

/// The same command with its examples where a manual page has them: at the end.
fn with_examples(command: Command) -> Command {
    let words = |text: Option<&clap::builder::StyledStr>| text.map(ToString::to_string);
    let end = words(command.get_after_long_help()).or_else(|| words(command.get_after_help()));
    let parts = [words(command.get_before_help()), end];
    let end = parts.into_iter().flatten().collect::<Vec<_>>().join("\n\n");
    command.after_long_help(end)
}
