//! Running other programs, saying which, and stopping at the first that fails.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use crate::Outcome;

/// A command that takes this long is told with its seconds.
const WORTH_TELLING_S: u64 = 5;

/// The top of the checkout.
pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Runs a command at the top of the checkout, after printing it.
pub(crate) fn run(program: &str, args: &[&str]) -> Outcome {
    finish(Command::new(program).args(args).current_dir(root()))
}

/// Runs a prepared command, after printing it; says how long it took when that was long.
pub(crate) fn finish(command: &mut Command) -> Outcome {
    let args: Vec<_> = command.get_args().map(|a| a.to_string_lossy().into_owned()).collect();
    let line = format!("{} {}", command.get_program().to_string_lossy(), args.join(" "));
    println!("• {line}");
    let begun = Instant::now();
    let status = command.status().map_err(|error| format!("{line}: {error}"))?;
    let took = begun.elapsed().as_secs();
    if took >= WORTH_TELLING_S {
        println!("  {took} s");
    }
    if status.success() { Ok(()) } else { Err(format!("{line}: {status}")) }
}

/// Cargo's own folder, with the crates that were fetched.
pub(crate) fn cargo_home() -> Result<PathBuf, String> {
    let home = || Some(PathBuf::from(std::env::var_os("HOME")?).join(".cargo"));
    std::env::var_os("CARGO_HOME").map(PathBuf::from).or_else(home).ok_or("no home folder".into())
}

/// Flags for the compiler that take paths of this machine out of what it makes: Cargo's folder, the
/// checkout, and `more` folders with what they shall be called.
pub(crate) fn without_paths(more: &[(&Path, &str)]) -> Result<String, String> {
    let own = |from: &Path, to: &str| format!("--remap-path-prefix={}={to}", from.display());
    let root = root().canonicalize().map_err(|e| e.to_string())?;
    let usual = [own(&cargo_home()?, "/cargo"), own(&root, "/underpin")];
    let more = more.iter().map(|(from, to)| own(from, to));
    Ok(usual.into_iter().chain(more).collect::<Vec<_>>().join(" "))
}

/// The folder of the Rust toolchain in use.
pub(crate) fn sysroot() -> Result<PathBuf, String> {
    let told = Command::new("rustc").args(["--print", "sysroot"]).output();
    let told = told.map_err(|e| e.to_string())?.stdout;
    Ok(PathBuf::from(String::from_utf8_lossy(&told).trim()))
}
