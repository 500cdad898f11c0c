//! A plan: what was found in captures and what is proposed, in the few words a
//! window has room for. It is kept as a file, with the settings in it.

use serde::{Deserialize, Serialize};

use crate::curve::Curve;
use crate::figures::{difference, level};
use crate::planning::diagnose::Diagnosis;
use crate::planning::tune::Tuned;
use crate::plot::Cause;
use crate::plot::responses::Responses;
use crate::presets::Preset;
use crate::report::diagnosis::picture;
use crate::report::found::Found;
use crate::report::known::{headline, known};
use crate::report::sheet::table;
use crate::report::steps::family;
use crate::report::wording::band as named;
use crate::report::{Sentence, Table};
use crate::settings::{Order, Settings};

/// The schema of the files this version writes.
const SCHEMA: u32 = 1;

/// What was found and what is proposed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    schema: u32,
    /// How it was measured, in one line.
    pub measured: String,
    preset: String,
    /// What was asked for; files before it was kept have none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target: Option<Curve>,
    /// The finding.
    pub finding: Sentence,
    /// What was found, point by point.
    pub found: Vec<Found>,
    /// What is proposed, stage by stage.
    pub proposed: Vec<Proposed>,
    /// The responses with what to do where.
    pub responses: Responses,
}

/// One stage of the proposal.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Proposed {
    /// The stage.
    pub stage: String,
    /// What it does to the sound, when that has a colour.
    pub cause: Option<Cause>,
    /// How it is set.
    pub told: String,
    /// What it costs.
    pub cost: String,
}

impl Plan {
    /// The plan of a diagnosis and the tuning that answers it, its settings under the name of
    /// `preset`.
    pub fn new(found: &Diagnosis, tuned: &Tuned, preset: &Preset) -> Self {
        Self {
            schema: SCHEMA,
            measured: measured(found),
            preset: preset.to_toml(),
            finding: headline(found),
            found: known(found).into_iter().map(|known| known.found).collect(),
            proposed: proposed(tuned),
            target: Some(Curve::new(
                tuned.proposal.bands.iter().map(|band| (band.hz, band.target_db)),
            )),
            responses: steps_behind(picture(found), found),
        }
    }

    /// The proposed settings.
    ///
    /// # Errors
    /// One sentence when the file held settings that are none.
    pub fn preset(&self) -> Result<Preset, String> {
        Preset::parse(&self.preset)
    }

    /// The plan as a TOML file.
    pub fn to_toml(&self) -> String {
        toml::to_string(self).unwrap_or_default()
    }

    /// Reads a plan file.
    ///
    /// # Errors
    /// One sentence: not a plan, of a newer schema, or settings that are none.
    pub fn parse(text: &str) -> Result<Self, String> {
        let plan: Self = toml::from_str(text)
            .map_err(|error| format!("not a plan: {}", error.message().replace('\n', " ")))?;
        if plan.schema > SCHEMA {
            let newer = plan.schema;
            return Err(format!("the plan has schema {newer}; this version knows {SCHEMA}"));
        }
        plan.preset().map(|_| plan)
    }

    /// What was found as a table of the report.
    pub fn table(&self) -> Table {
        let rows = self.found.iter().map(|found| {
            let sure = if found.sure { "yes" } else { "open" };
            vec![found.what.clone(), found.told.clone(), found.evidence.clone(), sure.into()]
        });
        table("Found", "in the captures", &["what", "told", "evidence", "sure"], rows)
    }
}

/// The responses with one thin curve a volume step behind them: the bass of many radios falls as
/// they are turned up.
fn steps_behind(mut responses: Responses, found: &Diagnosis) -> Responses {
    responses.curves.splice(0..0, family(&found.takes, Cause::Difference));
    responses
}

fn proposed(tuned: &Tuned) -> Vec<Proposed> {
    let s = &tuned.proposal.settings;
    let stage = |stage: &str, cause, told: String, cost: String| Proposed {
        stage: stage.into(),
        cause,
        told,
        cost,
    };
    let room = |db: f64| format!("{} dB of room", level(db, 1));
    let mut all = vec![
        stage("octave part", Some(Cause::Octave), octave(s), room(tuned.proposal.headroom_db)),
        stage(
            "low band",
            Some(Cause::LowBand),
            format!(
                "{} dB at {:.0} Hz, {:.1} octaves, on the blend",
                difference(s.low_band_gain_db.into()),
                s.low_band_centre_hz,
                s.low_band_width_oct
            ),
            room(tuned.proposal.full_lift_db),
        ),
    ];
    let order = match s.high_pass_order {
        Order::Off => None,
        Order::Second => Some("2nd"),
        Order::Fourth => Some("4th"),
    };
    let told = order.map_or("none".into(), |n| format!("{n} order, {:.0} Hz", s.high_pass_hz));
    all.push(stage("high-pass", None, told, String::new()));
    all.push(stage("left over", None, left_over(tuned), String::new()));
    all
}

fn octave(s: &Settings) -> String {
    if s.octave_is_off() {
        return "not needed".into();
    }
    format!(
        "from {:.0}\u{2013}{:.0} Hz at {} dB, floor {:.0} Hz",
        s.octave_from_hz,
        s.octave_to_hz,
        difference(s.octave_level_db.into()),
        s.octave_floor_hz
    )
}

/// How near the target what is reached comes, then the bands that nothing reaches.
fn left_over(tuned: &Tuned) -> String {
    let Some(reach) = tuned.proposal.reach_hz else { return "the target is not followed".into() };
    let bands = tuned.proposal.bands.iter().zip(&tuned.rendered_db).rev();
    let below = bands.filter(|(band, _)| band.hz < 0.99 * reach);
    let mut told = format!("within {} dB from {} Hz", level(tuned.error_db(), 1), named(reach));
    for (band, came) in below {
        told += &format!(", {} at {}", difference(came - band.target_db), named(band.hz));
    }
    told
}

fn measured(found: &Diagnosis) -> String {
    let count = found.takes.len();
    let takes = if count == 1 { "1 take".into() } else { format!("{count} takes") };
    let clock = found
        .takes
        .iter()
        .map(|take| take.clock_ppm)
        .fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
    let full = found.takes.iter().filter(|take| take.full_scale).count();
    let full = if full == 0 { "none".into() } else { full.to_string() };
    format!("{takes}, clock {} ppm removed, {full} at full scale", difference(clock))
}
