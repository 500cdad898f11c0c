//! The folder in which the window keeps pictures, figures and presets: written once, never over
//! another file.

use std::fs::{self, File, OpenOptions};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// How many files of one name there may be.
const MOST: usize = 9999;

/// Writes `bytes` as `stem.ending`, or `stem-2.ending` and so on where that is taken; returns
/// where they stand.
///
/// # Errors
/// One sentence; nothing is left half written.
pub fn keep(folder: &Path, stem: &str, ending: &str, bytes: &[u8]) -> Result<PathBuf, String> {
    keep_all(folder, stem, &[(ending, bytes)]).map(|mut files| files.swap_remove(0))
}

/// The same for files that belong together: they have one stem, and one number where a file of
/// that stem is there already.
///
/// # Errors
/// One sentence; either all are there or none is.
pub fn keep_all(
    folder: &Path,
    stem: &str,
    files: &[(&str, &[u8])],
) -> Result<Vec<PathBuf>, String> {
    let failed = |path: &Path, why: std::io::Error| {
        format!("{} cannot be written: {}.", path.display(), reason(&why))
    };
    fs::create_dir_all(folder).map_err(|why| failed(folder, why))?;
    for count in 1..=MOST {
        let stem = if count == 1 { stem.to_owned() } else { format!("{stem}-{count}") };
        let path = |ending: &str| folder.join(format!("{stem}.{ending}"));
        if files.iter().any(|(ending, _)| path(ending).exists()) {
            continue;
        }
        let mut written: Vec<PathBuf> = Vec::new();
        for (ending, bytes) in files {
            match write(&path(ending), bytes) {
                Ok(()) => written.push(path(ending)),
                Err(why) => {
                    // What was written is worth nothing without the rest; when even this fails,
                    // the first error says why.
                    written.iter().for_each(|file| drop(fs::remove_file(file)));
                    written.clear();
                    // Somebody else was quicker: the next number.
                    if why.kind() == ErrorKind::AlreadyExists {
                        break;
                    }
                    return Err(failed(&path(ending), why));
                }
            }
        }
        if written.len() == files.len() {
            return Ok(written);
        }
    }
    Err(format!("{} holds {MOST} files of this name already.", folder.display()))
}

/// Writes a file that is not there yet.
fn write(path: &Path, bytes: &[u8]) -> Result<(), std::io::Error> {
    let file = OpenOptions::new().write(true).create_new(true).open(path)?;
    fill(file, path, bytes)
}

/// Writes the whole file, or takes it away again.
fn fill(mut file: File, path: &Path, bytes: &[u8]) -> Result<(), std::io::Error> {
    match file.write_all(bytes).and_then(|()| file.sync_all()) {
        Ok(()) => Ok(()),
        Err(why) => {
            drop(file);
            // What is half written is worth nothing; when even this fails, the first error says why.
            let _ = fs::remove_file(path);
            Err(why)
        }
    }
}

/// Why, in words without a number.
pub fn reason(why: &std::io::Error) -> String {
    let words = why.to_string();
    let words = words.split(" (os error").next().unwrap_or_default().to_lowercase();
    words.trim_end_matches('.').to_owned()
}
