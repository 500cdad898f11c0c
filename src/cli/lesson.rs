//! `lesson`: the course, a lesson's question, its answer measured there and then.

use crate::cli::failure::{Code, Failure};
use crate::cli::hand::Hand;
use crate::cli::output::print;
use crate::cli::stop;
use crate::lessons::{ALL, Lesson, overview};
use crate::report::{Figures, Picture, Sheet};

const EXAMPLES: &str = "Examples:
  underpin lesson
  underpin lesson 4
  underpin lesson 4 --show
  underpin lesson 1 --turn -12
  underpin lesson 4 --report two-tones.html
  underpin lesson --report course.html";

/// Teaches: a question first, then the answer, measured by the line itself
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// Number of the lesson; without it the whole course at a glance
    #[arg(value_name = "N")]
    number: Option<usize>,
    /// Shows the answer, with figures measured just now
    #[arg(long)]
    show: bool,
    /// Turns what can be turned in the lesson to this
    #[arg(long, value_name = "VALUE", requires = "number", allow_hyphen_values = true)]
    turn: Option<f64>,
    #[command(flatten)]
    hand: Hand,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let shown = args.show || args.turn.is_some() || args.hand.is_wanted();
    match args.number {
        Some(number) => {
            let lesson = number.checked_sub(1).and_then(|i| ALL.get(i)).ok_or_else(|| {
                Failure::usage(format!("there are lessons 1 to {}, not {number}", ALL.len()))
            })?;
            args.turn.map_or(Ok(()), |value| check(lesson, value))?;
            match shown {
                false => print(&lesson.asked(number)),
                true => {
                    let awaited = args.hand.begin(&[], &[])?;
                    awaited.finish(&lesson.sheet(number, args.turn).map_err(internal)?)
                }
            }
        }
        None => {
            let awaited = args.hand.begin(&[], &[])?;
            awaited.finish(&course(shown)?)
        }
    }
}

/// Refuses what cannot be turned to.
fn check(lesson: &Lesson, value: f64) -> Result<(), Failure> {
    let (low, high) = lesson.turn.range;
    let unit = lesson.turn.unit;
    match (low..=high).contains(&value) {
        true => Ok(()),
        false => Err(Failure::usage(format!("--turn takes {low} to {high} {unit}, not {value}"))),
    }
}

fn internal(why: String) -> Failure {
    Failure::new(Code::Internal, why)
}

/// All lessons at a glance; with their answers where they are to be shown.
fn course(shown: bool) -> Result<Sheet, Failure> {
    let mut sheet = Sheet::new("the course");
    sheet.tables.push(overview());
    sheet.next = "begin: underpin lesson 1".into();
    if shown {
        for (i, lesson) in ALL.iter().enumerate() {
            stop::check()?;
            answer(&mut sheet, i + 1, lesson)?;
        }
    }
    Ok(sheet)
}

/// The figures of a lesson under its question and its answer, and its pictures.
fn answer(sheet: &mut Sheet, number: usize, lesson: &Lesson) -> Result<(), Failure> {
    let setups = lesson.setups(None);
    let played = lesson.play(&setups).map_err(internal)?;
    let title = format!("{number}. {}", lesson.title);
    let note = format!("{} {}", lesson.question, lesson.told());
    sheet.figures.push(Figures { title, note, ..lesson.figures(&played) });
    let stills = lesson.stills(&setups, &played).into_iter();
    sheet.pictures.extend(stills.map(|still| {
        let title = format!("lesson {number}, {}", still.title);
        Picture { title, ..still }
    }));
    Ok(())
}
