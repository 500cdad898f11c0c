//! What is said of a radio whose takes were read, and what is proposed for it.

use super::{Takes, Trouble};
use crate::curve::Curve;
use crate::planning::diagnose::{ChannelDiagnosis, Diagnosis, diagnose_at};
use crate::planning::rehearse::Rehearsal;
use crate::planning::risks::Risks;
use crate::planning::tune::{Enclosure, MOST_LIFT_DB, Problem, Tuned, flat, tune};
use crate::presets::Preset;
use crate::report::{self, Plan, Sheet, diagnosis, risks, tuning};
use crate::settings::Settings;

/// Bands up to here decide whether channels need settings of their own, Hz.
const APART_TO_HZ: f64 = 170.0;
/// Channels apart by more than this, beyond their intervals, need settings of their own, dB.
const APART_DB: f64 = 1.0;

/// What is asked of the settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// What the low end shall be, dB re the mid band.
    pub target: Curve,
    /// Lowest frequency that matters, in Hz.
    pub down_to_hz: f64,
    /// The box that plays it.
    pub enclosure: Enclosure,
    /// Whether something new may be made.
    pub octave: bool,
    /// Most lift of the low band in dB.
    pub most_lift_db: f64,
    /// The channel it is for, 0 the first.
    pub channel: usize,
}

impl Default for Wish {
    fn default() -> Self {
        Self {
            target: flat(),
            down_to_hz: 31.5,
            enclosure: Enclosure::Sealed,
            octave: true,
            most_lift_db: MOST_LIFT_DB,
            channel: 0,
        }
    }
}

/// What the radio takes out, with the sheet that says it.
///
/// # Errors
/// Every take is damaged or silent.
pub fn diagnosed(read: &Takes) -> Result<(Diagnosis, Sheet), Trouble> {
    let found = diagnose_at(&read.takes, read.loop_back.as_ref(), read.at);
    let silent =
        || Trouble::Impossible("every take is damaged or silent: nothing can be said".into());
    let found = found.ok_or_else(silent)?;
    let mut sheet = read.sheet("radio, diagnosed from captures");
    diagnosis(&mut sheet, &found);
    Ok((found, sheet))
}

/// Settings that answer the radio, with the sheet that says what they do and the plan to keep;
/// `run_on` is asked before each rehearsal whether to go on.
///
/// # Errors
/// Every take is damaged or silent, a channel was asked for that is not there, or it was ended.
pub fn tuned(
    read: &Takes,
    wish: &Wish,
    run_on: impl Fn() -> bool,
) -> Result<(Sheet, Preset, Plan), Trouble> {
    let silent =
        || Trouble::Impossible("every take is damaged or silent: nothing can be tuned".into());
    let found = diagnose_at(&read.takes, read.loop_back.as_ref(), read.at);
    let mut found = found.ok_or_else(silent)?;
    put_first(&mut found, wish.channel)?;
    let (channel, others) = found.channels.split_first().ok_or_else(silent)?;
    let problem = wish.of(channel);
    let tuned = answer(&problem, &run_on)?;
    let apart = others.iter().filter(|other| is_apart(channel, other));
    let apart = apart.map(|other| Ok((other, answer(&wish.of(other), &run_on)?)));
    let apart = apart.collect::<Result<Vec<_>, Trouble>>()?;
    let mut sheet = read.sheet("tuning for a radio, from captures");
    sheet.target = Some(problem.target.clone());
    tuning(&mut sheet, &tuned);
    risks(&mut sheet, &tuned, &Risks::new(&found, &problem, &tuned));
    let preset =
        Preset::new("Tuned", "made for a radio that was measured", tuned.proposal.settings);
    let plan = Plan::new(&found, &tuned, &preset);
    sheet.tables.insert(0, plan.table());
    report::each_channel(&mut sheet, &tuned, &apart);
    Ok((sheet, preset, plan))
}

impl Wish {
    /// The question, asked of a channel.
    fn of(&self, channel: &ChannelDiagnosis) -> Problem {
        Problem {
            target: self.target.clone(),
            down_to_hz: self.down_to_hz,
            enclosure: self.enclosure,
            octave: self.octave,
            most_lift_db: self.most_lift_db,
            ..Problem::new(Curve::new(channel.curve.iter().copied()), channel.contents.clone())
        }
    }
}

/// Brings the channel that was asked for to the front.
fn put_first(found: &mut Diagnosis, asked: usize) -> Result<(), Trouble> {
    let count = found.channels.len();
    if asked >= count.max(1) {
        let sentence = format!("--channel takes 1 to {count}, not {}", asked + 1);
        return Err(Trouble::Asked(sentence));
    }
    found.channels.get_mut(..=asked).unwrap_or(&mut []).rotate_right(1.min(asked));
    Ok(())
}

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

fn answer(problem: &Problem, run_on: impl Fn() -> bool) -> Result<Tuned, Trouble> {
    let rehearsal = Rehearsal::new(&problem.given);
    tune(problem, |settings: &Settings| match run_on() {
        true => Ok(rehearsal.levels_db(settings)),
        false => Err(Trouble::Ended),
    })
}
