//! The licences of everything that is built in, as one text for program, bundles and page.
//!
//! Cargo says which crates those are, the crates' own sources hold the texts. A text that
//! several crates share stands once, under all their names.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::Outcome;
use crate::shell::{cargo_home, root};

/// What the notices are called wherever they lie.
pub(crate) const FILE: &str = "THIRD-PARTY.txt";

/// The widest sets of crates: the program's, the plugin's and the stand-alone window's.
const FEATURES: [&str; 2] = ["--features", "cli,standalone"];

/// The page's.
const OF_PAGE: [&str; 3] = ["--no-default-features", "--features", "files"];

/// How files that hold a licence are called.
const NAMES: [&str; 8] =
    ["LICENSE", "LICENCE", "COPYING", "COPYRIGHT", "NOTICE", "UNLICENSE", "OFL", "UFL"];

/// Folders of a crate's sources in which licences lie.
const FOLDERS: [&str; 4] = ["", "fonts", "licenses", "LICENSES"];

/// A crate as Cargo names it.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Crate {
    name: String,
    version: String,
    licence: String,
}

impl Crate {
    /// Reads `name v1.2.3|licence`, as `cargo tree` was asked to write it; none for a crate of
    /// this project.
    fn read(line: &str) -> Option<Crate> {
        let (named, licence) = line.trim_end_matches(" (*)").split_once('|')?;
        let mut words = named.split(' ');
        let (name, version) = (words.next()?, words.next()?.strip_prefix('v')?);
        let own = words.next().is_some_and(|word| word.starts_with("(/"));
        let licence = licence.trim().to_owned();
        (!own).then(|| Crate { name: name.into(), version: version.into(), licence })
    }

    fn title(&self) -> String {
        format!("{} {}", self.name, self.version)
    }
}

/// Writes the notices of everything into `folder`.
pub(crate) fn run(folder: &Path) -> Outcome {
    write(folder, &FEATURES)
}

/// Writes the notices of the page into `folder`.
pub(crate) fn of_page(folder: &Path) -> Outcome {
    write(folder, &OF_PAGE)
}

fn write(folder: &Path, features: &[&str]) -> Outcome {
    let made = folder.join(FILE);
    fs::create_dir_all(folder).map_err(|e| e.to_string())?;
    fs::write(&made, text(features)?).map_err(|e| format!("{}: {e}", made.display()))?;
    println!("{}", made.display());
    Ok(())
}

/// All notices: the list of crates, then each licence with the crates under it.
fn text(features: &[&str]) -> Result<String, String> {
    let crates = crates(features)?;
    let mut texts: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut without = Vec::new();
    for one in &crates {
        let found = licences(&source(one)?)?;
        if found.is_empty() {
            without.push(one);
        }
        for licence in found {
            texts.entry(licence).or_default().push(one.title());
        }
    }
    let fonts = "fonts of the window and of the reports".to_owned();
    texts.entry(read(&root().join("assets/fonts/OFL.txt"))?).or_default().push(fonts);
    let mut all = introduction(&crates, &without);
    for (licence, names) in texts {
        let line = "=".repeat(78);
        all += &format!("\n{line}\n{}\n{line}\n\n{licence}\n", names.join("\n"));
    }
    Ok(all)
}

fn introduction(crates: &[Crate], without: &[&Crate]) -> String {
    let mut all = String::from(
        "What Underpin is built with, and under which terms\n\n\
         Not each of these is in each file: the program holds no window, the plugin no reader of\n\
         compressed audio. symphonia is used unchanged; its sources are at crates.io. The Rust\n\
         standard library is under MIT or Apache-2.0.\n\n",
    );
    for one in crates {
        all += &format!("{:<40} {}\n", one.title(), one.licence);
    }
    if !without.is_empty() {
        all += "\nTheir sources hold no text of their own, only the name of the licence:\n";
    }
    for one in without {
        all += &format!("{:<40} {}\n", one.title(), one.licence);
    }
    all
}

/// Every crate that is built in on this system, by name; Cargo fetches those that are missing.
fn crates(features: &[&str]) -> Result<Vec<Crate>, String> {
    let fixed = ["tree", "--locked", "--prefix", "none", "--edges", "normal"];
    let mut cargo = Command::new("cargo");
    cargo.args(fixed).args(["--format", "{p}|{l}"]).args(features);
    let told = cargo.current_dir(root()).output().map_err(|e| format!("cargo tree: {e}"))?;
    if !told.status.success() {
        return Err(format!("cargo tree: {}", String::from_utf8_lossy(&told.stderr)));
    }
    let mut crates: Vec<_> =
        String::from_utf8_lossy(&told.stdout).lines().filter_map(Crate::read).collect();
    crates.sort();
    crates.dedup();
    Ok(crates)
}

/// The folder of a crate's sources: Cargo keeps one folder a registry.
fn source(one: &Crate) -> Result<PathBuf, String> {
    let registries = cargo_home()?.join("registry/src");
    let entries =
        fs::read_dir(&registries).map_err(|e| format!("{}: {e}", registries.display()))?;
    let folder = format!("{}-{}", one.name, one.version);
    let mut all = entries.filter_map(|entry| Some(entry.ok()?.path().join(&folder)));
    all.find(|path| path.is_dir()).ok_or(format!("{folder} is not fetched: run cargo fetch"))
}

/// The licence texts in a crate's sources, sorted by their files' names.
fn licences(folder: &Path) -> Result<Vec<String>, String> {
    let mut files = Vec::new();
    for part in FOLDERS {
        let Ok(entries) = fs::read_dir(folder.join(part)) else { continue };
        let paths = entries.filter_map(|entry| Some(entry.ok()?.path()));
        files.extend(paths.filter(|path| path.is_file() && is_licence(path)));
    }
    files.sort();
    files.dedup();
    let mut texts: Vec<_> = files.iter().map(|file| read(file)).collect::<Result<_, _>>()?;
    texts.dedup();
    Ok(texts)
}

fn is_licence(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy().to_uppercase();
    let font = name.ends_with(".TTF") || name.ends_with(".RS");
    !font && NAMES.iter().any(|start| name.starts_with(start))
}

/// A text without what differs for no reason: ends of lines and blanks around it.
fn read(path: &Path) -> Result<String, String> {
    let bytes = fs::read(path).map_err(|e| format!("{}: {e}", path.display()))?;
    let text = String::from_utf8_lossy(&bytes);
    let lines: Vec<_> = text.lines().map(str::trim_end).collect();
    Ok(lines.join("\n").trim_matches('\n').to_owned())
}
