//! `diagnose`: what the radio takes out, and what that depends on.

use crate::cli::failure::Failure;
use crate::cli::hand::Hand;
use crate::cli::takes::Files;
use crate::planning::diagnose::Diagnosis;
use crate::planning::take_reading::Purpose;
use crate::takes::diagnosed;

const EXAMPLES: &str = "Examples:
  underpin signal track -o track.wav --sheet track.txt
  underpin diagnose track.wav step-10.wav step-20.wav step-30.wav
  underpin diagnose track.wav \"step 20=a.wav\" \"step 30=b.wav\" --at \"step 20\"
  underpin diagnose track.wav front=a.wav rear=b.wav
  underpin diagnose track.wav phone.m4a --loop-back phone-alone.m4a --report radio.html";

/// Says what a radio takes out, from captures of the track
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    #[command(flatten)]
    files: Files,
    #[command(flatten)]
    hand: Hand,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let awaited = args.hand.begin(&[], &args.files.paths())?;
    let read = args.files.read(Purpose::Radio)?;
    let (found, mut sheet) = diagnosed(&read)?;
    sheet.next = next(&args.files, &found);
    awaited.finish(&sheet)
}

/// One step says nothing of the others, so they come first; then settings.
fn next(files: &Files, found: &Diagnosis) -> String {
    let tune = files.command("tune").plain("--preset mine.toml --plan my-plan.toml");
    match found.takes.len() {
        1 => tune.that(
            "record three more volume steps, then give them all, for settings that answer it",
        ),
        _ => tune.that("let it propose settings that answer this"),
    }
}
