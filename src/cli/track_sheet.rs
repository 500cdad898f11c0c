//! From the track's layout to what its sheet shows: which stretch plays what, and which is loud and low.

use crate::plot::timeline::Bar;
use crate::signal::track::layout::{Content, Section};

/// Tones up to this frequency and from this level on move cones far: half of full scale in the octave
/// of the bass (common practice, no source).
const LOUD_AND_LOW: (f64, f64) = (80.0, -13.0);

/// The sections as bars, the whole track `lowered_db` below its normal level.
pub(super) fn bars(sections: &[Section], lowered_db: f64) -> Vec<Bar> {
    let mut before = String::new();
    let bar = |section: &Section| {
        let (words, peak_dbfs, hz) = match section.content {
            Content::Silence => ("silence".to_string(), None, None),
            Content::Marker { .. } => ("marker".into(), Some(-12.0), None),
            Content::Comb { peak_dbfs } => ("comb".into(), Some(peak_dbfs), None),
            Content::Tone { hz, peak_dbfs } => (format!("{hz:.0} Hz"), Some(peak_dbfs), Some(hz)),
            Content::Pulse => ("pulse".into(), Some(-6.0), None),
        };
        let peak_dbfs = peak_dbfs.map(|db| db + lowered_db);
        let is_loud_and_low = hz.is_some_and(|hz| hz <= LOUD_AND_LOW.0)
            && peak_dbfs.is_some_and(|db| db >= LOUD_AND_LOW.1);
        let is_again = before == words;
        before.clone_from(&words);
        Bar {
            from_s: section.start_s,
            to_s: section.start_s + section.seconds,
            peak_dbfs,
            words: if is_again { String::new() } else { words },
            is_loud_and_low,
        }
    };
    sections.iter().map(bar).collect()
}
