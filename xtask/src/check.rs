//! Everything that can be checked with Rust and a C compiler alone.

use crate::shell;
use crate::{Outcome, bundle, faults, hosts, window};

/// Format, feature wall, lints, tests, documentation.
pub(crate) fn run() -> Outcome {
    shell::run("cargo", &["fmt", "--all", "--check"])?;
    // The feature wall: the pure half builds without program and plugin, and with
    // files alone, as the page has it.
    let bare = ["check", "--quiet", "--no-default-features"];
    shell::run("cargo", &bare)?;
    shell::run("cargo", &[&bare[..], &["--features", "files"]].concat())?;
    shell::run(
        "cargo",
        &["clippy", "--quiet", "--workspace", "--all-targets", "--", "-D", "warnings"],
    )?;
    // The list of planted faults follows the tree; planting them is a verb of its own.
    faults::run(None, true)?;
    shell::run("cargo", &["test", "--workspace"])?;
    hosts::lints()?;
    window::run()?;
    plugin()?;
    shell::run("cargo", &["doc", "--quiet", "--no-deps", "--document-private-items"])
}

/// The plugin, built to end its host at the first allocation in `process`, and what our own CLAP
/// host finds in it: neither needs a system package.
fn plugin() -> Outcome {
    bundle::library(&["--features", "assert_process_allocs"])?;
    let [clap, _] = bundle::plugins(&bundle::target().join("debug"))?;
    hosts::clap_host(&clap, &hosts::CLAP_TESTS)
}
