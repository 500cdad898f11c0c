//! `identify`: what a device under test does, and the nearest settings of ours.

use std::path::PathBuf;

use crate::cli::failure::{Code, Failure};
use crate::cli::hand::Hand;
use crate::cli::output::write_text;
use crate::cli::takes::Files;
use crate::planning::identify::identify;
use crate::planning::take_reading::Purpose;
use crate::presets::Preset;
use crate::report::device;
use crate::signal::track::layout::Form;

const EXAMPLES: &str = "Examples:
  underpin signal track --form long -o long.wav
  underpin identify long.wav device.wav
  underpin identify long.wav device.wav --preset found.toml --report device.html";

/// Says what a device does, from a capture of the long track through it
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    #[command(flatten)]
    files: Files,
    /// Writes the nearest settings as a preset file; - is standard output
    #[arg(long, value_name = "FILE.toml")]
    preset: Option<PathBuf>,
    #[command(flatten)]
    hand: Hand,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let awaited = args.hand.begin()?;
    let read = args.files.read(Purpose::Device)?;
    let long = read.takes.iter().find(|take| take.label.form == Form::Long);
    let Some(found) = long.and_then(identify) else {
        let sentence =
            "no take of the long form can be read: it alone holds the tones for a device";
        return Err(Failure::new(Code::Impossible, sentence));
    };
    let mut sheet = read.sheet("device, identified from a capture");
    device(&mut sheet, &found);
    if let Some(path) = &args.preset {
        let when = "made to match a device that was measured";
        write_text(
            path,
            args.hand.force,
            &Preset::new("Identified", when, found.settings).to_toml(),
        )?;
    }
    awaited.finish(&sheet)
}
