//! The temporary files that outputs are written to, and those that a killed run has left.
//!
//! Whoever writes one holds a lock on it. A file of that name without a lock belongs to nobody
//! any more: it is named, not removed.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use tempfile::NamedTempFile;

use crate::cli::remark;

/// How the name of such a file begins.
pub(super) const PREFIX: &str = ".unfinished-";

/// A temporary file in `folder`, with the permissions of a new file, locked by this run.
pub(super) fn begin(folder: &Path) -> io::Result<NamedTempFile> {
    say_left_over(folder);
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // The system takes away what the user's mask forbids.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let file = builder.tempfile_in(folder)?;
    // Without a lock another run only names a file that is still in use.
    let _ = file.as_file().lock();
    Ok(file)
}

/// Names what a killed run has left in `folder`, each file once.
fn say_left_over(folder: &Path) {
    static SAID: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());
    let mut said = SAID.lock().unwrap_or_else(PoisonError::into_inner);
    let entries = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok);
    let ours = entries.filter(|e| e.file_name().to_string_lossy().starts_with(PREFIX));
    for path in ours.map(|entry| entry.path()).filter(|path| is_left_over(path)) {
        if !said.contains(&path) {
            let why = "is left over from a run that was killed: it can be removed";
            remark(&format!("{} {why}", path.display()));
            said.push(path);
        }
    }
}

/// True when nobody holds the lock of the file.
fn is_left_over(path: &Path) -> bool {
    path.is_file() && File::open(path).is_ok_and(|file| file.try_lock().is_ok())
}
