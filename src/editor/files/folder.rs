//! The user's own folder: what the window reads and writes lies in plain sight.

use std::env;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::{fs, thread};

/// `Underpin` in the user's home, or what `UNDERPIN_FOLDER` names; `None` without a home.
pub fn own() -> Option<PathBuf> {
    let named = |name: &str| env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let home = || named(if cfg!(windows) { "USERPROFILE" } else { "HOME" });
    named("UNDERPIN_FOLDER").or_else(|| home().map(|home| home.join("Underpin")))
}

/// Shows a folder, made if it is not there, in what the system shows folders with.
///
/// # Errors
/// One sentence when there is no such program.
pub fn open(folder: &Path) -> Result<(), String> {
    let shows = match () {
        () if cfg!(windows) => "explorer",
        () if cfg!(target_os = "macos") => "open",
        () => "xdg-open",
    };
    let failed = |_| format!("{} could not be shown: look there yourself.", folder.display());
    fs::create_dir_all(folder).map_err(failed)?;
    let quiet = Command::new(shows).arg(folder).stdin(Stdio::null()).stdout(Stdio::null()).spawn();
    let mut child = quiet.map_err(failed)?;
    // Somebody must wait for its end, and the window must not.
    thread::spawn(move || child.wait());
    Ok(())
}
