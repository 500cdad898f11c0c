//! Words cut to the room there is.

use crate::plot::Role;

/// As much of the beginning of some words as fits.
pub fn fitting(words: &str, role: Role, width: f64) -> String {
    if role.width(words) <= width {
        return words.into();
    }
    let ends = words.char_indices().map(|(at, _)| at).rev();
    let cut = |at: usize| format!("{}\u{2026}", words[..at].trim_end());
    ends.map(cut).find(|words| role.width(words) <= width).unwrap_or_default()
}

/// As much of the end of some words as fits.
pub fn end_of(words: &str, role: Role, width: f64) -> String {
    if role.width(words) <= width {
        return words.into();
    }
    let mut starts = words.char_indices().map(|(at, _)| at);
    let fits = |at: &usize| role.width(&format!("\u{2026}{}", &words[*at..])) <= width;
    starts.find(fits).map_or(String::new(), |at| format!("\u{2026}{}", &words[at..]))
}
