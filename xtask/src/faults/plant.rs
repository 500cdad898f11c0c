//! Writes the sources of the tree with every fault behind its number.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use super::list::Fault;
use super::{NUMBER, copy_changed};
use crate::shell::root;

/// A place in a source: first and last byte of the original, and the fault.
type Place<'a> = (usize, usize, &'a Fault);

/// Writes the sources to `tree`. The faults that have lost their place, by number, and why.
pub(super) fn plant(tree: &Path, faults: &[Fault]) -> Result<BTreeMap<usize, String>, String> {
    let sources = sources(&root().join("src"))?;
    let mut places: BTreeMap<&Path, Vec<Place>> = BTreeMap::new();
    let mut lost = BTreeMap::new();
    for fault in faults {
        match find(&sources, fault) {
            Ok((file, from, to)) => places.entry(file).or_default().push((from, to, fault)),
            Err(why) => {
                lost.insert(fault.number, why);
            }
        }
    }
    for (file, text) in &sources {
        let text = places.get(file.as_path()).map_or(Ok(text.clone()), |p| changed(text, p))?;
        let text = match file.ends_with("src/lib.rs") {
            true => format!("#![allow(unused_parens)]\n{text}{}", switch()),
            false => text,
        };
        let to = tree.join(file.strip_prefix(root()).unwrap_or(file));
        fs::create_dir_all(to.parent().unwrap_or(tree)).map_err(|e| e.to_string())?;
        copy_changed(text.as_bytes(), &to)?;
    }
    Ok(lost)
}

/// Every source file with its text.
fn sources(folder: &Path) -> Result<Vec<(PathBuf, String)>, String> {
    let failed = |e: std::io::Error| format!("{}: {e}", folder.display());
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        if path.is_dir() {
            all.extend(sources(&path)?);
        } else if path.extension().is_some_and(|e| e == "rs") {
            let text = fs::read_to_string(&path).map_err(failed)?;
            all.push((path, text));
        }
    }
    Ok(all)
}

/// The one place where a fault's original stands.
fn find<'a>(
    sources: &'a [(PathBuf, String)],
    fault: &Fault,
) -> Result<(&'a Path, usize, usize), String> {
    let place = root().join(&fault.place);
    let inside = sources.iter().filter(|(file, _)| file.starts_with(&place));
    let found: Vec<_> = inside
        .flat_map(|(file, text)| {
            spots(text, &fault.was).into_iter().map(|(from, to)| (file.as_path(), from, to))
        })
        .collect();
    match found[..] {
        [one] => Ok(one),
        ref many => {
            let (count, was) = (many.len(), &fault.was);
            Err(format!("{}: {count} places hold `{was}`", fault.title()))
        }
    }
}

/// Where the part of `wanted` between « and » (or all of it) stands in `text`, whatever the
/// blanks between the words.
fn spots(text: &str, wanted: &str) -> Vec<(usize, usize)> {
    let solid = |c: &(usize, char)| !c.1.is_whitespace();
    let text: Vec<(usize, char)> = text.char_indices().filter(solid).collect();
    let count = |words: &str| words.chars().filter(|c| !c.is_whitespace()).count();
    let (before, rest) = wanted.split_once('«').unwrap_or(("", wanted));
    let (inner, after) = rest.split_once('»').unwrap_or((rest, ""));
    let wanted = [before, inner, after].concat();
    let wanted: Vec<char> = wanted.chars().filter(|c| !c.is_whitespace()).collect();
    let (first, length) = (count(before), count(inner));
    if length == 0 {
        return Vec::new();
    }
    let fits = |part: &[(usize, char)]| part.iter().zip(&wanted).all(|(c, w)| c.1 == *w);
    let windows = text.windows(wanted.len()).filter(|part| fits(part));
    windows
        .map(|part| {
            let last = part[first + length - 1];
            (part[first].0, last.0 + last.1.len_utf8())
        })
        .collect()
}

/// The text with each original beside its fault.
fn changed(text: &str, places: &[Place]) -> Result<String, String> {
    let mut places = places.to_vec();
    places.sort_by_key(|place| place.0);
    let (mut out, mut at) = (String::new(), 0);
    for (from, to, fault) in places {
        if from < at {
            return Err(format!("{}: lies inside another fault", fault.title()));
        }
        let (number, now) = (fault.number, &fault.now);
        out += &text[at..from];
        out += &format!("(if crate::planted({number}) {{ {now} }} else {{ {} }})", &text[from..to]);
        at = to;
    }
    Ok(out + &text[at..])
}

/// What tells which fault is on.
fn switch() -> String {
    format!(
        "
/// True for the fault that the environment names.
pub(crate) fn planted(number: usize) -> bool {{
    static ON: std::sync::OnceLock<usize> = std::sync::OnceLock::new();
    let on = || std::env::var(\"{NUMBER}\").ok().and_then(|n| n.parse().ok()).unwrap_or(0);
    *ON.get_or_init(on) == number
}}
"
    )
}
