//! What a channel needs, in words: for the headline, for the table, and
//! whether it is decided.

use crate::planning::content::{Content, LEAST_CONTENT_DB};
use crate::planning::diagnose::ChannelDiagnosis;
use crate::planning::need::{Need, Place};
use crate::plot::Cause;
use crate::report::Sentence;
use crate::report::found::{Found, Known};
use crate::report::wording::{band, list};

/// What a channel needs.
pub(super) fn need(channel: &ChannelDiagnosis) -> Need {
    Need::new(&channel.contents, channel.border_hz, channel.reach_hz)
}

/// The point of a channel's need.
pub(super) fn content(channel: &ChannelDiagnosis, name: &str) -> Known {
    let need = need(channel);
    let (told, clause, sure) = needed(channel, &need);
    let asked = format!("{}, {LEAST_CONTENT_DB:.0} dB asked", need.rests_on());
    let interval = match need {
        Need::New(Place::Below(_)) | Need::Open(Place::Below(_)) => channel.border,
        _ => None,
    };
    let evidence = interval.map_or(asked.clone(), |i| {
        format!("{asked}; the border lies at {:.0} to {:.0} Hz", i.low, i.high)
    });
    let about = place(&need).unwrap_or("Content".into());
    let found = Found::new(&format!("{about}{name}"), told, evidence, sure)
        .figure("Hz", interval)
        .changed_by(need.would_change());
    Known { found, clause: beside(channel, &need, clause) }
}

/// Where the need is one of a stretch or of single bands.
fn place(need: &Need) -> Option<String> {
    Some(match need {
        Need::New(Place::Below(hz)) | Need::Open(Place::Below(hz)) => format!("Below {hz:.0} Hz"),
        Need::MoreThanLift(hz) => format!("Below {} Hz", band(*hz)),
        Need::New(Place::At(all)) | Need::Open(Place::At(all)) => format!("At {} Hz", bands(all)),
        _ => return None,
    })
}

fn bands(hz: &[f64]) -> String {
    list(&hz.iter().map(|hz| band(*hz)).collect::<Vec<_>>())
}

/// The clause with what stands apart from it.
fn beside(channel: &ChannelDiagnosis, need: &Need, clause: Sentence) -> Sentence {
    let clause = match need.open_up_to(&channel.contents, channel.border_hz) {
        Some(hz) => clause.say(format!(" From there to {hz:.0} Hz it is open.")),
        None => clause,
    };
    let apart = Need::apart(&channel.contents, channel.border_hz);
    match need {
        Need::New(Place::Below(_)) | Need::Open(Place::Below(_)) if !apart.is_empty() => {
            clause.say(format!(" At {} Hz noise stands in the way.", bands(&apart)))
        }
        _ => clause,
    }
}

/// What is needed: for the table, for the headline, and whether it is decided.
fn needed(channel: &ChannelDiagnosis, need: &Need) -> (&'static str, Sentence, bool) {
    let say = |words: &str| Sentence::default().say(words);
    let nothing = match Need::bottom_is_gone(&channel.contents) {
        true => " Nothing from 20 Hz up is gone",
        false => " Nothing is gone",
    };
    let place = place(need).unwrap_or_default();
    match need {
        Need::Nothing => ("nothing is needed", say(" Nothing is needed."), true),
        Need::TooMuch => {
            let clause = say(nothing)
                .say("; some bands are too strong: ")
                .name(Cause::LowBand, "take")
                .say(" them down.");
            ("there, some bands too strong", clause, true)
        }
        Need::Lift => {
            let clause = say(nothing).say(": ").name(Cause::LowBand, "lift").say(" is enough.");
            ("there: one band lifts it", clause, true)
        }
        Need::MoreThanLift(hz) => {
            let clause = say(nothing)
                .say(format!(", but below {} Hz one band does not reach: ", band(*hz)))
                .name(Cause::Octave, "make new")
                .say(", or use more bands.");
            ("present, but beyond the reach of one band", clause, true)
        }
        Need::New(_) => {
            let clause = say(&format!(" {place} content is gone: "))
                .name(Cause::Octave, "make new")
                .say(".");
            ("content is gone", clause, true)
        }
        Need::Open(_) => {
            let clause = say(&format!(" {place} {}", hides(channel)));
            ("hidden by noise: radio's or recorder's is open", clause, false)
        }
        Need::NothingClear if comes_with_the_signal(channel) => {
            let clause = say(&format!(" Everywhere {}", hides(channel)));
            ("hidden by noise that comes with the signal", clause, false)
        }
        Need::NothingClear => (
            "nothing stands clear of the noise",
            say(" Nothing stands clear of the noise; whose it is is open."),
            false,
        ),
    }
}

/// What noise does to what cannot be told.
fn hides(channel: &ChannelDiagnosis) -> &'static str {
    match comes_with_the_signal(channel) {
        true => {
            "noise hides what is left; it comes with the signal, as a codec's does: whose it is is open."
        }
        false => "noise hides what is left; whether the radio's or the recorder's is open.",
    }
}

/// Whether the noise that hides the bands in question is not there in silence.
fn comes_with_the_signal(channel: &ChannelDiagnosis) -> bool {
    let mut open = channel.contents.iter().filter(|c| c.content == Content::Uncertain);
    open.all(|c| c.with_signal)
}
