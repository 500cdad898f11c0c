//! The figures of the captures at their full number of seeds, as tables.

use std::fs;
use std::process::Command;

use crate::Outcome;
use crate::shell::{self, finish, root};

/// The tables in the order of the document.
const TABLES: [&str; 16] = [
    "markers",
    "foreign-sound",
    "clocks",
    "codecs",
    "refusals",
    "responses",
    "corners",
    "slopes",
    "causes",
    "border",
    "polarity",
    "tunings",
    "devices",
    "own-methods",
    "foreign",
    "foreign-cases",
];

/// Seeds of each case of foreign gear.
const FOREIGN_SEEDS: &str = "5";

/// Random radios of the walk.
const WALK: &str = "500";

/// Installs the encoders of the codecs, where they are missing.
fn codecs() -> Outcome {
    if finish(Command::new("ffmpeg").args(["-v", "error", "-version"])).is_ok() {
        return Ok(());
    }
    shell::run("apt-get", &["update", "--quiet"])?;
    let install = ["install", "--yes", "--quiet", "--no-install-recommends", "ffmpeg"];
    shell::run("apt-get", &install)
}

/// Runs the long form and writes `docs/captures-figures.md`.
pub(crate) fn run() -> Outcome {
    let out = root().join("out/captures");
    fs::create_dir_all(&out).map_err(|e| format!("{}: {e}", out.display()))?;
    codecs()?;
    // The foreign gear uses every processor by itself.
    for test in ["captures", "codecs", "foreign"] {
        let test = ["test", "--release", "--test", test, "--", "--test-threads", "1"];
        let test = [&test[..], &["--nocapture"]].concat();
        finish(
            Command::new("cargo")
                .args(test)
                .current_dir(root())
                .env("UNDERPIN_CAPTURES", "long")
                .env("UNDERPIN_FOREIGN", FOREIGN_SEEDS)
                .env("UNDERPIN_WALK", WALK)
                .env("UNDERPIN_CAPTURES_OUT", &out),
        )?;
    }
    let mut text = String::from(
        "# Figures of the captures\n\nWritten by `cargo xtask captures`; what they mean stands in captures.md.\n",
    );
    for name in TABLES {
        let table = out.join(format!("{name}.md"));
        let table = fs::read_to_string(&table).map_err(|e| format!("{}: {e}", table.display()))?;
        text.push('\n');
        text.push_str(&table);
    }
    let document = root().join("docs/captures-figures.md");
    fs::write(&document, text).map_err(|e| format!("{}: {e}", document.display()))?;
    println!("wrote {}", document.display());
    Ok(())
}
