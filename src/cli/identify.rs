//! `identify`: what a device under test does, and the nearest settings of ours.

use std::path::PathBuf;

use crate::cli::failure::Failure;
use crate::cli::hand::Hand;
use crate::cli::next::Command;
use crate::cli::number;
use crate::cli::output::write_text;
use crate::cli::takes::Files;
use crate::planning::clip_light::ClipLight;
use crate::planning::take_reading::Purpose;
use crate::presets::Preset;
use crate::takes::{device_sheet, identified};

const EXAMPLES: &str = "Examples:
  underpin signal track --form long -o long.wav
  underpin identify long.wav device.wav
  underpin identify long.wav device.wav --light 131.5
  underpin identify long.wav knob-low.wav knob-middle.wav knob-high.wav
  underpin identify long.wav device.wav --preset found.toml --report device.html";

/// Says what a device does, from captures of the long track through it
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    #[command(flatten)]
    files: Files,
    /// Writes the nearest settings as a preset file; - is standard output
    #[arg(long, value_name = "FILE.toml")]
    preset: Option<PathBuf>,
    /// When its clip light was first seen during the rising tone, in seconds of the capture
    #[arg(long, value_name = "SECONDS", value_parser = number::seconds)]
    light: Option<f64>,
    #[command(flatten)]
    hand: Hand,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let preset = ("--preset", args.preset.as_deref());
    let awaited = args.hand.begin(&[preset], &args.files.paths())?;
    let read = args.files.read(Purpose::Device)?;
    let all = identified(&read)?;
    let Some((take, found)) = all.first() else { return Ok(()) };
    let light = args.light.map(|seen_s| ClipLight::new(take, seen_s)).transpose();
    let light = light.map_err(Failure::usage)?;
    let mut sheet = device_sheet(&read, &all, light.as_ref());
    sheet.next = match &args.preset {
        Some(path) => {
            let prove = Command::new("prove").plain("--preset").file(path);
            prove.that("hold the nearest settings against the device")
        }
        None => args
            .files
            .command("identify")
            .plain("--preset found.toml")
            .that("keep the nearest settings"),
    };
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
