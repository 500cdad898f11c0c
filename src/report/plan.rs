//! A plan: what was found in captures and what is proposed, in the few words a
//! window has room for. It is kept as a file, with the settings in it.

use serde::{Deserialize, Serialize};

use crate::figures::{difference, level};
use crate::planning::clean::CleanVolume;
use crate::planning::content::{BandContent, Content, LEAST_CONTENT_DB};
use crate::planning::diagnose::{ChannelDiagnosis, Diagnosis};
use crate::planning::roll_off::Slope;
use crate::planning::tune::Tuned;
use crate::planning::volume::Dependence;
use crate::plot::Cause;
use crate::plot::responses::Responses;
use crate::presets::Preset;
use crate::report::diagnosis::{finding, hears, picture, table};
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
    /// The finding.
    pub finding: Sentence,
    /// What was found, point by point.
    pub found: Vec<Found>,
    /// What is proposed, stage by stage.
    pub proposed: Vec<Proposed>,
    /// The responses with what to do where.
    pub responses: Responses,
}

/// One point that was found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Found {
    /// What it is about.
    pub what: String,
    /// What is so.
    pub told: String,
    /// By what one knows, or what would decide it.
    pub evidence: String,
    /// Whether it is decided.
    pub sure: bool,
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
        let channel = found.channels.first();
        let points = [
            channel.map(roll_off),
            Some(volume(found)),
            Some(loudness(found)),
            Some(channels(found)),
            channel.map(content),
            Some(clean(found)),
        ];
        Self {
            schema: SCHEMA,
            measured: measured(found),
            preset: preset.to_toml(),
            finding: finding(found),
            found: points.into_iter().flatten().collect(),
            proposed: proposed(tuned),
            responses: picture(found),
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

fn point(what: &str, told: impl Into<String>, evidence: impl Into<String>, sure: bool) -> Found {
    Found { what: what.into(), told: told.into(), evidence: evidence.into(), sure }
}

fn roll_off(channel: &ChannelDiagnosis) -> Found {
    let fall = channel.roll_off.fall_hz[0];
    let at = fall.map_or(String::new(), |f| format!(", 3 dB down at {:.0} Hz", f.value));
    let range = fall.map_or("within the range measured".into(), |f| {
        format!("{:.1} to {:.1} Hz at 95 %", f.low, f.high)
    });
    match &channel.roll_off.slope {
        Slope::Flat => point("Roll-off", "none: the bass is whole", range, true),
        Slope::Single(n) => point("Roll-off", format!("{} dB per octave{at}", 6 * n), range, true),
        Slope::Undecided(orders) => {
            let all: Vec<String> = orders.iter().map(|n| (6 * n).to_string()).collect();
            let needs = "a longer or quieter capture would decide";
            point("Roll-off", format!("{} dB per octave{at}", all.join(" or ")), needs, false)
        }
        Slope::NoSingle(_) => point("Roll-off", format!("no single slope{at}"), range, true),
    }
}

fn volume(found: &Diagnosis) -> Found {
    let verdict = &found.volume;
    let told = match verdict.dependence {
        Dependence::Fixed | Dependence::Limiter => "the same at every step captured",
        Dependence::Volume | Dependence::Both => "the bass falls with the volume",
        Dependence::VolumeCauseUndecided => "the bass changes with the volume",
        Dependence::Undecided => "undecided",
    };
    let seen = format!("moves {} dB, 31.5 to 100 Hz", level(verdict.range_db, 1));
    let needs = verdict.dependence.needs();
    point("Volume steps", told, needs.map_or(seen, String::from), needs.is_none())
}

fn loudness(found: &Diagnosis) -> Found {
    let verdict = &found.volume;
    let told = match verdict.dependence {
        Dependence::Limiter | Dependence::Both => "a limiter takes bass away when it is loud",
        Dependence::Fixed | Dependence::Volume => "no limiter up to \u{2212}6 dBFS",
        Dependence::VolumeCauseUndecided | Dependence::Undecided => "undecided",
    };
    let seen = format!("{} dB at most in one step", level(verdict.level_difference_db, 1));
    point("Level", told, seen, verdict.dependence.needs().is_none())
}

fn channels(found: &Diagnosis) -> Found {
    let Some(relation) = &found.relation else {
        let heard = found.channels.first().map_or("nothing", |c| hears(c.hears));
        let needs = "capture two to know whether they sum";
        return point("Channels", format!("one captured: {heard}"), needs, false);
    };
    let worst = relation.sum_loss_db.iter().map(|loss| loss.1).fold(0.0, f64::min);
    let told = match relation.inverted {
        Some(true) => "the second is inverted",
        Some(false) if worst > -1.0 => "in phase",
        Some(false) => "one comes later",
        None => "the phase between them depends on frequency",
    };
    point("Channels", told, format!("the sum is {} dB short", level(-worst, 1)), true)
}

fn content(channel: &ChannelDiagnosis) -> Found {
    let gone = |c: &&BandContent| c.content != Content::Attenuated;
    let Some(last) = channel.contents.iter().rfind(gone) else {
        return point("Content", "nothing is gone", "every band stands clear of the noise", true);
    };
    let evidence = format!(
        "{} dB over noise at {:.0} Hz, {LEAST_CONTENT_DB:.0} asked",
        level(last.over_noise_db, 0),
        last.hz
    );
    let border = channel.border_hz.map_or("Content".into(), |hz| format!("Below {hz:.0} Hz"));
    let sure = last.content == Content::Gone;
    let told = if sure { "content is gone" } else { "content is gone or hidden" };
    point(&border, told, evidence, sure)
}

fn clean(found: &Diagnosis) -> Found {
    let [level_tone, bass] = found.clean;
    let told = |clean: CleanVolume| match clean {
        CleanVolume::At { volume_db, .. } => format!("up to volume {} dB", level(volume_db, 1)),
        CleanVolume::AtLeast(db) => format!("at every step captured, to {} dB", level(db, 1)),
        CleanVolume::Below(db) => format!("not at {} dB, the lowest step", level(db, 1)),
        CleanVolume::Unknown => "undecided".into(),
    };
    let sure = bass != CleanVolume::Unknown;
    let evidence = match level_tone {
        CleanVolume::Unknown => "a capture with room below full scale would decide".into(),
        clean => format!("997 Hz: {}", told(clean)),
    };
    point("Clean at 45 Hz", told(bass), evidence, sure)
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
    let mut told = format!("within {} dB from {reach:.0} Hz", level(tuned.error_db(), 1));
    for (band, came) in below {
        told += &format!(", {} at {:.0}", difference(came - band.target_db), band.hz);
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
