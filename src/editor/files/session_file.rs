//! What the stand-alone window was left with, in the user's folder: read when it opens, written
//! when something has changed. In a host its session does this.

use crate::editor::files::write_new::reason;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// Name of the file.
const FILE: &str = "last-session.json";

/// A larger file is no session, in bytes.
const LARGEST: u64 = 1 << 20;

/// The file, as long as it may be written.
#[derive(Debug, Default)]
pub struct SessionFile {
    path: Option<PathBuf>,
}

impl SessionFile {
    /// Reads the file in `folder`, and takes what it says by `admit`.
    ///
    /// # Errors
    /// One sentence where there is a file and nothing can be made of it. It may be worth something
    /// to somebody: it is left alone from then on.
    pub fn open(folder: &Path, admit: impl FnOnce(&str) -> bool) -> (Self, Result<(), String>) {
        let path = folder.join(FILE);
        let read = match fs::metadata(&path) {
            Err(why) if why.kind() == ErrorKind::NotFound => Ok(None),
            Ok(file) if file.len() > LARGEST => Err("it is too long".to_owned()),
            _ => fs::read_to_string(&path).map(Some).map_err(|why| reason(&why)),
        };
        let taken = read.and_then(|text| match text.is_none_or(|text| admit(&text)) {
            true => Ok(()),
            false => Err("it holds no session".into()),
        });
        let left =
            |why| format!("{} is left as it is and nothing is remembered: {why}.", path.display());
        match taken {
            Ok(()) => (Self { path: Some(path) }, Ok(())),
            Err(why) => (Self::default(), Err(left(why))),
        }
    }

    /// Whether anything is written.
    pub fn is_kept(&self) -> bool {
        self.path.is_some()
    }

    /// Writes `text` in the place of what is there; a run that ends half way leaves the old one.
    ///
    /// # Errors
    /// One sentence; the old one is still there.
    pub fn write(&self, text: &str) -> Result<(), String> {
        let Some(path) = &self.path else { return Ok(()) };
        let new = path.with_extension(format!("{}.new", std::process::id()));
        let written = fs::create_dir_all(path.parent().unwrap_or(path))
            .and_then(|()| fs::write(&new, text))
            .and_then(|()| fs::rename(&new, path));
        written.map_err(|why| {
            // What is half written is worth nothing; when even this fails, the first error says why.
            let _ = fs::remove_file(&new);
            format!("{} cannot be written: {}.", path.display(), reason(&why))
        })
    }
}
