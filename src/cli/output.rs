//! Where results go: a file that appears whole or not at all, or a stream.
//!
//! A file is written beside its place under a temporary name and renamed at
//! the end. What exists is replaced only when asked. `-` is standard output.

use std::fs::{File, Permissions};
use std::io::{self, BufWriter, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::cli::failure::{Code, Failure};
use crate::cli::stop::Writing;
use crate::cli::unfinished;

/// An output that is being written.
pub struct Output {
    name: String,
    to: To,
}

enum To {
    Stream(BufWriter<Box<dyn Write>>),
    // The temporary file stands before its guard: it is removed first.
    Place {
        file: BufWriter<NamedTempFile>,
        path: PathBuf,
        force: bool,
        /// Of the file that is replaced.
        mode: Option<Permissions>,
        _guard: Writing,
    },
}

impl Output {
    /// Begins to write at `path`; `-` is standard output.
    ///
    /// # Errors
    /// The file exists and `force` is not given, or its folder cannot be written.
    pub fn create(path: &Path, force: bool) -> Result<Self, Failure> {
        let name = path.display().to_string();
        if path == Path::new("-") {
            let stream: Box<dyn Write> = Box::new(io::stdout());
            let to = To::Stream(BufWriter::new(stream));
            return Ok(Self { name: "standard output".into(), to });
        }
        let failed = |error| Failure::unwritable(&name, &error);
        match path.metadata() {
            Ok(there) if there.is_dir() => {
                let sentence = format!("cannot write {name}: it is a folder");
                return Err(Failure::new(Code::Unwritable, sentence));
            }
            // A device or a named pipe is written to, never renamed over.
            Ok(there) if !there.is_file() => {
                let stream: Box<dyn Write> =
                    Box::new(File::options().write(true).open(path).map_err(failed)?);
                return Ok(Self { name, to: To::Stream(BufWriter::new(stream)) });
            }
            Ok(_) if !force => return Err(exists(&name)),
            _ => {}
        }
        let mode = path.metadata().ok().map(|there| there.permissions());
        // A link keeps pointing where it points: its target is what is replaced.
        let path = &path.canonicalize().unwrap_or_else(|_| path.into());
        let folder = folder_of(path);
        if !folder.is_dir() {
            let sentence = format!("cannot write {name}: there is no folder {}", folder.display());
            return Err(Failure::new(Code::Unwritable, sentence));
        }
        let guard = Writing::begin();
        let file = BufWriter::with_capacity(1 << 16, unfinished::begin(folder).map_err(failed)?);
        Ok(Self { to: To::Place { file, path: path.into(), force, mode, _guard: guard }, name })
    }

    /// True when bytes already written can be changed.
    pub fn is_file(&self) -> bool {
        matches!(self.to, To::Place { .. })
    }

    /// Appends bytes.
    ///
    /// # Errors
    /// As the system reports; a closed pipe has its own code.
    pub fn write(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        let written = match &mut self.to {
            To::Stream(stream) => stream.write_all(bytes),
            To::Place { file, .. } => file.write_all(bytes),
        };
        written.map_err(|error| Failure::unwritable(&self.name, &error))
    }

    /// Changes the first bytes of a file; does nothing on a stream.
    ///
    /// # Errors
    /// As the system reports.
    pub fn rewrite_start(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        let To::Place { file, .. } = &mut self.to else { return Ok(()) };
        file.seek(SeekFrom::Start(0))
            .and_then(|_| file.write_all(bytes))
            .map_err(|error| Failure::unwritable(&self.name, &error))
    }

    /// Ends the output: from now on the file stands in its place.
    ///
    /// # Errors
    /// As the system reports, or when the file has appeared meanwhile.
    pub fn commit(self) -> Result<(), Failure> {
        let failed = |error: io::Error| match error.kind() {
            io::ErrorKind::AlreadyExists => exists(&self.name),
            _ => Failure::unwritable(&self.name, &error),
        };
        match self.to {
            To::Stream(mut stream) => stream.flush().map_err(failed),
            To::Place { file, path, force, mode, _guard } => {
                let file = file.into_inner().map_err(|error| failed(error.into_error()))?;
                if let Some(mode) = mode {
                    file.as_file().set_permissions(mode).map_err(failed)?;
                }
                let placed = if force { file.persist(path) } else { file.persist_noclobber(path) };
                placed.map(drop).map_err(|error| failed(error.error))
            }
        }
    }
}

/// Writes a whole text at once.
///
/// # Errors
/// As [`Output::create`] and [`Output::commit`].
pub fn write_text(path: &Path, force: bool, text: &str) -> Result<(), Failure> {
    write_bytes(path, force, text.as_bytes())
}

/// A whole file at once.
///
/// # Errors
/// As [`Output::create`] and [`Output::commit`].
pub fn write_bytes(path: &Path, force: bool, bytes: &[u8]) -> Result<(), Failure> {
    let mut output = Output::create(path, force)?;
    output.write(bytes)?;
    output.commit()
}

/// Text to standard output.
///
/// # Errors
/// A closed pipe, which is no error to the user but ends the command.
pub fn print(text: &str) -> Result<(), Failure> {
    write_text(Path::new("-"), false, text)
}

fn exists(name: &str) -> Failure {
    Failure::new(Code::Unwritable, format!("{name} exists; --force replaces it"))
}

/// The folder a file lies in.
fn folder_of(path: &Path) -> &Path {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}
