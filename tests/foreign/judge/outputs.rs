//! The tables of the takes and of how two channels stand to each other.

use super::{Fate, Remark, numbers};
use crate::program::Told;
use crate::truth::Truth;

pub(super) fn judged(told: &Told, truth: &Truth) -> Vec<Remark> {
    let Some(second) = told.cell("Channels", "second channel") else { return Vec::new() };
    let note = format!("told \"{second}\", is {:?}", truth.relation);
    let open = ["undecided", "open", "not told"].iter().any(|word| second.contains(word));
    let by_frequency = second.contains("frequency-dependent");
    let Some((inverted, ms, level)) = truth.relation else {
        // Nothing plain holds: a delay said as sure is false.
        return vec![match open || by_frequency {
            true => Remark::new("second channel", Fate::Right, note),
            false => Remark::sure("second channel", truth.channels.len() < 2, note),
        }];
    };
    if open {
        return vec![Remark::new("second channel", Fate::Open, note)];
    }
    if by_frequency {
        return vec![Remark::sure("second channel", false, note)];
    }
    let polarity = second.contains("inverted") == inverted;
    let told_ms = numbers(second).first().copied().unwrap_or(f64::NAN);
    let mut remarks = vec![
        Remark::sure("second channel polarity", polarity, note.clone()),
        Remark::sure("second channel delay", (told_ms - ms).abs() <= 0.05 + 0.005 * ms, note),
    ];
    let told_level = told.cell("Channels", "level").and_then(|t| numbers(t).first().copied());
    remarks
        .extend(told_level.map(|db| Remark::figure("second channel level", db, 0.1, level, 0.05)));
    remarks
}
