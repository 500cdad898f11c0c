//! `completions`: what a shell needs to complete commands and options, from their one
//! declaration.

use clap_complete::Shell;

use crate::cli::arguments;
use crate::cli::failure::Failure;
use crate::cli::output::print;

const EXAMPLES: &str = "Examples:
  underpin completions bash > ~/.local/share/bash-completion/completions/underpin
  underpin completions fish > ~/.config/fish/completions/underpin.fish";

/// Prints completions for a shell
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let mut text = Vec::new();
    clap_complete::generate(args.shell, &mut arguments(), "underpin", &mut text);
    print(&String::from_utf8_lossy(&text))
}
