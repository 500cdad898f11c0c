//! What is known of a radio, point by point: each with its value, its interval,
//! what it rests on and what would change it, and with the clause that the
//! headline takes from it. Headline, table, plan and JSON say the same because
//! they are made of the same points.

use crate::figures::level;
use crate::planning::clean::CleanVolume;
use crate::planning::diagnose::{ChannelDiagnosis, Diagnosis};
use crate::planning::roll_off::{Interval, Slope};
use crate::planning::volume::Dependence;
use crate::plot::Cause;
use crate::report::Sentence;
use crate::report::found::{Found, Known};
use crate::report::needed::{content, need};
use crate::report::steps::{known_beside, known_volume};
use crate::report::wording::{cause, hears, orders_in_words, tones};

/// All points of a diagnosis.
pub(super) fn known(found: &Diagnosis) -> Vec<Known> {
    let mut all = Vec::new();
    for (i, channel) in found.channels.iter().enumerate() {
        let name = if i == 0 { String::new() } else { format!(", {}", hears(channel.hears)) };
        all.extend([roll_off(found, channel, &name), content(channel, &name)]);
    }
    all.extend([steps(found), loudness(found), channels(found), clean(found)]);
    all.extend(hum(found));
    all.extend(known_volume(found));
    all.extend(known_beside(found));
    all
}

/// The headline: the first channel's clauses, what the bass depends on, and who differs.
pub(super) fn headline(found: &Diagnosis) -> Sentence {
    let told = Sentence::default().name(Cause::Given, "The radio");
    let Some(first) = found.channels.first() else { return told.say(" says nothing here.") };
    let points = [roll_off(found, first, ""), content(first, "")];
    let mut told = told;
    points.into_iter().for_each(|point| told.said.extend(point.clause.said));
    let other = found.channels[1..].iter().find(|other| differs(first, other));
    if let Some(other) = other {
        told = told.say(format!(" The {} channel differs: see its tables.", hears(other.hears)));
    }
    told.say(format!(" {}.", cause(found)))
}

/// Whether two channels are not one radio's: corners apart, or another need.
fn differs(a: &ChannelDiagnosis, b: &ChannelDiagnosis) -> bool {
    let corners = match (a.roll_off.fall_hz[0], b.roll_off.fall_hz[0]) {
        (Some(a), Some(b)) => a.low > 1.02 * b.high || b.low > 1.02 * a.high,
        (None, None) => false,
        _ => true,
    };
    corners || std::mem::discriminant(&need(a)) != std::mem::discriminant(&need(b))
}

fn roll_off(found: &Diagnosis, channel: &ChannelDiagnosis, name: &str) -> Known {
    let fall = channel.roll_off.fall_hz[0];
    let at = fall.map_or(String::new(), |f| format!(", 3 dB down at {:.0} Hz", f.value));
    let range = fall.map_or("within the range measured".into(), |f| {
        format!("{:.1} to {:.1} Hz at 95 %", f.low, f.high)
    });
    let needs = "a longer or quieter capture would decide";
    let (told, clause, evidence, sure) = match &channel.roll_off.slope {
        Slope::Flat => {
            ("none: the bass is whole".into(), "gives its bass whole".into(), range, true)
        }
        Slope::Single(n) => {
            let slope = format!("{} dB per octave", 6 * n);
            (format!("{slope}{at}"), format!("rolls off at {slope}"), range, true)
        }
        Slope::Undecided(orders) if fall.is_some() => (
            format!("{} dB per octave{at}", orders_in_words(orders)),
            "rolls off, with a slope that is not decided".into(),
            needs.into(),
            false,
        ),
        Slope::Undecided(_) => (
            "begins to fall at the lower end of the range measured".into(),
            "begins to fall at the lower end of the range measured, with a slope that is not decided"
                .into(),
            needs.into(),
            false,
        ),
        Slope::NoSingle(_) => {
            (format!("no single slope{at}"), "has no single slope".into(), range, true)
        }
    };
    let clause = match found.without_recorder {
        true => format!(" {clause}{at}."),
        false => format!(", recorder included, {clause}{at}."),
    };
    let whose = match found.without_recorder {
        true => "",
        false => "; of radio and recorder together",
    };
    let found = Found::new(&format!("Roll-off{name}"), told, format!("{evidence}{whose}"), sure)
        .figure("Hz", fall)
        .changed_by(match found.without_recorder {
            true => "other volume steps",
            false => "a loop-back take: player straight into the recorder",
        });
    Known { found, clause: clause.into() }
}

