//! `prove`: generated tones and noise through the line, held against limits; with a plan or with
//! captures, on the radio that was measured.

use std::fs;
use std::path::{Path, PathBuf};

use crate::cli::choose::{Choose, keys};
use crate::cli::failure::{Code, Failure};
use crate::cli::hand::Hand;
use crate::cli::next::Command;
use crate::cli::takes::Files;
use crate::curve::Curve;
use crate::planning::diagnose::diagnose_at;
use crate::planning::in_car::in_the_car;
use crate::planning::take_reading::Purpose;
use crate::planning::tune::flat;
use crate::presets::Preset;
use crate::prove::{methods, prove, prove_on};
use crate::report::{self, Plan, Proof, Provenance, Sheet};
use crate::settings::Settings;

const EXAMPLES: &str = "Examples:
  underpin prove
  underpin prove --preset kick-drum --report kick.html
  underpin prove --plan my-plan.toml
  underpin prove track.wav step-20.wav --preset mine.toml
  underpin prove track.wav before.wav after.wav --in-car
  underpin prove --set octave.method=halved --check --json";

/// Plays tones and noise through the line and says what appears where, and whether it is clean
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, after_long_help = keys(), help_template = super::TEMPLATE)]
// Without captures the line is proved alone.
#[command(mut_arg("track", |arg| arg.required(false)))]
#[command(mut_arg("captures", |arg| arg.required(false)))]
pub(super) struct Args {
    #[command(flatten)]
    files: Option<Files>,
    /// The proof in the car: the first capture is the radio alone, the last one the radio with the
    /// settings, or a device, behind it
    #[arg(long, requires = "track", conflicts_with_all = ["preset", "set", "plan"])]
    in_car: bool,
    /// Proves the settings of a plan on the radio it holds
    #[arg(long, value_name = "FILE.toml", conflicts_with_all = ["preset", "track"])]
    plan: Option<PathBuf>,
    /// Sets all methods beside each other, the octave part alone
    #[arg(long, conflicts_with = "in_car")]
    methods: bool,
    #[command(flatten)]
    choose: Choose,
    #[command(flatten)]
    hand: Hand,
    /// Ends with exit code 1 when a limit is missed
    #[arg(long)]
    check: bool,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let mut inputs: Vec<&Path> =
        args.choose.file().into_iter().chain(args.plan.as_deref()).collect();
    inputs.extend(args.files.iter().flat_map(Files::paths));
    let awaited = args.hand.begin(&[], &inputs)?;
    let (preset, mut sheet) = match (&args.plan, &args.files) {
        (Some(path), _) => of_plan(path, &args.choose)?,
        (None, Some(files)) if args.in_car => {
            (Preset::new("", "", Settings::default()), car(files)?)
        }
        (None, Some(files)) => of_captures(files, &args.choose)?,
        (None, None) => {
            let preset = args.choose.read()?;
            let sheet = prove(&preset.settings).map_err(impossible)?;
            (preset, sheet)
        }
    };
    sheet.preset = (!preset.name.is_empty()).then_some(preset.name);
    sheet.next = next(args, &sheet);
    if args.methods {
        sheet.tables.extend(methods(&preset.settings).map_err(impossible)?);
    }
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

/// A missed limit is mended first; then it is heard, measured in the car, and handed over.
fn next(args: &Args, sheet: &Sheet) -> String {
    let missed = sheet.proofs.iter().find(|proof| proof.met() == Some(false));
    match (missed, &args.plan, &args.files) {
        (Some(missed), ..) => {
            format!("change the settings and prove them again: missed is {}", missed.name)
        }
        (None, Some(plan), _) => Command::new("hand-over")
            .file(plan)
            .plain("--report job.html")
            .that("capture the car once more with the settings in it and prove that --in-car; then hand it over"),
        (None, None, Some(_)) if args.in_car => {
            Command::new("hand-over my-plan.toml --report job.html").that("write it down")
        }
        (None, None, Some(files)) => files
            .command("tune")
            .plain("--plan my-plan.toml")
            .that("hold it against what would be proposed"),
        (None, None, None) => args
            .choose
            .words()
            .fold(Command::new("render song.wav out.wav --match"), |line, word| line.word(word))
            .that("listen at equal loudness"),
    }
}

fn impossible(sentence: impl Into<String>) -> Failure {
    Failure::new(Code::Impossible, sentence)
}

/// A plan holds both: its settings and the radio they were made for.
fn of_plan(path: &Path, choose: &Choose) -> Result<(Preset, Sheet), Failure> {
    let name = path.display().to_string();
    let text = fs::read_to_string(path).map_err(|error| Failure::unreadable(&name, error))?;
    let unreadable = |why| Failure::new(Code::Unreadable, format!("{name}: {why}"));
    let plan = Plan::parse(&text).map_err(unreadable)?;
    let preset = choose.on(plan.preset().map_err(unreadable)?)?;
    let radio = plan.responses.curves.first();
    let Some(radio) = radio.filter(|drawn| !drawn.curve.points().is_empty()) else {
        return Err(impossible(format!("{name} holds no response of a radio to prove on")));
    };
    let sheet = prove_on(&preset.settings, &radio.curve, "the radio of the plan");
    Ok((preset, sheet.map_err(impossible)?))
}

/// Before and after, as captures hold them.
fn car(files: &Files) -> Result<Sheet, Failure> {
    let read = files.read(Purpose::Device)?;
    let [before, .., after] = &read.takes[..] else {
        return Err(Failure::usage(
            "--in-car takes two captures: the radio alone, then with the settings",
        ));
    };
    let heard = in_the_car(before, after).ok_or_else(|| {
        impossible("one of the captures is damaged or silent: nothing can be compared")
    })?;
    let mut sheet = read.sheet("the settings in the car, from captures before and after");
    report::car(&mut sheet, &heard, &flat());
    Ok(sheet)
}

/// The chosen settings on the first channel of the captures.
fn of_captures(files: &Files, choose: &Choose) -> Result<(Preset, Sheet), Failure> {
    let preset = choose.read()?;
    let read = files.read(Purpose::Radio)?;
    let found = diagnose_at(&read.takes, read.loop_back.as_ref(), read.at);
    let Some(channel) = found.as_ref().and_then(|found| found.channels.first()) else {
        return Err(impossible("every take is damaged or silent: there is no radio to prove on"));
    };
    let given = Curve::new(channel.bands.iter().filter(|b| b.is_shown()).map(|b| (b.hz, b.db)));
    let sheet = prove_on(&preset.settings, &given, "the radio of the captures");
    let mut sheet = sheet.map_err(impossible)?;
    let seed = sheet.provenance.seed;
    sheet.provenance = Provenance { seed, ..read.sheet("").provenance };
    Ok((preset, sheet))
}
