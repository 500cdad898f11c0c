//! Words for what the planning finds: each said once, wherever it is shown.

use crate::analysis::bands::Fraction;
use crate::figures::frequency;
use crate::planning::blocks::Alarm;
use crate::planning::channels::Hears;
use crate::planning::clean::CleanVolume;
use crate::planning::content::Content;
use crate::planning::diagnose::Diagnosis;
use crate::planning::family::Family;
use crate::planning::noise::Hum;
use crate::planning::roll_off::{RollOff, Slope};
use crate::planning::volume::Dependence;
use crate::plot::responses::Verdict;

/// The name of a third-octave band, by its exact mid frequency in Hz: `31.5`, `80` (IEC 61260-1).
pub(super) fn band(hz: f64) -> String {
    frequency(Fraction::Third.nominal_hz(hz))
}

/// `50`, `50 and 63`, `50, 63 and 80`.
pub(super) fn list(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A slope, with what would decide it.
pub(super) fn slope(roll_off: &RollOff) -> String {
    match &roll_off.slope {
        Slope::Flat => "none in the range measured".into(),
        Slope::Single(n) => format!("{} dB per octave", 6 * n),
        Slope::Undecided(orders) if orders.is_empty() => "undecided: too little was heard".into(),
        Slope::Undecided(_) if roll_off.fall_hz[0].is_none() => {
            "undecided: it begins to fall at the lower end of the range measured".into()
        }
        Slope::Undecided(orders) => format!(
            "undecided: {} dB per octave; a longer or quieter capture would decide",
            orders_in_words(orders)
        ),
        Slope::NoSingle(_) => "no single slope fits".into(),
    }
}

/// `12 or 18`.
pub(super) fn orders_in_words(orders: &[u8]) -> String {
    orders.iter().map(|n| (6 * n).to_string()).collect::<Vec<_>>().join(" or ")
}

/// A kind of roll-off.
pub(super) fn family(family: Family) -> String {
    match family {
        Family::Flat => "flat".into(),
        Family::Butterworth(n) => format!("Butterworth of order {n}"),
        Family::LinkwitzRiley(n) => format!("Linkwitz-Riley of order {n}"),
        Family::Bessel(n) => format!("Bessel of order {n}"),
        Family::SecondOrder => "second order with its own Q".into(),
        Family::Chebyshev(n) => format!("Chebyshev of order {n}"),
        Family::ThirdOrder => "third order with its own Q".into(),
        Family::Coupled(n) => format!("Butterworth of order {n} behind a coupling"),
        Family::Shelf => "shelf".into(),
    }
}

/// What a channel hears.
pub(super) fn hears(hears: Hears) -> &'static str {
    match hears {
        Hears::Left => "left",
        Hears::Right => "right",
        Hears::Sum => "sum of both",
        Hears::Unadding => "both (they do not add)",
        Hears::Nothing => "nothing",
    }
}

/// A polarity.
pub(super) fn polarity(inverts: Option<bool>) -> &'static str {
    match inverts {
        Some(true) => "inverted",
        Some(false) => "kept",
        None => "undecided: the phase of the mid band is near neither",
    }
}

/// What is wrong with a section.
pub(super) fn trouble(alarm: Alarm) -> String {
    match alarm {
        Alarm::DropOut(at) => format!("drop-out or click after {at:.0} s"),
        Alarm::LostSamples(ms) => format!("samples lost or put in ({ms:.1} ms): section left out"),
        Alarm::GainMoves(db) => format!("gain moves by {db:.1} dB"),
    }
}

/// What is left in a band, and what to do.
pub(super) fn content(content: Content) -> &'static str {
    match content {
        Content::Stands => "stands",
        Content::Attenuated => "attenuated: lift",
        Content::Beyond => "present, beyond one band: make new or use more bands",
        Content::Gone => "gone: make new",
        Content::Uncertain => "uncertain: treat as gone",
    }
}

/// The same on the strip of a picture.
pub(super) fn verdict(content: Content) -> Verdict {
    match content {
        Content::Stands => Verdict::Stands,
        Content::Attenuated => Verdict::Lift,
        Content::Beyond => Verdict::Beyond,
        Content::Gone => Verdict::MakeNew,
        Content::Uncertain => Verdict::Open,
    }
}

/// What the bass depends on.
pub(super) fn cause(found: &Diagnosis) -> String {
    let verdict = &found.volume;
    let falls = if verdict.rises { "rises" } else { "falls" };
    match verdict.dependence {
        Dependence::Fixed => "The bass stays the same at every step and level captured".into(),
        Dependence::Volume => format!("The bass {falls} with the volume: an EQ follows the knob"),
        Dependence::Limiter => "A limiter takes bass away when the level is high".into(),
        Dependence::Both => {
            format!("The bass {falls} with the volume, and a limiter takes more")
        }
        Dependence::VolumeCauseUndecided => {
            "The bass depends on the volume; the cause is undecided".into()
        }
        Dependence::LevelCauseUndecided => {
            "The bass depends on the level; what does it is not settled".into()
        }
        Dependence::Undecided => undecided(found),
    }
}

/// Why it is undecided what the bass depends on.
fn undecided(found: &Diagnosis) -> String {
    if let Some((db, radio)) = found.gain_follows_level {
        let whose = match radio {
            true => "the radio's own gain depends on the level".to_string(),
            false => "radio or recorder: undecided; a loop-back take would decide".to_string(),
        };
        return format!("The gain changes by {db:.1} dB from quiet to loud sounds, {whose}");
    }
    if found.outputs {
        return "Several outputs or sources were captured, one step each: steps are undecided"
            .into();
    }
    match found.takes.len() {
        1 => "One take says nothing of other steps: undecided".into(),
        _ => "What the bass depends on is undecided".into(),
    }
}

/// Where a tone is clean, for a table.
pub(super) fn clean(clean: CleanVolume) -> String {
    match clean {
        CleanVolume::At { volume_db, within_db } => {
            format!("volume {volume_db:.1} dB (within {within_db:.1})")
        }
        CleanVolume::AtLeast(db) => {
            format!("at least volume {db:.1} dB: no step captured distorts")
        }
        CleanVolume::Below(db) => format!("below volume {db:.1} dB, the lowest step captured"),
        CleanVolume::Unknown => {
            "undecided: a capture with room below full scale would decide".into()
        }
    }
}

/// Tones that are not the track's, by name: mains and its harmonics, and others.
pub(super) fn tones(hum: &[Hum]) -> String {
    let mains = |line: &Hum| {
        [50.0, 60.0].into_iter().find(|mains| {
            let order = (line.hz / mains).round();
            order >= 1.0 && (line.hz / (order * mains) - 1.0).abs() < 0.006 && line.moves_hz < 5.0
        })
    };
    let one = |line: &Hum| match (mains(line), line.moves_hz > 2.0) {
        (Some(_), _) => format!("mains hum at {:.1} Hz, {:.0} dBFS", line.hz, line.dbfs),
        (None, true) => format!(
            "a whine that moves about {:.0} Hz by {:.0} Hz, {:.0} dBFS",
            line.hz, line.moves_hz, line.dbfs
        ),
        (None, false) => format!("a tone at {:.1} Hz, {:.0} dBFS", line.hz, line.dbfs),
    };
    // The strongest tell what it is; the rest are their company.
    let told: Vec<String> = hum.iter().take(3).map(one).collect();
    match hum.len().saturating_sub(3) {
        0 => told.join(", "),
        more => format!("{} and {more} more", told.join(", ")),
    }
}
