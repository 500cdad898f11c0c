//! `prove`: generated tones and noise through the line, held against limits.

use crate::cli::choose::{Choose, keys};
use crate::cli::failure::{Code, Failure};
use crate::cli::hand::Hand;
use crate::report::Proof;

const EXAMPLES: &str = "Examples:
  underpin prove
  underpin prove --preset kick-drum --report kick.html
  underpin prove --set octave.method=halved --check --json";

/// Plays tones and noise through the line and says what appears where, and whether it is clean
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, after_long_help = keys(), help_template = super::TEMPLATE)]
pub(super) struct Args {
    #[command(flatten)]
    choose: Choose,
    #[command(flatten)]
    hand: Hand,
    /// Ends with exit code 1 when a limit is missed
    #[arg(long)]
    check: bool,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let preset = args.choose.read()?;
    let file: Vec<&std::path::Path> = args.choose.file().into_iter().collect();
    let awaited = args.hand.begin(&[], &file)?;
    let mut sheet = crate::prove::prove(&preset.settings)
        .map_err(|sentence| Failure::new(Code::Impossible, sentence))?;
    sheet.preset = (!preset.name.is_empty()).then_some(preset.name);
    awaited.finish(&sheet)?;
    let missed: Vec<&Proof> = sheet.proofs.iter().filter(|p| p.met() == Some(false)).collect();
    match (args.check, missed.as_slice()) {
        (true, [first, rest @ ..]) => Err(Failure::new(
            Code::LimitFailed,
            match rest.len() {
                0 => format!("a limit is missed: {}", first.name),
                more => format!("{} limits are missed, the first: {}", more + 1, first.name),
            },
        )),
        _ => Ok(()),
    }
}
