//! Builds the tests of the tree once and runs them with one fault on.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::Duration;

use super::NUMBER;
use super::list::{Fault, HOST, SUITES};
use crate::shell::{finish, root};
use crate::{Outcome, bundle};

/// A fault that makes a test run on for ever is noticed after this time.
const PATIENCE: Duration = Duration::from_secs(300);

/// The built test programs by name, and where they run.
pub(super) struct Suites {
    programs: BTreeMap<String, PathBuf>,
    tree: PathBuf,
}

/// Builds what the tests of `faults` need: the test programs of the tree, and for those of the
/// CLAP host the plugin of the tree.
pub(super) fn build(tree: &Path, faults: &[&Fault]) -> Result<Suites, String> {
    let named = |suite: &str| faults.iter().any(|f| f.tests.iter().any(|(s, _)| s == suite));
    let own = SUITES.iter().filter(|suite| **suite != HOST && named(suite));
    let tests: Vec<&str> = own.flat_map(|suite| ["--test", suite]).collect();
    let mut programs = BTreeMap::new();
    if !tests.is_empty() {
        programs.extend(executables(&tests, tree, &target())?);
    }
    if named(HOST) {
        let library = ["rustc", "--lib", "--crate-type", "cdylib", "--no-default-features"];
        let plugin = ["--quiet", "--features", "plugin"];
        let mut cargo = Command::new("cargo");
        cargo.args(library).args(plugin).current_dir(tree).env("CARGO_TARGET_DIR", target());
        finish(&mut cargo)?;
        let hosts = bundle::target().join("hosts");
        programs.extend(executables(&["--test", HOST], &root().join("hosts"), &hosts)?);
    }
    Ok(Suites { programs, tree: tree.into() })
}

/// The folder the tree is built into.
pub(super) fn target() -> PathBuf {
    bundle::target().join("faults/target")
}

/// Builds test programs, and says where cargo has put them.
fn executables(
    tests: &[&str],
    folder: &Path,
    target: &Path,
) -> Result<BTreeMap<String, PathBuf>, String> {
    let mut cargo = Command::new("cargo");
    cargo.args(["test", "--no-run"]).args(tests).current_dir(folder);
    let built = cargo.env("CARGO_TARGET_DIR", target).output().map_err(|e| e.to_string())?;
    let said = String::from_utf8_lossy(&built.stderr);
    if !built.status.success() {
        return Err(format!("the tests do not build:\n{said}"));
    }
    // `  Executable tests/it/main.rs (…/deps/it-0123)`
    let program = |line: &str| {
        let path = line.trim().strip_prefix("Executable ")?.rsplit_once(" (")?.1;
        let path = Path::new(path.trim_end_matches(')'));
        let name = path.file_name()?.to_str()?.rsplit_once('-')?.0.to_string();
        Some((name, folder.join(path)))
    };
    Ok(said.lines().filter_map(program).collect())
}

/// Without a fault every test that is named passes: else nothing noticed means anything.
pub(super) fn stays_green(suites: &Suites, faults: &[&Fault]) -> Outcome {
    for suite in SUITES {
        let named = || faults.iter().flat_map(|f| &f.tests).filter(|(s, _)| s == suite);
        if named().next().is_none() {
            continue;
        }
        let whole = named().any(|(_, tests)| tests.is_empty());
        let tests: BTreeSet<String> = named().flat_map(|(_, tests)| tests.clone()).collect();
        let tests: Vec<String> = if whole { Vec::new() } else { tests.into_iter().collect() };
        let ran = command(suites, suite, &tests, 0)?.output().map_err(|e| e.to_string())?;
        if !ran.status.success() {
            let said = String::from_utf8_lossy(&ran.stdout);
            let failed: Vec<&str> = said.lines().filter(|line| line.ends_with("FAILED")).collect();
            return Err(format!("without any fault these fail in {suite}:\n{}", failed.join("\n")));
        }
    }
    Ok(())
}

/// Whether any of a fault's tests fails with it on.
pub(super) fn notices(suites: &Suites, fault: &Fault) -> Result<bool, String> {
    for (suite, tests) in &fault.tests {
        if !passes(suites, suite, tests, fault.number)? {
            return Ok(true);
        }
    }
    Ok(false)
}

fn passes(suites: &Suites, suite: &str, tests: &[String], number: usize) -> Result<bool, String> {
    let mut child = command(suites, suite, tests, number)?.spawn().map_err(|e| e.to_string())?;
    wait(&mut child)
}

/// A test program with one fault on.
fn command(
    suites: &Suites,
    suite: &str,
    tests: &[String],
    number: usize,
) -> Result<Command, String> {
    let program = suites.programs.get(suite).ok_or(format!("cargo did not build {suite}"))?;
    let mut command = Command::new(program);
    command.args(tests).current_dir(&suites.tree).env(NUMBER, number.to_string());
    command.env("UNDERPIN_CLAP", target().join("debug").join(bundle::library_file()));
    command.stdout(Stdio::piped()).stderr(Stdio::null()).stdin(Stdio::null());
    Ok(command)
}

/// Whether the program ends well and in time; the first test that fails ends it.
fn wait(child: &mut Child) -> Result<bool, String> {
    let said = child.stdout.take().ok_or("no output of the tests")?;
    let (tell, told) = mpsc::channel();
    std::thread::spawn(move || {
        let lines = BufReader::new(said).lines().map_while(Result::ok);
        // Nobody listens any more once the patience is over.
        let _ = tell.send(lines.into_iter().any(|line| line.ends_with("FAILED")));
    });
    if told.recv_timeout(PATIENCE) != Ok(false) {
        let _ = child.kill();
        let _ = child.wait();
        return Ok(false);
    }
    child.wait().map(|status| status.success()).map_err(|e| e.to_string())
}
