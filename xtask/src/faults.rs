//! Planted faults: does a test notice each of them?
//!
//! One copy of the tree holds all faults, each behind a number that the environment names, so
//! that the tests are built once and run once a fault. What a fault is stands in
//! `xtask/faults/*.txt`; an entry whose original is no longer in the tree is an error, so the
//! list cannot grow stale.

mod ablate;
mod list;
mod plant;
mod trial;

use std::fs;
use std::path::Path;

use crate::shell::root;
use crate::{Outcome, bundle};
use list::Fault;

/// The variable that names the fault that is on.
const NUMBER: &str = "UNDERPIN_FAULT";

/// At least this share of the faults must be noticed, in per cent.
const LEAST_NOTICED: usize = 95;

/// What of the tree the tests need.
const PARTS: [&str; 10] = [
    "Cargo.toml",
    "Cargo.lock",
    "assets",
    "benches",
    "docs",
    "src",
    "tests",
    "xtask",
    "DEVELOPERS.md",
    "README.md",
];

/// Plants every fault whose text holds `word` and says which of them the tests notice. With
/// `only_look` it only says whether every entry still has its place.
pub(crate) fn run(word: Option<&str>, only_look: bool) -> Outcome {
    let all = list::read(&root().join("xtask/faults"))?;
    let tree = bundle::target().join("faults/tree");
    lay_out(&tree)?;
    let lost = plant::plant(&tree, &all)?;
    lost.values().for_each(|why| println!("{why}"));
    println!("{} faults, {} of them without their place in the tree", all.len(), lost.len());
    let wanted = |fault: &&Fault| word.is_none_or(|word| fault.holds(word));
    let faults: Vec<&Fault> = all.iter().filter(wanted).collect();
    if faults.iter().any(|fault| lost.contains_key(&fault.number)) {
        return Err("the list must follow the tree".into());
    }
    if only_look {
        return Ok(());
    }
    let suites = trial::build(&tree, &faults)?;
    trial::stays_green(&suites, &faults)?;
    let mut missed = Vec::new();
    for fault in &faults {
        let noticed = trial::notices(&suites, fault)?;
        println!("{} {}", if noticed { "noticed " } else { "NOT SEEN" }, fault.title());
        if !noticed {
            missed.push(*fault);
        }
    }
    let seen = faults.len() - missed.len();
    println!("\n{seen} of {} noticed", faults.len());
    missed.iter().for_each(|fault| println!("not noticed: {}", fault.title()));
    match 100 * seen >= LEAST_NOTICED * faults.len() {
        true => Ok(()),
        false => Err(format!("fewer than {LEAST_NOTICED} % were noticed")),
    }
}

/// Takes the steps of the octave part away, one at a time, and prints what is left of its figures.
pub(crate) fn ablate() -> Outcome {
    let all = list::read(&root().join("xtask/faults"))?;
    let tree = bundle::target().join("faults/tree");
    lay_out(&tree)?;
    plant::plant(&tree, &all)?;
    let recordings = root().join("data/recordings");
    if recordings.exists() {
        fs::create_dir_all(tree.join("data")).map_err(|e| format!("data: {e}"))?;
        lay(&recordings, &tree.join("data/recordings"))?;
    }
    ablate::table(&tree, &all)
}

/// Copies what the tests need to `tree`; a file that is the same already keeps its time.
fn lay_out(tree: &Path) -> Outcome {
    fs::create_dir_all(tree).map_err(|e| format!("{}: {e}", tree.display()))?;
    for part in PARTS {
        lay(&root().join(part), &tree.join(part))?;
    }
    Ok(())
}

fn lay(from: &Path, to: &Path) -> Outcome {
    let failed = |e: std::io::Error| format!("{}: {e}", from.display());
    if !from.is_dir() {
        // Sources are written by `plant`, once it knows what they are to hold.
        return if from.extension().is_some_and(|e| e == "rs")
            && from.starts_with(root().join("src"))
        {
            Ok(())
        } else {
            copy_changed(&fs::read(from).map_err(failed)?, to)
        };
    }
    fs::create_dir_all(to).map_err(failed)?;
    for entry in fs::read_dir(from).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        // A package may hold links to what it does not.
        if entry.file_name() != "target" && entry.path().exists() {
            lay(&entry.path(), &to.join(entry.file_name()))?;
        }
    }
    drop_strangers(from, to)
}

/// Removes from `to` what `from` no longer has.
fn drop_strangers(from: &Path, to: &Path) -> Outcome {
    let failed = |e: std::io::Error| format!("{}: {e}", to.display());
    for entry in fs::read_dir(to).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        if !from.join(entry.file_name()).exists() {
            bundle::remove(&entry.path())?;
        }
    }
    Ok(())
}

/// Writes `bytes`, unless they stand there already: what is unchanged is not built again.
fn copy_changed(bytes: &[u8], to: &Path) -> Outcome {
    if fs::read(to).is_ok_and(|old| old == bytes) {
        return Ok(());
    }
    fs::write(to, bytes).map_err(|e| format!("{}: {e}", to.display()))
}
