//! Reads which file names which: the `use` lines and the paths of every source file.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// A file of the package.
pub(super) struct Source {
    /// Its place as a module, e.g. `["editor", "views", "plan"]`.
    pub(super) module: Vec<String>,
    /// Its text.
    pub(super) text: String,
    /// Its text without comments.
    pub(super) code: String,
    /// Every path it names inside the package, from the top. What it hands on by `pub use` from a
    /// file of its own folder is not among them: a face is no user.
    pub(super) named: BTreeSet<Vec<String>>,
}

/// Every Rust file below a folder of the repository.
pub(super) fn files(folder: &str) -> Vec<PathBuf> {
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)];
    let mut found = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("source folder") {
            let path = entry.expect("entry").path();
            if path.is_dir() && !path.ends_with("target") {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path);
            }
        }
    }
    assert!(found.len() > 5, "the source was not found");
    found.sort();
    found
}

/// The files of a package's `folder` below all programs; `main.rs`, `lib.rs` and `bin/` stand above.
pub(super) fn package_sources(folder: &str) -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let place = |path: &Path| -> Vec<String> {
        let inside = path.strip_prefix(&root).expect("inside the folder").with_extension("");
        inside.iter().map(|part| part.to_string_lossy().into_owned()).collect()
    };
    let mut sources: Vec<Source> =
        files(folder).iter().map(|path| read(path, place(path))).collect();
    sources.retain(|s| !["lib", "main", "bin"].contains(&s.module[0].as_str()));
    sources
}

fn read(path: &Path, module: Vec<String>) -> Source {
    let text = fs::read_to_string(path).expect("source file");
    let lines = text.lines().map(|line| line.split("//").next().unwrap_or_default());
    let code = lines.collect::<Vec<_>>().join("\n");
    let named = named(&code, &module);
    Source { module, text, code, named }
}

/// The paths that a file names, made absolute.
fn named(code: &str, module: &[String]) -> BTreeSet<Vec<String>> {
    let mut paths = BTreeSet::new();
    let mut rest = code.to_owned();
    for (public, tree) in use_trees(code) {
        rest = rest.replace(&format!("use {tree};"), "");
        for path in leaves(&tree) {
            let is_face = public && absolute(&path, module).is_some_and(|p| p.starts_with(module));
            if !is_face {
                paths.extend(absolute(&path, module));
            }
        }
    }
    // Paths in the code itself, such as `crate::units::octaves(..)` or `child::of(..)`.
    for path in inline(&rest) {
        paths.extend(absolute(&path, module));
    }
    paths
}

/// The trees of all `use` lines, and whether each is public.
fn use_trees(code: &str) -> Vec<(bool, String)> {
    let starts = code.match_indices("use ").filter(|(at, _)| {
        let line = code[..*at].rfind('\n').map_or(0, |end| end + 1);
        ["", "pub", "pub(super)", "pub(crate)"].contains(&code[line..*at].trim())
    });
    let tree = |(at, _): (usize, &str)| {
        let end = code[at..].find(';').map_or(code.len(), |end| at + end);
        let line = code[..at].rfind('\n').map_or(0, |end| end + 1);
        (code[line..at].contains("pub"), code[at + "use ".len()..end].to_owned())
    };
    starts.map(tree).collect()
}

/// `a::{b, c::d}` as `a::b` and `a::c::d`.
fn leaves(tree: &str) -> Vec<Vec<String>> {
    let tree = tree.trim();
    let Some((head, group)) = tree.split_once('{') else {
        let path = tree.split(" as ").next().unwrap_or_default();
        return vec![path.split("::").map(|part| part.trim().to_owned()).collect()];
    };
    let head: Vec<String> =
        head.split("::").map(|p| p.trim().to_owned()).filter(|p| !p.is_empty()).collect();
    let group = group.trim_end().strip_suffix('}').unwrap_or(group);
    let inner = items(group).into_iter().flat_map(|item| leaves(&item));
    inner.map(|leaf| [head.clone(), leaf].concat()).collect()
}

/// The items of a group, split at the commas that no inner group holds.
fn items(group: &str) -> Vec<String> {
    let (mut depth, mut found) = (0, vec![String::new()]);
    for c in group.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                found.push(String::new());
                continue;
            }
            _ => {}
        }
        found.last_mut().expect("an item").push(c);
    }
    found.retain(|item| !item.trim().is_empty());
    found
}

/// Every `a::b::c` in some code.
fn inline(code: &str) -> Vec<Vec<String>> {
    let is_part = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
    let words = code.split(|c: char| !is_part(c)).filter(|word| word.contains("::"));
    words.map(|word| word.split("::").map(str::to_owned).collect()).collect()
}

/// A path from the top of the package; `None` for one of another library.
fn absolute(path: &[String], module: &[String]) -> Option<Vec<String>> {
    let mut base = match path.first().map(String::as_str) {
        Some("crate" | "underpin") => return Some(path[1..].to_vec()),
        Some("super") => module[..module.len() - 1].to_vec(),
        // A file of its own folder, or something of another library, which no file is named like.
        Some("self") => module.to_vec(),
        _ => return Some([module, path].concat()),
    };
    let mut rest = &path[1..];
    while rest.first().is_some_and(|part| part == "super") {
        base.pop();
        rest = &rest[1..];
    }
    Some([base, rest.to_vec()].concat())
}

/// The names of the files that lead from this one back to itself, if some do. A file of a folder
/// may name what the folder's own file declares for all of them: that arrow is not followed.
pub(super) fn circle_from(source: &Source, sources: &[Source]) -> Option<Vec<String>> {
    let all: BTreeMap<&[String], &Source> = sources.iter().map(|s| (&s.module[..], s)).collect();
    let mut from: BTreeMap<&[String], &[String]> = BTreeMap::new();
    let mut waiting = vec![source];
    while let Some(file) = waiting.pop() {
        for next in file.named.iter().filter_map(|path| file_of(path, &all)) {
            if file.module.starts_with(&next.module) {
                continue;
            }
            if next.module == source.module {
                return Some(way_back(&file.module, &from, &source.module));
            }
            if !from.contains_key(&next.module[..]) {
                from.insert(&next.module, &file.module);
                waiting.push(next);
            }
        }
    }
    None
}

/// The file that holds what a path names: the deepest one on its way.
fn file_of<'a>(path: &[String], all: &BTreeMap<&[String], &'a Source>) -> Option<&'a Source> {
    (1..=path.len()).rev().find_map(|length| all.get(&path[..length]).copied())
}

fn way_back(
    last: &[String],
    from: &BTreeMap<&[String], &[String]>,
    first: &[String],
) -> Vec<String> {
    let mut way = vec![last.join("/")];
    let mut at = last;
    while at != first {
        at = from.get(at).copied().unwrap_or(first);
        way.insert(0, at.join("/"));
    }
    way
}
