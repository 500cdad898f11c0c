//! The shape of the source, held by test: who may name whom, who owns which
//! library, how long a file may be.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// A module may name itself and these; a row names only rows above it. A
/// permission that nobody uses fails too, so the table says how things are.
const MAY_NAME: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("curve", &["units"]),
    ("settings", &[]),
    ("signal", &["units"]),
    ("dsp", &["settings", "units"]),
    ("path", &["dsp", "settings"]),
    ("analysis", &["units"]),
    ("measure", &["analysis", "path", "units"]),
    ("presets", &["settings"]),
    ("planning", &["curve", "dsp", "path", "settings", "signal", "units"]),
    ("plot", &["analysis", "curve", "measure", "settings", "units"]),
    (
        "report",
        &["analysis", "curve", "measure", "planning", "plot", "presets", "settings", "units"],
    ),
    ("prove", &["dsp", "measure", "path", "report", "settings", "signal", "units"]),
    (
        "cli",
        &[
            "curve", "measure", "path", "planning", "plot", "presets", "prove", "report",
            "settings", "signal", "units",
        ],
    ),
    ("link", &["path", "signal"]),
    ("params", &["settings"]),
    (
        "editor",
        &[
            "analysis", "curve", "dsp", "link", "measure", "params", "path", "plot", "presets",
            "report", "settings", "units",
        ],
    ),
    ("plugin", &["editor", "link", "params", "path", "presets", "settings"]),
];

/// Which modules may name which library.
const OWNERS: &[(&str, &[&str])] = &[
    ("ebur128", &["analysis"]),
    ("realfft", &["analysis", "planning", "signal"]),
    ("num_complex", &["dsp"]),
    ("toml", &["presets", "report"]),
    ("serde_json", &["report", "cli", "params"]),
    ("clap", &["cli"]),
    ("ctrlc", &["cli"]),
    ("indicatif", &["cli"]),
    ("sha2", &["cli"]),
    ("symphonia", &["cli"]),
    ("tempfile", &["cli"]),
    ("rtrb", &["link"]),
    ("egui", &["editor"]),
    ("png", &["editor"]),
    ("nice_plug", &["params", "editor", "plugin"]),
];

/// Longest file, in lines.
const LONGEST: usize = 400;

/// Every source file with the top-level module it belongs to; `main.rs`,
/// `lib.rs` and `bin/` stand above all layers.
fn sources() -> Vec<(String, PathBuf)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("source folder") {
            let path = entry.expect("entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let inside = path.strip_prefix(&root).expect("inside src").with_extension("");
                let first = inside.components().next().expect("a name");
                found.push((first.as_os_str().to_string_lossy().into_owned(), path));
            }
        }
    }
    found.retain(|(module, _)| !["lib", "main", "bin"].contains(&module.as_str()));
    assert!(found.len() > 10, "the source was not found");
    found
}

/// The code of a file without its comments.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).expect("source file");
    let lines = text.lines().map(|line| line.split("//").next().unwrap_or_default());
    lines.collect::<Vec<_>>().join("\n")
}

/// The first names after each `crate::` (or `underpin::`), groups included.
fn named(code: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for (at, _) in code.match_indices("crate::") {
        let rest = &code[at + "crate::".len()..];
        match rest.strip_prefix('{') {
            None => names.extend(word(rest)),
            Some(group) => names.extend(group_heads(group)),
        }
    }
    names
}

fn word(text: &str) -> Option<String> {
    let word: String = text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
    (!word.is_empty()).then_some(word)
}

/// The first name of each item of a `{a::b, c::{d, e}, f}` group.
fn group_heads(group: &str) -> Vec<String> {
    let (mut depth, mut head, mut heads) = (0, true, Vec::new());
    for (i, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => head = true,
            c if head && c.is_alphabetic() => {
                heads.extend(word(&group[i..]));
                head = false;
            }
            _ => {}
        }
    }
    heads
}

#[test]
fn a_module_names_only_what_the_table_allows() {
    let mut used: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (module, path) in sources() {
        let names = named(&code(&path));
        used.entry(module.clone()).or_default().extend(names.into_iter().filter(|n| *n != module));
    }
    for (module, names) in &used {
        let Some((_, may)) = MAY_NAME.iter().find(|(m, _)| m == module) else {
            assert!(names.is_empty(), "module {module} has no row in the table");
            continue;
        };
        for name in names {
            assert!(may.contains(&name.as_str()), "{module} names {name}, which the table forbids");
        }
        for name in *may {
            assert!(names.contains(*name), "{module} may name {name} but does not: take it out");
        }
    }
}

#[test]
fn the_table_has_no_cycle() {
    for (row, (module, may)) in MAY_NAME.iter().enumerate() {
        for name in *may {
            let above = MAY_NAME[..row].iter().any(|(m, _)| m == name);
            assert!(above, "{module} may name {name}, which does not stand above it");
        }
    }
}

#[test]
fn libraries_have_owners() {
    for (module, path) in sources() {
        let code = code(&path);
        for (library, owners) in OWNERS {
            let named = code.match_indices(&format!("{library}::")).any(|(at, _)| {
                let before = code[..at].chars().next_back();
                !before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':')
            });
            assert!(
                !named || owners.contains(&module.as_str()),
                "{} names {library}, which belongs to {owners:?}",
                path.display()
            );
        }
    }
}

#[test]
fn a_file_is_one_idea_and_says_which() {
    for (_, path) in sources() {
        let text = fs::read_to_string(&path).expect("source file");
        assert!(text.starts_with("//!"), "{} does not say what it is", path.display());
        let lines = text.lines().count();
        assert!(lines <= LONGEST, "{} has {lines} lines, more than {LONGEST}", path.display());
    }
}
