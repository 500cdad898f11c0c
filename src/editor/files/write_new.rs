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
    let failed = |path: &Path, why: std::io::Error| {
        format!("{} cannot be written: {}.", path.display(), reason(&why))
    };
    fs::create_dir_all(folder).map_err(|why| failed(folder, why))?;
    for count in 1..=MOST {
        let name = match count {
            1 => format!("{stem}.{ending}"),
            count => format!("{stem}-{count}.{ending}"),
        };
        let path = folder.join(name);
        match OpenOptions::new().write(true).create_new(true).open(&path) {
            Ok(file) => return fill(file, &path, bytes).map_err(|why| failed(&path, why)),
            Err(why) if why.kind() == ErrorKind::AlreadyExists => {}
            Err(why) => return Err(failed(&path, why)),
        }
    }
    Err(format!("{} holds {MOST} files of this name already.", folder.display()))
}

/// Writes the whole file, or takes it away again.
fn fill(mut file: File, path: &Path, bytes: &[u8]) -> Result<PathBuf, std::io::Error> {
    match file.write_all(bytes).and_then(|()| file.sync_all()) {
        Ok(()) => Ok(path.to_owned()),
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
