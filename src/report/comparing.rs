//! What changed from one file to another, when nothing is known of what lies between them: levelled
//! by the mid band, and only where both say something.

use crate::analysis::transfer::Transfer;
use crate::figures::{difference, frequency, hertz, level};
use crate::measure::layers::{BandLayers, Layers, REFERENCE_HZ};
use crate::plot::Cause;
use crate::report::{Run, Sentence};

/// Less than this is not worth a word, in dB: the repeatability of a careful reading
/// (common practice, no source).
pub(super) const WORTH_SAYING_DB: f64 = 0.5;
/// A band this far below the mid band is silence: 20 bits of it.
const SILENT_DB: f64 = -120.0;
/// Less of the mid band than this in common is another recording: noise as loud as the music leaves
/// more (γ² = 1/2 at 0 dB).
const LEAST_COHERENCE: f64 = 0.4;

/// How far the band that moved most lies from where it was.
pub(super) fn of_change(layers: &Layers, run: &Run) -> Sentence {
    if layers.after_is_silent {
        return "Nothing of the mid band is left in one of the files: there is nothing to compare by."
            .into();
    }
    if run.readings.transfer.as_ref().is_some_and(|t| !matches(t)) {
        let what =
            "The two files do not match: what one plays is not in the other, so no change is told.";
        return what.into();
    }
    let levelled = match layers.levelled_db.abs() < 0.05 {
        true => String::new(),
        false => {
            format!(", levelled by {} dB from 200 Hz to 1 kHz", difference(layers.levelled_db))
        }
    };
    let told = Sentence::default().say("From ").name(Cause::Given, "before").say(" to ");
    let told = told.name(Cause::Out, "after").say(levelled);
    let change = |band: &BandLayers| band.out - band.given;
    let sounds = |band: &&BandLayers| band.given > SILENT_DB && band.out > SILENT_DB;
    let most = layers.bands.iter().filter(sounds);
    let most = most.max_by(|a, b| change(a).abs().total_cmp(&change(b).abs()));
    let told = match most.filter(|band| change(band).abs() >= WORTH_SAYING_DB) {
        None => told.say(", no third-octave band of the low end changes by half a decibel."),
        Some(band) => {
            let verb = if change(band) > 0.0 { "rises" } else { "falls" };
            let much = level(change(band).abs(), 0);
            told.say(format!(", {} {verb} by {much} dB.", hertz(band.hz)))
        }
    };
    told.say(ends(layers))
}

/// Bands that sound in one file alone: no number of decibels says that.
fn ends(layers: &Layers) -> String {
    let bands = layers.bands.iter();
    let alone = bands.filter(|b| (b.given > SILENT_DB) != (b.out > SILENT_DB));
    let names: Vec<String> = alone.map(|band| frequency(band.hz)).collect();
    match names.is_empty() {
        true => String::new(),
        false => format!(" One of the two is silent at {} Hz.", names.join(", ")),
    }
}

/// Whether the mid band of one file is in the other, by its coherence.
fn matches(transfer: &Transfer) -> bool {
    let (low, high) = REFERENCE_HZ;
    let mid = transfer.points.iter().filter(|p| (low..high).contains(&p.hz));
    let mut all: Vec<f64> = mid.map(|p| p.coherence).collect();
    all.sort_by(f64::total_cmp);
    let least = LEAST_COHERENCE.max(transfer.unrelated_below().min(0.95));
    // One bin of a tone, or a few averages, decide nothing.
    all.len() < 8 || transfer.averages < 3.0 || all[all.len() / 2] > least
}
