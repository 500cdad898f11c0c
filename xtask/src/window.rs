//! The window's tests: every view and control, without a screen. They build a
//! toolkit that plain `cargo test` does not need.

use crate::Outcome;
use crate::shell;

/// Runs the tests of `tests/window`; pictures go to `tests/window/target/window`.
pub(crate) fn run() -> Outcome {
    shell::run("cargo", &["test", "--manifest-path", "tests/window/Cargo.toml"])
}
