//! Open recordings for tests and benches, from packages of Debian: downloaded and unpacked, not
//! installed and not distributed with the project.
//!
//! `sonic-pi-samples` is dedicated to the public domain (CC0). `hydrogen-drumkits` is under GPL 2
//! or later, CC0, CC BY 3.0 and CC BY-SA 3.0, kit by kit; `lmms-common` under GPL 2 or later;
//! `freepats` under the GPL with an exception for music. Each package's `copyright` lies with it.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::Outcome;
use crate::shell::{finish, root};

const PACKAGES: [&str; 4] = ["sonic-pi-samples", "hydrogen-drumkits", "lmms-common", "freepats"];

/// Fetches what is missing into `data/recordings`.
pub(crate) fn run() -> Outcome {
    let data = root().join("data");
    let unpacked = data.join("recordings");
    for package in PACKAGES {
        // Every package brings its licence, and unpacks it with the rest.
        if !unpacked.join("usr/share/doc").join(package).is_dir() {
            fetch(package, &data, &unpacked)?;
        }
    }
    println!("recordings are in {}", unpacked.display());
    Ok(())
}

fn fetch(package: &str, data: &Path, unpacked: &Path) -> Outcome {
    let told = |path: &Path, error: std::io::Error| format!("{}: {error}", path.display());
    let fetched = data.join("fetched").join(package);
    fs::create_dir_all(&fetched).map_err(|e| told(&fetched, e))?;
    download(package, &fetched)?;
    let archive = fs::read_dir(&fetched)
        .map_err(|e| told(&fetched, e))?
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .find(|path| path.extension().is_some_and(|e| e == "deb"))
        .ok_or(format!("{package} was not downloaded"))?;
    finish(Command::new("dpkg").arg("-x").arg(archive).arg(unpacked))
}

/// Downloads a package; a machine that has never read its package lists reads them first.
fn download(package: &str, into: &Path) -> Outcome {
    let fetch = || finish(Command::new("apt-get").args(["download", package]).current_dir(into));
    fetch().or_else(|_| {
        finish(Command::new("apt-get").arg("update"))?;
        fetch()
    })
}
