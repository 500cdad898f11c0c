//! Open recordings for the tests: Debian's `sonic-pi-samples`, whose sounds
//! are dedicated to the public domain (CC0). Downloaded and unpacked, not installed.

use std::fs;
use std::process::Command;

use crate::Outcome;
use crate::shell::{finish, root};

const PACKAGE: &str = "sonic-pi-samples";

/// Fetches the recordings into `data/recordings`, unless they are there.
pub(crate) fn run() -> Outcome {
    let data = root().join("data");
    let unpacked = data.join("recordings");
    if unpacked.is_dir() {
        println!("recordings are in {}", unpacked.display());
        return Ok(());
    }
    let fetched = data.join("fetched");
    fs::create_dir_all(&fetched).map_err(|e| format!("{}: {e}", fetched.display()))?;
    download(&fetched)?;
    let package = fs::read_dir(&fetched)
        .map_err(|e| e.to_string())?
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .find(|path| path.extension().is_some_and(|e| e == "deb"))
        .ok_or(format!("{PACKAGE} was not downloaded"))?;
    let partial = data.join("unpacking");
    finish(Command::new("dpkg").arg("-x").arg(package).arg(&partial))?;
    fs::rename(&partial, &unpacked).map_err(|e| e.to_string())?;
    println!("recordings are in {}", unpacked.display());
    Ok(())
}

/// Downloads the package; a machine that has never read its package lists reads them first.
fn download(into: &std::path::Path) -> Outcome {
    let fetch = || finish(Command::new("apt-get").args(["download", PACKAGE]).current_dir(into));
    fetch().or_else(|_| {
        finish(Command::new("apt-get").arg("update"))?;
        fetch()
    })
}
