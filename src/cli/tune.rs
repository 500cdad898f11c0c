//! `tune`: settings for what was diagnosed and a target, rendered and measured
//! before they are proposed.

use std::path::PathBuf;

use clap::ValueEnum;

use crate::cli::failure::{Code, Failure};
use crate::cli::hand::Hand;
use crate::cli::next::Command;
use crate::cli::number;
use crate::cli::output::write_text;
use crate::cli::stop;
use crate::cli::takes::Files;
use crate::curve::Curve;
use crate::planning::diagnose::{ChannelDiagnosis, Diagnosis, diagnose_at};
use crate::planning::rehearse::Rehearsal;
use crate::planning::risks::Risks;
use crate::planning::take_reading::Purpose;
use crate::planning::tune::{Enclosure, MOST_LIFT_DB, Problem, Tuned, flat, gentle, tune};
use crate::presets::Preset;
use crate::report::{self, Plan, risks, tuning};

const EXAMPLES: &str = "Examples:
  underpin tune track.wav step-20.wav --preset mine.toml --plan my-plan.toml
  underpin tune track.wav step-20.wav --target gentle --ported 35
  underpin tune track.wav step-20.wav --point 160=0 --point 40=3 --no-octave";

/// Why nothing can be tuned.
const SILENT: &str = "every take is damaged or silent: nothing can be tuned";

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
    let target = args.target()?;
    let files = [("--preset", args.preset.as_deref()), ("--plan", args.plan.as_deref())];
    let awaited = args.hand.begin(&files, &args.files.paths())?;
    let read = args.files.read(Purpose::Radio)?;
    let found = diagnose_at(&read.takes, read.loop_back.as_ref(), read.at);
    let mut found = found.ok_or_else(|| Failure::new(Code::Impossible, SILENT))?;
    args.put_first(&mut found)?;
    let Some((channel, others)) = found.channels.split_first() else {
        return Err(Failure::new(Code::Impossible, SILENT));
    };
    let problem = args.problem(target, channel);
    let tuned = tuned(&problem)?;
    let apart = others.iter().filter(|other| is_apart(channel, other));
    let apart = apart.map(|other| Ok((other, tuned_for(args, &problem, other)?)));
    let apart = apart.collect::<Result<Vec<_>, Failure>>()?;
    let mut sheet = read.sheet("tuning for a radio, from captures");
    sheet.target = Some(problem.target.clone());
    tuning(&mut sheet, &tuned);
    risks(&mut sheet, &tuned, &Risks::new(&found, &problem, &tuned));
    let preset =
        Preset::new("Tuned", "made for a radio that was measured", tuned.proposal.settings);
    let plan = Plan::new(&found, &tuned, &preset);
    sheet.tables.insert(0, plan.table());
    report::each_channel(&mut sheet, &tuned, &apart);
    sheet.next = args.next();
    if let Some(path) = &args.preset {
        write_text(path, args.hand.force, &preset.to_toml())?;
    }
    if let Some(path) = &args.plan {
        write_text(path, args.hand.force, &plan.to_toml())?;
    }
    awaited.finish(&sheet)
}

/// Bands up to here decide whether channels need settings of their own, Hz.
const APART_TO_HZ: f64 = 170.0;
/// Channels apart by more than this, beyond their intervals, need settings of their own, dB.
const APART_DB: f64 = 1.0;

/// Whether two channels differ by so much that one answer does not serve both.
fn is_apart(one: &ChannelDiagnosis, other: &ChannelDiagnosis) -> bool {
    let shown = one.bands.iter().filter(|band| band.hz < APART_TO_HZ && band.is_shown());
    shown.into_iter().any(|a| {
        let same = other.bands.iter().find(|b| b.hz == a.hz);
        same.is_some_and(|b| {
            !b.is_shown() || (a.db - b.db).abs() > APART_DB + a.half_95_db.hypot(b.half_95_db)
        })
    })
}

fn tuned(problem: &Problem) -> Result<Tuned, Failure> {
    let rehearsal = Rehearsal::new(&problem.given);
    tune(problem, |settings| {
        stop::check()?;
        Ok(rehearsal.levels_db(settings))
    })
}

/// The same question, asked of another channel.
fn tuned_for(args: &Args, asked: &Problem, channel: &ChannelDiagnosis) -> Result<Tuned, Failure> {
    tuned(&args.problem(asked.target.clone(), channel))
}

impl Args {
    /// Brings the channel that was asked for to the front.
    fn put_first(&self, found: &mut Diagnosis) -> Result<(), Failure> {
        let count = found.channels.len();
        if !(1..=count.max(1)).contains(&self.channel) {
            let sentence = format!("--channel takes 1 to {count}, not {}", self.channel);
            return Err(Failure::usage(sentence));
        }
        let asked = self.channel - 1;
        found.channels.get_mut(..=asked).unwrap_or(&mut []).rotate_right(1.min(asked));
        Ok(())
    }

    fn problem(&self, target: Curve, channel: &ChannelDiagnosis) -> Problem {
        Problem {
            target,
            down_to_hz: self.down_to,
            enclosure: self.ported.map_or(Enclosure::Sealed, Enclosure::Ported),
            octave: !self.no_octave,
            most_lift_db: self.most_lift,
            ..Problem::new(Curve::new(channel.curve.iter().copied()), channel.contents.clone())
        }
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
