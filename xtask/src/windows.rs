//! The program built for Windows here, run under Wine, and every file that it writes held against
//! what the same commands write on this system.
//!
//! A standard library for Windows is taken from the toolchain where it has one; where not, Debian's
//! Rust that carries its library's source builds one on the way.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::shell::{self, finish, root};
use crate::{Outcome, bundle, debian};

const TARGET: &str = "x86_64-pc-windows-gnu";

/// Sounds may differ by this much, in dBFS: one decision about one stroke, seen at -61 (no source).
const MOST_DBFS: f64 = -40.0;

/// Debian packages that link for Windows and run what was linked.
const TOOLS: [&str; 3] = ["gcc-mingw-w64-x86-64-posix", "wine", "wine64"];

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

/// Presets that are rendered on both.
const PRESETS: [&str; 13] = [
    "start-here",
    "kick-drum",
    "running-bass",
    "long-low-notes",
    "lift-the-roll-off",
    "replace-the-missing-octave",
    "sealed-box",
    "deeper-sealed-box",
    "ported-box",
    "octave-alone",
    "plain-divider",
    "spare-the-voice",
    "untouched",
];

/// Builds, runs and compares.
pub(crate) fn run() -> Outcome {
    if !cfg!(target_os = "linux") {
        return Err("Wine is used on Linux".into());
    }
    let home = bundle::target().join("windows");
    fs::create_dir_all(&home).map_err(|e| format!("{}: {e}", home.display()))?;
    tools()?;
    build(&home)?;
    shell::run("cargo", &["build", "--release", "--bin", "underpin"])?;
    let program = home.join(TARGET).join("release/underpin.exe");
    random_bytes(&program)?;
    let native = bundle::target().join("release/underpin");
    let [there, here] = ["under-wine", "native"].map(|name| home.join(name));
    play(&there, || under_wine(&home, &program))?;
    play(&here, || Command::new(&native))?;
    compare(&there, &here)
}

fn tools() -> Outcome {
    let there = |program: &str| Path::new("/usr/bin").join(program).exists();
    if there("x86_64-w64-mingw32-gcc-posix") && there("wine") {
        return Ok(());
    }
    shell::run("apt-get", &["update", "--quiet"])?;
    let install = ["install", "--yes", "--quiet", "--no-install-recommends"];
    shell::run("apt-get", &[&install[..], &TOOLS].concat())
}

/// Builds the program for Windows.
fn build(home: &Path) -> Outcome {
    let mut cargo = Command::new("cargo");
    cargo.args(["build", "--release", "--bin", "underpin"]);
    debian::aim(&mut cargo, TARGET, "std,panic_unwind")?;
    let linker = "CARGO_TARGET_X86_64_PC_WINDOWS_GNU_LINKER";
    cargo.env(linker, "x86_64-w64-mingw32-gcc-posix").env("CARGO_TARGET_DIR", home);
    finish(cargo.current_dir(root()))
}

/// The library that this Wine lacks, beside the program.
fn random_bytes(program: &Path) -> Outcome {
    let source = root().join("xtask/windows/bcryptprimitives.c");
    let library = program.with_file_name("bcryptprimitives.dll");
    let mut compiler = Command::new("x86_64-w64-mingw32-gcc-posix");
    compiler.args(["-shared", "-O2", "-o"]).arg(library).arg(source).arg("-ladvapi32");
    finish(&mut compiler)
}

fn under_wine(home: &Path, program: &Path) -> Command {
    let mut wine = Command::new("wine");
    wine.arg(program).env("WINEPREFIX", home.join("prefix")).env("WINEDEBUG", "-all");
    wine
}

/// Runs every command in a new folder.
fn play(folder: &Path, program: impl Fn() -> Command) -> Outcome {
    let _ = fs::remove_dir_all(folder);
    fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let presets = PRESETS.iter().flat_map(|preset| {
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

/// Holds every file of both folders against each other. The last bits of the mathematical functions
/// differ between the systems' C libraries, and a decision of the octave part may fall on the other
/// side by one: such a sound is told with its largest difference.
fn compare(there: &Path, here: &Path) -> Outcome {
    let (mut same, mut loudest) = (0, f64::MIN);
    for name in files(here, Path::new(""))? {
        let read = |folder: &Path| fs::read(folder.join(&name)).map_err(|e| e.to_string());
        let (a, b) = (read(there)?, read(here)?);
        if a == b {
            same += 1;
        } else if name.extension().is_some_and(|ending| ending == "wav") {
            let apart = apart_dbfs(&a, &b);
            println!("  {}: apart by {apart:.1} dBFS at most", name.display());
            loudest = loudest.max(apart);
        } else {
            println!("  {}: differs", name.display());
        }
    }
    println!("{same} files are the same under Wine and here, to the last byte");
    match loudest > MOST_DBFS {
        true => Err(format!("a sound differs by more than {MOST_DBFS} dBFS")),
        false => Ok(()),
    }
}

/// The largest difference of two files of 32-bit floats of one header, in dBFS.
fn apart_dbfs(a: &[u8], b: &[u8]) -> f64 {
    let start = a.windows(4).position(|w| w == b"data").map_or(0, |at| at + 8);
    let samples = |bytes: &[u8]| -> Vec<f32> {
        let floats = bytes.get(start..).unwrap_or_default().as_chunks::<4>().0;
        floats.iter().map(|four| f32::from_le_bytes(*four)).collect()
    };
    let pairs = samples(a).into_iter().zip(samples(b));
    20.0 * pairs.map(|(x, y)| f64::from(x - y).abs()).fold(0.0, f64::max).log10()
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
