//! The words of the reports that are not everybody's, each explained in one line.
//!
//! A report lists those that stand in it, so that whoever gets it needs nothing else.

/// Words and what they mean here. The first is looked for in lower case.
pub const GLOSSARY: [(&str, &str); 22] = [
    ("attenuated", "weaker than it was, but still above the noise: it can be lifted"),
    ("blend", "the dry part and the octave part together"),
    ("coheren", "how surely an output follows its input, 0 to 1; below 0.9 a gain says little"),
    ("comb", "noise made of fixed lines with gaps between: what stands in a gap is not the signal"),
    (
        "dbfs",
        "decibels re digital full scale; a full-scale sine is 0 dBFS, as a peak and as r.m.s.",
    ),
    ("dbtp", "the peak of the wave between the samples, in dB re digital full scale"),
    ("dbv", "decibels re 1 V; dBu are re 0.775 V"),
    ("excursion", "how far a cone moves from its rest, one way"),
    ("headroom", "the decibels left below the level at which something clips"),
    ("high-pass", "lets high tones pass; here it keeps cones from moving where nothing is heard"),
    (
        "kinds that fit",
        "orders of filter that explain the measured fall within its own uncertainty",
    ),
    ("low band", "the one parametric band: a gain around a centre frequency"),
    ("lufs", "loudness by ITU-R BS.1770; it counts bass less than the ear's own feeling may"),
    ("mid band", "200 Hz to 1 kHz: what every bass level is compared with"),
    ("octave part", "new tones at exactly half the frequency of those in the source band"),
    ("open", "not decided by what was measured; what would settle it is said beside it"),
    ("programme over noise", "how far the music or test signal stands above the noise, in dB"),
    ("roll-off", "how fast a response falls below its corner, in dB per octave"),
    ("rendered", "played through the line and measured, not computed"),
    ("standard deviation", "two readings in three lie this near the mean"),
    ("take", "one playing of the track in a recording"),
    ("thd", "harmonics of a tone together, as a share of the tone; noise and halves left out"),
];

/// The words of [`GLOSSARY`] that stand in `page`, with their meaning.
pub(super) fn found_in(page: &str) -> Vec<(&'static str, &'static str)> {
    let page = page.to_lowercase();
    let stands = |word: &str| {
        page.match_indices(word).any(|(at, _)| {
            let before = page[..at].chars().next_back();
            let rest = &page[at + word.len()..];
            let after = rest.strip_prefix('s').unwrap_or(rest).chars().next();
            let is_whole = word == STEM || !after.is_some_and(char::is_alphanumeric);
            is_whole && !before.is_some_and(char::is_alphanumeric)
        })
    };
    let found = GLOSSARY.into_iter().filter(|(word, _)| stands(word));
    found.map(|(word, means)| (shown(word), means)).collect()
}

/// The one entry that is the beginning of several words.
const STEM: &str = "coheren";

/// A word as it is written.
fn shown(word: &'static str) -> &'static str {
    match word {
        STEM => "coherence",
        "dbfs" => "dBFS",
        "dbtp" => "dBTP",
        "dbv" => "dBV, dBu",
        "lufs" => "LUFS",
        "thd" => "THD",
        word => word,
    }
}
