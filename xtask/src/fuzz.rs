//! Fuzzing: bytes nobody thought of, for everything that reads a file, a text or a host.
//!
//! The engine is libFuzzer; the code is built with the coverage counters it steers by, which
//! this Rust can do without a compiler of its own. Inputs that are worth keeping lie in
//! `fuzz/corpus` and begin every run; what a run finds besides goes to the target folder.

use std::fs;
use std::process::Command;

use crate::Outcome;
use crate::bundle;
use crate::shell::{finish, root};

/// Each target, and the longest input it is given, in bytes.
const TARGETS: [(&str, u32); 7] = [
    ("sound", 10_000),
    ("preset", 2048),
    ("plan", 24_000),
    ("setting", 64),
    ("arguments", 256),
    ("capture", 65_536),
    ("line", 2048),
];

/// Counters at every branch, as libFuzzer reads them.
const FLAGS: &str = "-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 \
    -Cllvm-args=-sanitizer-coverage-inline-8bit-counters \
    -Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares \
    --cfg fuzzing";

/// The host's own name for the target: flags must not reach what is built for the build.
const HOST: &str = "x86_64-unknown-linux-gnu";

/// Runs each target, or the one named, for so many seconds.
pub(crate) fn run(seconds: &str, only: Option<&str>) -> Outcome {
    let seconds: u32 = seconds.parse().map_err(|_| "fuzz takes seconds for each target")?;
    let home = root().join("fuzz");
    let built = bundle::target().join("fuzz");
    let mut cargo = Command::new("cargo");
    cargo.args(["build", "--release", "--quiet", "--target", HOST]).current_dir(&home);
    finish(cargo.env("RUSTFLAGS", FLAGS).env("CARGO_TARGET_DIR", &built))?;
    for (target, longest) in TARGETS.iter().filter(|(name, _)| only.is_none_or(|o| o == *name)) {
        let found = built.join("found").join(target);
        fs::create_dir_all(&found).map_err(|e| format!("{}: {e}", found.display()))?;
        let mut fuzzer = Command::new(built.join(HOST).join("release").join(target));
        fuzzer.arg(&found).arg(home.join("corpus").join(target));
        fuzzer.arg(format!("-max_total_time={seconds}")).arg(format!("-max_len={longest}"));
        fuzzer.args(["-rss_limit_mb=512", "-timeout=10", "-print_final_stats=1", "-verbosity=0"]);
        finish(fuzzer.current_dir(&built))?;
    }
    Ok(())
}
