//! The shape of the source, held by test: who may name whom, who owns which
//! library, that no files name each other in a circle, how long a file and a
//! function may be.

mod imports;
mod lengths;

use imports::{Source, circle_from, package_sources};
use std::collections::{BTreeMap, BTreeSet};

/// A module may name itself and these; a row names only rows above it. A
/// permission that nobody uses fails too, so the table says how things are.
const MAY_NAME: &[(&str, &[&str])] = &[
    ("numeric", &[]),
    ("units", &[]),
    ("curve", &["units"]),
    ("figures", &[]),
    ("settings", &[]),
    ("signal", &["units"]),
    ("dsp", &["numeric", "settings", "units"]),
    ("path", &["dsp", "settings"]),
    ("analysis", &["numeric", "units"]),
    ("measure", &["analysis", "curve", "path", "units"]),
    ("presets", &["settings"]),
    ("planning", &["analysis", "curve", "dsp", "numeric", "path", "settings", "signal", "units"]),
    ("plot", &["analysis", "curve", "figures", "measure", "settings", "units"]),
    (
        "report",
        &[
            "analysis", "curve", "figures", "measure", "planning", "plot", "presets", "settings",
            "units",
        ],
    ),
    (
        "prove",
        &["curve", "dsp", "measure", "path", "planning", "report", "settings", "signal", "units"],
    ),
    ("lessons", &["analysis", "measure", "path", "plot", "report", "settings", "signal", "units"]),
    ("audio", &["path", "signal"]),
    ("takes", &["audio", "curve", "planning", "presets", "report", "settings", "signal", "units"]),
    (
        "cli",
        &[
            "audio", "curve", "lessons", "measure", "path", "planning", "plot", "presets", "prove",
            "report", "settings", "signal", "takes", "units",
        ],
    ),
    ("link", &["path", "signal"]),
    ("params", &["settings"]),
    (
        "editor",
        &[
            "analysis", "curve", "dsp", "figures", "lessons", "link", "measure", "params", "path",
            "planning", "plot", "presets", "report", "settings", "signal", "takes", "units",
        ],
    ),
    ("plugin", &["editor", "link", "params", "path", "presets", "settings"]),
];

/// The same for the folders and single files in the editor.
const EDITOR_MAY_NAME: &[(&str, &[&str])] = &[
    ("files", &[]),
    ("model", &["files"]),
    ("layout", &[]),
    ("paint", &[]),
    ("controls", &["model", "paint"]),
    ("views", &["controls", "files", "layout", "model", "paint"]),
    ("bars", &["controls", "files", "layout", "model", "paint"]),
    ("export", &["files", "layout", "model", "paint", "views"]),
    ("measuring", &["files", "model"]),
    ("shortcuts", &["controls", "layout", "model"]),
    ("guard", &[]),
    ("host", &["export", "files", "guard", "layout", "measuring", "model", "paint"]),
];

/// Which modules may name which library.
const OWNERS: &[(&str, &[&str])] = &[
    ("ebur128", &["analysis"]),
    // What makes sound, the invented car of the demo too: the same samples on every system.
    ("libm", &["cli/demo", "dsp", "numeric", "signal", "units"]),
    ("realfft", &["analysis", "planning", "signal"]),
    ("num_complex", &["dsp"]),
    ("toml", &["presets", "report"]),
    ("serde_json", &["report", "cli", "params"]),
    ("clap", &["cli"]),
    ("clap_complete", &["cli"]),
    ("clap_mangen", &["cli"]),
    ("ctrlc", &["cli"]),
    ("indicatif", &["cli"]),
    ("sha2", &["audio", "report"]),
    ("symphonia", &["audio"]),
    ("tempfile", &["cli"]),
    ("rtrb", &["link"]),
    ("egui", &["editor"]),
    ("png", &["editor"]),
    ("nice_plug", &["params", "editor", "plugin"]),
];

#[test]
fn a_module_names_only_what_the_table_allows() {
    hold(MAY_NAME, &package_sources("src"), 0);
}

#[test]
fn a_part_of_the_editor_names_only_what_its_table_allows() {
    let mut sources = package_sources("src");
    sources.retain(|source| source.module.len() > 1 && source.module[0] == "editor");
    hold(EDITOR_MAY_NAME, &sources, 1);
}

/// Holds the names at one depth of the tree against a table: none forbidden, none unused.
fn hold(table: &[(&str, &[&str])], sources: &[Source], depth: usize) {
    let mut used: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let all: BTreeSet<&str> = sources.iter().map(|source| source.module[depth].as_str()).collect();
    for source in sources {
        let (inside, own) = (&source.module[..depth], source.module[depth].as_str());
        let named = source.named.iter().filter(|path| path.starts_with(inside));
        let named = named.filter_map(|path| path.get(depth)).map(String::as_str);
        let others = named.filter(|name| *name != own && all.contains(name));
        used.entry(own).or_default().extend(others);
    }
    for (module, names) in &used {
        let row = table.iter().find(|(row, _)| row == module);
        let (_, may) = row.unwrap_or_else(|| panic!("module {module} has no row in the table"));
        for name in names {
            assert!(may.contains(name), "{module} names {name}, which the table forbids");
        }
        for name in *may {
            assert!(names.contains(name), "{module} may name {name} but does not: take it out");
        }
    }
}

#[test]
fn the_tables_have_no_cycle() {
    for table in [MAY_NAME, EDITOR_MAY_NAME] {
        for (row, (module, may)) in table.iter().enumerate() {
            for name in *may {
                let above = table[..row].iter().any(|(m, _)| m == name);
                assert!(above, "{module} may name {name}, which does not stand above it");
            }
        }
    }
}

#[test]
fn no_files_name_each_other_in_a_circle() {
    for folder in ["src", "xtask/src"] {
        let sources = package_sources(folder);
        let circles: Vec<_> = sources.iter().filter_map(|s| circle_from(s, &sources)).collect();
        assert!(circles.is_empty(), "files name each other in circles: {circles:?}");
    }
}

#[test]
fn libraries_have_owners() {
    for Source { module, code, .. } in package_sources("src") {
        for (library, owners) in OWNERS {
            let named = code.match_indices(&format!("{library}::")).any(|(at, _)| {
                let before = code[..at].chars().next_back();
                !before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':')
            });
            let module = module.join("/");
            let owned = owners.iter().any(|owner| module.starts_with(owner));
            assert!(!named || owned, "{module} names {library}, which belongs to {owners:?}");
        }
    }
}
