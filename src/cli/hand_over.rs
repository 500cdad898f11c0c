//! `hand-over`: one document for whoever gets the car and for the file: what was found, what was set, what
//! to write down.

use std::fs;
use std::path::{Path, PathBuf};

use crate::cli::failure::{Code, Failure};
use crate::cli::hand::Hand;
use crate::cli::{number, sounds};
use crate::report::{Input, Job, Plan, Sheet, hand_over};

const EXAMPLES: &str = "Examples:
  underpin hand-over my-plan.toml --report job.html
  underpin hand-over left.toml rear.toml --car \"grey estate, 2014\" --owner \"wants organ music\" --report job.html";

/// Makes one document of plans: job sheet, pictures before and after, verdicts, settings
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// Plans that `tune --plan` wrote
    #[arg(required = true, value_name = "PLAN.toml")]
    plans: Vec<PathBuf>,
    /// The car, in a few words
    #[arg(long, value_name = "WORDS", default_value = "")]
    car: String,
    /// What its owner wants, in their own words
    #[arg(long, value_name = "WORDS", default_value = "")]
    owner: String,
    /// Who did it
    #[arg(long, value_name = "WORDS", default_value = "")]
    by: String,
    /// A sound to hear before and after, e.g. a song recorded from the radio: five seconds of it
    #[arg(long, value_name = "FILE", requires = "report")]
    sounds: Option<PathBuf>,
    /// Where those five seconds begin
    #[arg(long, value_name = "SECONDS", default_value = "0", value_parser = number::seconds)]
    from: f64,
    #[command(flatten)]
    hand: Hand,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let inputs: Vec<&Path> = args.plans.iter().chain(&args.sounds).map(PathBuf::as_path).collect();
    let awaited = args.hand.begin(&[], &inputs)?;
    let mut plans = Vec::new();
    let mut inputs = Vec::new();
    for path in &args.plans {
        let (plan, input) = read(path)?;
        plans.push((input.name.clone(), plan));
        inputs.push(input);
    }
    let job = Job { car: args.car.clone(), owner: args.owner.clone(), by: args.by.clone() };
    let mut sheet = Sheet::new("hand-over");
    sheet.provenance.inputs = inputs;
    hand_over(&mut sheet, &job, &plans).map_err(|why| Failure::new(Code::Unreadable, why))?;
    if let (Some(path), Some((name, plan))) = (&args.sounds, plans.first()) {
        let preset = plan
            .preset()
            .map_err(|why| Failure::new(Code::Unreadable, format!("{name}: {why}")))?;
        sheet.sounds = sounds::before_and_after(path, args.from, &preset.settings)?;
        sheet.admit(
            "how it sounds in the car: the sounds are the line's, without loudspeakers and cabin",
        );
    }
    awaited.finish(&sheet)
}

/// A plan, with the name and hash of its file.
fn read(path: &Path) -> Result<(Plan, Input), Failure> {
    let name = path.display().to_string();
    let text = fs::read_to_string(path).map_err(|error| Failure::unreadable(&name, error))?;
    let plan = Plan::parse(&text)
        .map_err(|why| Failure::new(Code::Unreadable, format!("{name}: {why}")))?;
    let short = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    Ok((plan, Input::of(&short, text.as_bytes())))
}
