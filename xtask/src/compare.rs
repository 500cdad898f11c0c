//! The octave engine beside general-purpose pitch shifters, as a document.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::Outcome;
use crate::shell::{self, root};

/// Debian packages, and the program that shows that each is there.
const PACKAGES: [(&str, &str); 2] =
    [("sox", "/usr/bin/sox"), ("rubberband-cli", "/usr/bin/rubberband")];

const ABOUT: &str = "\
# Beside general-purpose pitch shifters

Written by `cargo xtask compare`: the goals' signals ([octave.md](octave.md) says what each is), the same measures, one
run. `sox` and `rubberband` hear the signal low-passed as the engine's own input is (fourth order, 170 Hz) and shift it
by an octave. \u{2717} marks a goal missed.

It is not like for like. Both shifters work on files: they look ahead, so their rises begin before the sound does and
cost a listener latency instead; the engine looks at nothing that has not been played and adds no latency to the dry
sound. Both shift everything, the engine makes notes below 100 Hz. Their settings are those a careful user would try
first, no more. A level they lose is counted as an error, though a knob could give some of it back.

The rows of untouched recordings are of sounds that nobody looked at while the engine was made, at their own speed.

";

/// Installs what is missing, runs the bench, writes `docs/octave-compare.md`.
pub(crate) fn run() -> Outcome {
    let missing = || PACKAGES.iter().filter(|(_, file)| !Path::new(file).exists());
    if missing().next().is_some() {
        shell::run("apt-get", &["update", "--quiet"])?;
        let install = ["install", "--yes", "--quiet", "--no-install-recommends"];
        let names = missing().map(|(name, _)| *name);
        shell::run("apt-get", &install.into_iter().chain(names).collect::<Vec<_>>())?;
    }
    let bench = ["bench", "--bench", "compare"];
    println!("\u{2022} cargo {}", bench.join(" "));
    let ran = Command::new("cargo").args(bench).current_dir(root()).output();
    let ran = ran.map_err(|error| error.to_string())?;
    let table = String::from_utf8_lossy(&ran.stdout);
    if !ran.status.success() || !table.starts_with('|') {
        return Err(format!("{table}{}", String::from_utf8_lossy(&ran.stderr)));
    }
    let of = |program: &str| {
        let told = Command::new(program).arg("--version").output().ok();
        let told = told.map(|told| [told.stdout, told.stderr].concat()).unwrap_or_default();
        String::from_utf8_lossy(&told).lines().next().unwrap_or_default().trim().to_owned()
    };
    let versions = format!("{}; rubberband {}.\n\n", of("sox"), of("rubberband"));
    let document = root().join("docs/octave-compare.md");
    fs::write(&document, format!("{ABOUT}{versions}{table}"))
        .map_err(|error| format!("{}: {error}", document.display()))?;
    println!("wrote {}", document.display());
    Ok(())
}
