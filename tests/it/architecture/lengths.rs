//! How long files and functions are.

use super::imports::{files, package_sources};
use std::fs;

/// Longest file, in lines.
const LONGEST_FILE: usize = 350;

/// Longest function, in lines from its name to its closing brace.
const LONGEST_FUNCTION: usize = 60;

/// Middle length of all functions of the package, in lines.
const MEDIAN_FUNCTION: usize = 8;

#[test]
fn a_file_is_one_idea_and_says_which() {
    for source in package_sources("src") {
        let file = source.module.join("/");
        assert!(source.text.starts_with("//!"), "{file} does not say what it is");
    }
    for path in ["src", "xtask/src", "benches", "tests", "hosts"].into_iter().flat_map(files) {
        let lines = fs::read_to_string(&path).expect("source file").lines().count();
        let file = path.display();
        assert!(lines <= LONGEST_FILE, "{file} has {lines} lines, more than {LONGEST_FILE}");
    }
}

#[test]
fn functions_are_small() {
    for path in ["src", "xtask/src", "benches", "tests", "hosts"].into_iter().flat_map(files) {
        for (name, lines) in functions(&fs::read_to_string(&path).expect("source file")) {
            let file = path.display();
            assert!(lines <= LONGEST_FUNCTION, "{name} in {file} has {lines} lines");
        }
    }
    let sources = package_sources("src");
    let all = sources.iter().flat_map(|source| functions(&source.text));
    let mut lengths: Vec<usize> = all.map(|(_, lines)| lines).collect();
    lengths.sort_unstable();
    assert!(lengths.len() > 1000, "the functions were not found");
    let median = lengths[lengths.len() / 2];
    assert!(median <= MEDIAN_FUNCTION, "the middle function has {median} lines");
}

/// The functions of a formatted file with their lengths: each ends at the first closing brace
/// that stands as far left as its name.
fn functions(text: &str) -> Vec<(&str, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let Some(name) = function_name(line) else { continue };
        let indent = &line[..line.len() - line.trim_start().len()];
        let is_end = |l: &&str| l.strip_prefix(indent).is_some_and(|rest| rest == "}");
        let one_line = line.ends_with('}');
        let end = if one_line { Some(0) } else { lines[at..].iter().position(is_end) };
        let declared = lines[at..].iter().find(|l| l.ends_with([';', '{', '}']));
        if !one_line && declared.is_some_and(|l| l.ends_with(';')) {
            continue;
        }
        found.extend(end.map(|end| (name, end + 1)));
    }
    found
}

fn function_name(line: &str) -> Option<&str> {
    let (before, after) = line.split_once("fn ")?;
    let words = ["pub", "pub(super)", "pub(crate)", "const", "async"];
    let plain = before.split_whitespace().all(|word| words.contains(&word));
    plain.then(|| after.split(['(', '<']).next()).flatten()
}
