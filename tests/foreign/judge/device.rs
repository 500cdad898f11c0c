//! What is said of a device.

use super::{Fate, Remark, numbers};
use crate::program::Told;
use crate::truth::{Clip, DeviceTruth, Octave};

/// Words by which a report says that its own terms do not hold the device.
const MISFIT: [&str; 3] = ["do not describe its response", "misfit", "does not fit"];

pub(super) fn judged(told: &Told, truth: &DeviceTruth) -> Vec<Remark> {
    let cell = |row: &str| told.cell("Device", row).unwrap_or_default();
    let mut remarks = vec![
        polarity(cell("polarity"), truth),
        clip(cell("clip point"), truth.clip),
        octave(cell("octave part"), truth.octave, &told.everything),
    ];
    remarks.extend(direct(cell("low band"), cell("high-pass"), truth, &told.everything));
    remarks
}

fn polarity(told: &str, truth: &DeviceTruth) -> Remark {
    let note = format!("told \"{told}\"");
    match (told.contains("inverted"), told.contains("kept")) {
        (true, false) => Remark::sure("polarity", truth.inverts, note),
        (false, true) => Remark::sure("polarity", !truth.inverts, note),
        _ => Remark::new("polarity", Fate::Open, note),
    }
}

fn clip(told: &str, truth: Clip) -> Remark {
    let note = format!("told \"{told}\", is {truth:?}");
    let says = |words: &[&str]| words.iter().any(|word| told.contains(word));
    if says(&["undecided", "open", "not told"]) {
        return Remark::new("clip point", Fate::Open, note);
    }
    let hard =
        numbers(told).first().copied().filter(|_| !says(&["soft", "1 %", "below", "no hard"]));
    match (truth, hard) {
        // A tenth of a decibel is what the levels of the ramp carry.
        (Clip::At(at), Some(db)) => Remark::sure("clip point", (db - at).abs() < 0.3, note),
        (Clip::Never, None) => Remark::sure("clip point", says(&["not reached"]), note),
        (Clip::Below, None) => Remark::sure("clip point", !says(&["not reached"]), note),
        (Clip::Soft, None) => Remark::sure("clip point", true, note),
        _ => Remark::sure("clip point", false, note),
    }
}

fn octave(told: &str, truth: Octave, all: &str) -> Remark {
    let note = format!("told \"{told}\", is {truth:?}");
    let level = numbers(told).first().copied();
    let says = |words: &[&str]| words.iter().any(|word| all.contains(word));
    match (truth, level) {
        (Octave::None, None) => Remark::new("octave part", Fate::Right, note),
        (Octave::At(db), Some(told)) => Remark::sure("octave part", (told - db).abs() < 0.7, note),
        // One level for all tones and levels is false; with its law told it is not.
        (Octave::Gated, _) => {
            Remark::sure("octave part", says(&["opens", "gate", "threshold"]), note)
        }
        (Octave::Sloping, _) => Remark::sure(
            "octave part",
            level.is_none() || says(&["falls", "slope", "varies", "misfit"]),
            note,
        ),
        _ => Remark::sure("octave part", false, note),
    }
}

fn direct(band: &str, high_pass: &str, truth: &DeviceTruth, all: &str) -> Vec<Remark> {
    let misfit = MISFIT.iter().any(|word| all.contains(word));
    if !truth.is_ours {
        let note = format!("told \"{band}\" and \"{high_pass}\", which do not hold it");
        let silent = numbers(band).is_empty() && numbers(high_pass).is_empty();
        return vec![Remark::sure("direct response", misfit || silent, note)];
    }
    let note = format!("told \"{band}\", is {:?}", truth.band);
    // "+8.00 dB at 45.0 Hz, 1.00 octaves"
    let is_true = match (numbers(band).as_slice(), truth.band) {
        ([], None) => true,
        ([db, hz, width, ..], Some((at, octaves, gain))) => {
            (db - gain).abs() < 0.2
                && (hz / at).log2().abs() < 0.05
                && (width / octaves).log2().abs() < 0.1
        }
        _ => false,
    };
    let mut remarks = vec![Remark::sure("low band", is_true, note)];
    let note = format!("told \"{high_pass}\", is {:?}", truth.high_pass);
    // "order 2, -3 dB at 25.0 Hz"
    let is_true = match (numbers(high_pass).as_slice(), truth.high_pass) {
        ([], None) => true,
        ([order, _, hz, ..], Some((n, at))) => *order == n as f64 && (hz / at).log2().abs() < 0.05,
        _ => false,
    };
    remarks.push(Remark::sure("high-pass", is_true, note));
    remarks
}
