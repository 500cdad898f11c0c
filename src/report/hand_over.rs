//! One document of one or more plans, for whoever gets the car and for the file.
//!
//! It holds what was found with its evidence, the response before and after the equalisers, every setting, and
//! what to write down. It says nothing that the plans do not say.

use crate::curve::Curve;
use crate::planning::hardware::{response_db, sections};
use crate::plot::Cause;
use crate::plot::responses::{Drawn, Responses, STRIP, responses};
use crate::plot::scene::{Rect, Scene};
use crate::report::hardware::hardware;
use crate::report::sheet::table;
use crate::report::{Figures, Picture, Plan, Sheet, Table};
use crate::settings::Settings;

/// What only people know of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Job {
    /// The car, in a few words.
    pub car: String,
    /// What its owner wants, in their own words.
    pub owner: String,
    /// Who did it.
    pub by: String,
}

/// A line to write on.
const BLANK: &str = "____________________";

/// What is written down by hand before the car leaves (common practice, no source).
const BY_HAND: [&str; 7] = [
    "date",
    "volume step it was set at, and the highest clean one",
    "tone controls, loudness, surround, volume levelling: as left",
    "gain of each amplifier, as a mark or in volts",
    "high-pass and low-pass of each amplifier",
    "fuse at the battery, A",
    "chimes heard, box secured",
];

/// Fills `sheet` with the hand-over of `plans`, each with the name of its file.
///
/// # Errors
/// One sentence when a plan holds settings that are none.
pub fn hand_over(sheet: &mut Sheet, job: &Job, plans: &[(String, Plan)]) -> Result<(), String> {
    let mut numbers = Sheet::default();
    sheet.tables.push(job_sheet(job));
    for (i, (name, plan)) in plans.iter().enumerate() {
        let preset = plan.preset().map_err(|why| format!("{name}: {why}"))?;
        if i == 0 {
            // The numbers for hardware are those of the first plan; the others have their settings.
            sheet.finding = plan.finding.clone();
            hardware(&mut numbers, &preset.settings);
        }
        sheet.pictures.extend(before_and_after(name, plan, &preset.settings));
        let mut found = plan.table();
        found.title = format!("Found, {name}");
        sheet.tables.extend([found, set(name, plan), every_setting(name, &preset.settings)]);
    }
    let blanks = BY_HAND.map(|what| vec![what.to_string(), BLANK.into()]);
    sheet.tables.push(table(
        "By hand",
        "write it down before the car leaves",
        &["what", "so"],
        blanks,
    ));
    sheet.settings = numbers.settings;
    sheet.tables.extend(numbers.figures.iter().map(Figures::table));
    sheet.tables.extend(numbers.tables);
    sheet
        .cautions
        .push("a subwoofer hides its loudness: the ear tires of bass without noticing".into());
    sheet.next =
        "after a battery change, load the settings again and compare one take with the picture"
            .into();
    Ok(())
}

fn job_sheet(job: &Job) -> Table {
    let or_blank =
        |words: &str| if words.is_empty() { BLANK.to_string() } else { words.to_string() };
    let rows = [("car", &job.car), ("wanted", &job.owner), ("done by", &job.by)];
    let rows = rows.map(|(what, words)| vec![what.to_string(), or_blank(words)]);
    table("Job", "", &["what", "so"], rows)
}

fn set(name: &str, plan: &Plan) -> Table {
    let row = |stage: &crate::report::Proposed| {
        vec![stage.stage.clone(), stage.told.clone(), stage.cost.clone()]
    };
    let rows = plan.proposed.iter().map(row);
    table(&format!("Set, {name}"), &plan.measured, &["stage", "how", "costs"], rows)
}

fn every_setting(name: &str, settings: &Settings) -> Table {
    let rows = settings.changed().map(|(setting, plain)| {
        vec![setting.key.to_string(), setting.show(plain), setting.about.to_string()]
    });
    let title = format!("Settings, {name}");
    table(&title, "that differ from their defaults", &["key", "value", "what it is"], rows)
}

/// What the radio gives, and the same behind the equalisers.
fn before_and_after(name: &str, plan: &Plan, settings: &Settings) -> Option<Picture> {
    const RATE_HZ: f64 = 48_000.0;
    let all = sections(settings, RATE_HZ);
    let given = plan.responses.curves.iter().find(|drawn| drawn.cause == Cause::Given)?;
    let points = given.curve.points().iter();
    let after = Curve::new(points.map(|(hz, db)| (*hz, db + response_db(&all, *hz, RATE_HZ))));
    let shown = Responses {
        curves: vec![
            Drawn { name: "before".into(), ..given.clone() },
            Drawn { name: "behind the equalisers".into(), cause: Cause::Out, curve: after },
        ],
        verdicts: plan.responses.verdicts.clone(),
    };
    let draw = |width: f64| {
        let mut scene = Scene::new(width, 240.0 + STRIP + 26.0, "Before and behind the equalisers");
        responses(&mut scene, Rect::new(34.0, 4.0, width - 34.0, 212.0), &shown).map(|_| scene)
    };
    Some(Picture {
        title: format!("Before and after, {name}"),
        note: "low band, closed box and high-pass; an octave part adds new content below".into(),
        unit: "dB re the mid band".into(),
        wide: draw(Picture::WIDE)?,
        narrow: draw(Picture::NARROW)?,
    })
}
