//! Program and plugin type-checked for macOS, which was not run: what calls a function that only
//! other systems have fails here, what behaves otherwise there does not.

use std::process::Command;

use crate::shell::{finish, root};
use crate::{Outcome, bundle, debian};

const TARGET: &str = "aarch64-apple-darwin";

/// What is checked: the program, and the plugin with its window.
const PARTS: [&[&str]; 2] =
    [&["--bin", "underpin"], &["--lib", "--no-default-features", "--features", "plugin"]];

/// Checks both.
pub(crate) fn run() -> Outcome {
    for part in PARTS {
        let mut cargo = Command::new("cargo");
        cargo.arg("check").args(part);
        debian::aim(&mut cargo, TARGET, "std,panic_unwind")?;
        cargo.env("CARGO_TARGET_DIR", bundle::target().join("macos"));
        finish(cargo.current_dir(root()))?;
    }
    Ok(())
}
