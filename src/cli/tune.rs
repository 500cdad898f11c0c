//! `tune`: settings for what was diagnosed and a target, rendered and measured
//! before they are proposed.

use std::path::PathBuf;

use clap::ValueEnum;

use crate::cli::failure::Failure;
use crate::cli::hand::Hand;
use crate::cli::next::Command;
use crate::cli::number;
use crate::cli::output::write_text;
use crate::cli::stop;
use crate::cli::takes::Files;
use crate::curve::Curve;
use crate::planning::take_reading::Purpose;
use crate::planning::tune::{Enclosure, MOST_LIFT_DB, flat, gentle};
use crate::takes::{Wish, tuned};

const EXAMPLES: &str = "Examples:
  underpin tune track.wav step-20.wav --preset mine.toml --plan my-plan.toml
  underpin tune track.wav step-20.wav --target gentle --ported 35
  underpin tune track.wav step-20.wav --point 160=0 --point 40=3 --no-octave";

/// Proposes settings for a radio, from captures of the track
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    #[command(flatten)]
    files: Files,
    /// What is asked for
    #[arg(long, value_enum, default_value_t)]
    target: Target,
    /// A point of a target of one's own, dB re the mid band; give it again for more
    #[arg(long, value_name = "HZ=DB", conflicts_with = "target")]
    point: Vec<String>,
    /// Lowest frequency that matters, in Hz
    #[arg(long, value_name = "HZ", default_value = "31.5", value_parser = number::hz)]
    down_to: f64,
    /// Tuning of a ported box in Hz; without it the box counts as closed
    #[arg(long, value_name = "HZ", value_parser = number::hz)]
    ported: Option<f64>,
    /// Most lift of the low band in dB, up to 12
    #[arg(long, value_name = "DB", default_value = "12", value_parser = number::db)]
    most_lift: f64,
    /// Which channel of the captures it is for, 1 the first; one that differs is told beside it
    #[arg(long, value_name = "N", default_value_t = 1)]
    channel: usize,
    /// Makes nothing new, whatever is gone
    #[arg(long)]
    no_octave: bool,
    /// Writes the settings as a preset file; - is standard output
    #[arg(long, value_name = "FILE.toml")]
    preset: Option<PathBuf>,
    /// Writes what was found and what is proposed as a file for the window's Plan
    #[arg(long, value_name = "FILE.toml")]
    plan: Option<PathBuf>,
    #[command(flatten)]
    hand: Hand,
}

/// Targets that have a name.
#[derive(Clone, Copy, Default, PartialEq, ValueEnum)]
enum Target {
    /// Level down to the bottom
    #[default]
    Flat,
    /// A rise of 2 dB per octave from 160 to 40 Hz
    Gentle,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    check("--down-to", args.down_to, 16.0, 100.0)?;
    check("--most-lift", args.most_lift, 0.0, MOST_LIFT_DB)?;
    args.ported.map_or(Ok(()), |hz| check("--ported", hz, 15.0, 75.0))?;
    if args.channel == 0 {
        return Err(Failure::usage("--channel takes 1 and more, not 0"));
    }
    let wish = args.wish()?;
    let files = [("--preset", args.preset.as_deref()), ("--plan", args.plan.as_deref())];
    let awaited = args.hand.begin(&files, &args.files.paths())?;
    let read = args.files.read(Purpose::Radio)?;
    let (mut sheet, preset, plan) = tuned(&read, &wish, || stop::check().is_ok())?;
    sheet.next = args.next();
    if let Some(path) = &args.preset {
        write_text(path, args.hand.force, &preset.to_toml())?;
    }
    if let Some(path) = &args.plan {
        write_text(path, args.hand.force, &plan.to_toml())?;
    }
    awaited.finish(&sheet)
}

impl Args {
    /// What is asked of the settings.
    fn wish(&self) -> Result<Wish, Failure> {
        Ok(Wish {
            target: self.target()?,
            down_to_hz: self.down_to,
            enclosure: self.ported.map_or(Enclosure::Sealed, Enclosure::Ported),
            octave: !self.no_octave,
            most_lift_db: self.most_lift,
            channel: self.channel - 1,
        })
    }

    /// What was proposed is proved; what was not kept is kept first.
    fn next(&self) -> String {
        match (&self.plan, &self.preset) {
            (Some(plan), _) => Command::new("prove")
                .plain("--plan")
                .file(plan)
                .that("prove that it is clean and does this on the radio"),
            (None, Some(preset)) => {
                let prove = self.files.command("prove").plain("--preset").file(preset);
                prove.that("prove that it is clean and does this on the radio")
            }
            (None, None) => {
                let tune = self.files.command("tune");
                tune.plain("--preset mine.toml --plan my-plan.toml").that("keep it")
            }
        }
    }

    fn target(&self) -> Result<Curve, Failure> {
        if self.point.is_empty() {
            return Ok(if self.target == Target::Flat { flat() } else { gentle() });
        }
        let points: Result<Vec<_>, Failure> =
            self.point.iter().map(|point| read_point(point)).collect();
        Ok(Curve::new(points?))
    }
}

fn read_point(point: &str) -> Result<(f64, f64), Failure> {
    let pair = point
        .split_once('=')
        .and_then(|(hz, db)| Some((number::hz(hz).ok()?, number::db(db).ok()?)));
    pair.filter(|(hz, db)| (10.0..=1000.0).contains(hz) && db.abs() <= 24.0).ok_or_else(|| {
        Failure::usage(format!("--point takes HZ=DB, 10 to 1000 Hz and up to 24 dB, not {point}"))
    })
}

fn check(name: &str, value: f64, low: f64, high: f64) -> Result<(), Failure> {
    match (low..=high).contains(&value) {
        true => Ok(()),
        false => Err(Failure::usage(format!("{name} takes {low} to {high}, not {value}"))),
    }
}
