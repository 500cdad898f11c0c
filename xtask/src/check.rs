//! Everything that can be checked with Rust and a C compiler alone.

use crate::Outcome;
use crate::shell;

/// Format, feature wall, lints, tests, documentation.
pub(crate) fn run() -> Outcome {
    shell::run("cargo", &["fmt", "--all", "--check"])?;
    // The feature wall: the pure half builds without program and plugin.
    shell::run("cargo", &["check", "--quiet", "--no-default-features"])?;
    shell::run(
        "cargo",
        &["clippy", "--quiet", "--workspace", "--all-targets", "--", "-D", "warnings"],
    )?;
    shell::run("cargo", &["test", "--workspace"])?;
    shell::run("cargo", &["doc", "--quiet", "--no-deps", "--document-private-items"])
}
