//! The user's own folder: what the window reads and writes lies in plain sight.

use std::env;
use std::path::PathBuf;

/// `Underpin` in the user's home, or what `UNDERPIN_FOLDER` names; `None` without a home.
pub fn own() -> Option<PathBuf> {
    let named = |name: &str| env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let home = || named(if cfg!(windows) { "USERPROFILE" } else { "HOME" });
    named("UNDERPIN_FOLDER").or_else(|| home().map(|home| home.join("Underpin")))
}
