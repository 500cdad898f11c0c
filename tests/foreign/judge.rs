//! Holds what the program said against what is true.
//!
//! A figure is wrong when its interval, twice as wide and with its rounding, still leaves the truth
//! outside; it is covered when the interval as told holds it. A sentence said as sure is wrong when
//! it is false. What is left open is never wrong; on clean cases it is counted.

mod bands;
mod device;
mod outputs;
mod sentences;

use crate::program::Told;
use crate::truth::Truth;

/// What became of one thing that was told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fate {
    /// True.
    Right,
    /// Said as sure, and false.
    Wrong,
    /// Left open.
    Open,
    /// Must have been said, and was not.
    Untold,
}

/// One thing that was told.
#[derive(Clone, Debug)]
pub(crate) struct Remark {
    pub(crate) what: String,
    pub(crate) fate: Fate,
    /// Whether an interval was told, and whether it holds the truth.
    pub(crate) covered: Option<bool>,
    /// Told and true, for the table of what fails.
    pub(crate) note: String,
}

impl Remark {
    pub(crate) fn new(what: impl Into<String>, fate: Fate, note: impl Into<String>) -> Self {
        Self { what: what.into(), fate, covered: None, note: note.into() }
    }

    pub(crate) fn sure(what: impl Into<String>, is_true: bool, note: impl Into<String>) -> Self {
        Self::new(what, if is_true { Fate::Right } else { Fate::Wrong }, note)
    }

    /// A figure with its half interval; `rounding` is half the last digit printed.
    pub(crate) fn figure(
        what: impl Into<String>,
        told: f64,
        half: f64,
        truth: f64,
        rounding: f64,
    ) -> Self {
        let off = (told - truth).abs();
        let fate = if off <= 2.0 * half + 2.0 * rounding { Fate::Right } else { Fate::Wrong };
        let note = format!("told {told:.2} ± {half:.2}, is {truth:.2}");
        Self { covered: Some(off <= half + rounding), ..Self::new(what, fate, note) }
    }
}

/// Everything that was told of a case, judged.
pub(crate) fn judge(told: &Told, truth: &Truth) -> Vec<Remark> {
    let mut remarks = said(told, truth);
    if told.refused {
        let fate = if truth.may_refuse { Fate::Right } else { Fate::Open };
        remarks.push(Remark::new("the whole", fate, first_line(&told.everything)));
        return remarks;
    }
    if let Some(device) = &truth.device {
        remarks.extend(device::judged(told, device));
        return remarks;
    }
    remarks.extend(bands::judged(told, truth));
    remarks.extend(outputs::judged(told, truth));
    remarks.extend(sentences::judged(told, truth));
    remarks
}

fn first_line(text: &str) -> String {
    text.chars().skip(5).take(120).collect()
}

/// Words that must stand, and words that must not.
fn said(told: &Told, truth: &Truth) -> Vec<Remark> {
    let has = |word: &&str| told.everything.contains(&word.to_lowercase());
    let mut remarks: Vec<Remark> = truth
        .must_say
        .iter()
        .filter(|words| !words.iter().any(has))
        .map(|words| Remark::new("must say", Fate::Untold, words.join(" or ")))
        .collect();
    let wrong = truth.must_not_say.iter().filter(|word| has(word));
    remarks.extend(wrong.map(|word| Remark::new("must not say", Fate::Wrong, *word)));
    if let Some((hz, _)) = truth.hum {
        let hz_text = format!("{hz:.0}");
        let named = (has(&"hum") || has(&"mains")) && has(&&*hz_text);
        if !named {
            remarks.push(Remark::new("hum", Fate::Untold, format!("{hz:.1} Hz is not named")));
        }
    }
    if truth.no_tones && has(&"hum and whine") {
        remarks.push(Remark::new("hum", Fate::Wrong, "a tone is named where there is none"));
    }
    remarks
}

/// All numbers of a text, in order; a typographic minus counts.
pub(crate) fn numbers(text: &str) -> Vec<f64> {
    let text = text.replace('\u{2212}', "-");
    let mut all = Vec::new();
    let mut word = String::new();
    for c in text.chars().chain([' ']) {
        let part = c.is_ascii_digit() || c == '.' || (c == '-' && word.is_empty());
        if part {
            word.push(c);
        } else {
            all.extend(word.trim_end_matches('.').parse::<f64>().ok());
            word.clear();
            if c == '-' {
                word.push(c);
            }
        }
    }
    all
}
