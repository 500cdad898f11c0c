//! The program built for Windows here, run under Wine, and every file that it writes held against
//! what the same commands write on this system; the tests and the plugin, with our own CLAP host,
//! are built and run there too.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::shell;
use crate::{Outcome, bundle};
use wine::Wine;

mod wine;

/// What is run on both systems, in this order.
const COMMANDS: [&str; 9] = [
    "signal pink --seconds 5 -o pink.wav",
    "signal kick --every 0.5 --seconds 4 -o kick.wav",
    "signal track -o track.wav --rate 12000 --sheet sheet.html",
    "render track.wav radio.wav --set octave.level_db=off --set high_pass.order=4 --set high_pass.hz=55",
    "diagnose track.wav radio.wav --report diagnosis.html",
    "tune track.wav radio.wav --preset mine.toml --plan plan.toml --report tuning.html",
    "prove --plan plan.toml --report proof.html",
    "lesson 4 --report lesson.html",
    "demo --out demo",
];

/// Builds, runs and compares.
pub(crate) fn run() -> Outcome {
    if !cfg!(target_os = "linux") {
        return Err("Wine is used on Linux".into());
    }
    let wine = Wine::new()?;
    let program = wine.program()?;
    shell::run("cargo", &["build", "--release", "--bin", "underpin"])?;
    let native = bundle::target().join("release/underpin");
    let [there, here] = ["under-wine", "native"].map(|name| wine.home.join(name));
    play(&there, || wine.runs(&program))?;
    play(&here, || Command::new(&native))?;
    compare(&there, &here)?;
    wine.plugin()?;
    wine.tests()
}

/// Runs every command in a new folder.
fn play(folder: &Path, program: impl Fn() -> Command) -> Outcome {
    let _ = fs::remove_dir_all(folder);
    fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let presets = presets()?;
    let presets = presets.iter().flat_map(|preset| {
        ["pink", "kick"]
            .map(|sound| format!("render {sound}.wav {sound}-{preset}.wav --preset {preset}"))
    });
    let all = COMMANDS.iter().map(|command| command.to_string()).chain(presets);
    for command in all {
        let mut program = program();
        program.args(command.split_whitespace()).args(["--quiet"]).current_dir(folder);
        let ran = program.output().map_err(|e| format!("{command}: {e}"))?;
        if !ran.status.success() {
            let said = String::from_utf8_lossy(&ran.stderr).into_owned();
            return Err(format!("{command}: {}\n{said}", ran.status));
        }
    }
    Ok(())
}

/// The presets that come with the program, by their files.
fn presets() -> Result<Vec<String>, String> {
    let files = files(&shell::root().join("src/presets"), Path::new(""))?;
    let presets = files.iter().filter(|file| file.extension().is_some_and(|end| end == "toml"));
    Ok(presets.map(|file| file.with_extension("").display().to_string()).collect())
}

/// Holds every file of both folders against each other. Sounds and what is said in words must be the
/// same; the last digits of figures may differ with the functions of the systems' C libraries.
fn compare(there: &Path, here: &Path) -> Outcome {
    let (mut same, mut wrong) = (0, Vec::new());
    for name in files(here, Path::new(""))? {
        let read = |folder: &Path| fs::read(folder.join(&name)).map_err(|e| e.to_string());
        if read(there)? == read(here)? {
            same += 1;
            continue;
        }
        println!("  {}: differs", name.display());
        if name.extension().is_some_and(|ending| ending == "wav" || ending == "txt") {
            wrong.push(name.display().to_string());
        }
    }
    println!("{same} files are the same under Wine and here, to the last byte");
    match wrong.is_empty() {
        true => Ok(()),
        false => Err(format!("sounds and words differ: {}", wrong.join(", "))),
    }
}

/// Every file below a folder, by its path inside it.
fn files(folder: &Path, inside: &Path) -> Result<Vec<PathBuf>, String> {
    let entries = fs::read_dir(folder.join(inside)).map_err(|e| e.to_string())?;
    let mut all = Vec::new();
    for entry in entries.flatten() {
        let path = inside.join(entry.file_name());
        match entry.path().is_dir() {
            true => all.extend(files(folder, &path)?),
            false => all.push(path),
        }
    }
    all.sort();
    Ok(all)
}