fn steps(found: &Diagnosis) -> Known {
    let verdict = &found.volume;
    let told = match verdict.dependence {
        Dependence::Fixed | Dependence::Limiter => "the same at every step captured",
        Dependence::Volume | Dependence::Both if verdict.rises => "the bass rises with the volume",
        Dependence::Volume | Dependence::Both => "the bass falls with the volume",
        Dependence::VolumeCauseUndecided => "the bass changes with the volume",
        Dependence::LevelCauseUndecided if verdict.steps > 1 => {
            "the same at every step captured, for quiet sounds"
        }
        _ if found.takes.len() == 1 => "one step was captured",
        _ => "undecided",
    };
    let seen = format!("moves {} dB, 20 to 100 Hz", level(verdict.range_db, 1));
    let needs = match verdict.dependence {
        Dependence::LevelCauseUndecided if verdict.steps > 1 => None,
        other => other.needs(),
    };
    let found = Found::new("Volume steps", told, needs.map_or(seen, String::from), needs.is_none())
        .changed_by(needs.unwrap_or("steps beyond those captured"));
    Known { found, clause: Sentence::default() }
}

fn loudness(found: &Diagnosis) -> Known {
    let verdict = &found.volume;
    let whole = found.gain_follows_level;
    let told = match verdict.dependence {
        Dependence::Limiter | Dependence::Both => "a limiter takes bass away when it is loud",
        Dependence::LevelCauseUndecided => "the bass depends on the level",
        _ if whole.is_some() => "the gain depends on the level",
        Dependence::Fixed | Dependence::Volume => "no limiter up to \u{2212}6 dBFS",
        Dependence::VolumeCauseUndecided | Dependence::Undecided => "undecided",
    };
    let seen = match whole {
        Some((db, _)) => format!("{} dB from quiet to loud, all bands", level(db, 1)),
        None => format!("{} dB at most in one step", level(verdict.level_difference_db, 1)),
    };
    let sure = match whole {
        Some((_, radio)) => radio || verdict.dependence.has_level(),
        None => verdict.dependence.needs().is_none() || verdict.dependence.has_level(),
    };
    let found = Found::new("Level", told, seen, sure)
        .changed_by("louder sounds, or a loop-back take that shows what the recorder does");
    Known { found, clause: Sentence::default() }
}

fn channels(found: &Diagnosis) -> Known {
    let Some(relation) = &found.relation else {
        let heard = found.channels.first().map_or("nothing", |c| hears(c.hears));
        let needs = "capture two to know whether they sum";
        let found = Found::new("Channels", format!("one captured: {heard}"), needs, false);
        return Known { found: found.changed_by(needs), clause: Sentence::default() };
    };
    let worst = relation.sum_loss_db.iter().map(|loss| loss.1).fold(0.0, f64::min);
    let told = match relation.inverted {
        Some(true) => "the second is inverted",
        Some(false) if worst > -1.0 => "in phase",
        Some(false) => "one comes later",
        None => "the phase between them depends on frequency",
    };
    let evidence = format!("the sum is {} dB short", level(-worst, 1));
    let found = Found::new("Channels", told, evidence, true).changed_by("another wiring");
    Known { found, clause: Sentence::default() }
}

fn clean(found: &Diagnosis) -> Known {
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
    let interval = match bass {
        CleanVolume::At { volume_db, within_db } => Some(Interval {
            value: volume_db,
            low: volume_db - within_db,
            high: volume_db + within_db,
        }),
        _ => None,
    };
    let found = Found::new("Clean at 45 Hz", told(bass), evidence, sure)
        .figure("dB of volume", interval)
        .changed_by("steps between those captured");
    Known { found, clause: Sentence::default() }
}

/// Tones that are not the track's, in the take that was judged.
fn hum(found: &Diagnosis) -> Option<Known> {
    let take = found.takes.get(found.judged_by)?;
    let strongest = take.hum.first()?;
    let told = tones(&take.hum);
    let found = Found::new("Hum and whine", told, "heard in the track's silence", true)
        .figure(
            "Hz",
            Some(Interval {
                value: strongest.hz,
                low: strongest.hz - strongest.moves_hz / 2.0 - 0.3,
                high: strongest.hz + strongest.moves_hz / 2.0 + 0.3,
            }),
        )
        .changed_by("another wiring: one ground, a transformer, the charger off");
    Some(Known { found, clause: Sentence::default() })
}
