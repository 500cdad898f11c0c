//! Sound in files: opened by path, written as WAV.

mod write;

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;

use crate::audio::{Reader, Unreadable};
use crate::cli::failure::Failure;
pub use write::Writer;

impl From<Unreadable> for Failure {
    fn from(error: Unreadable) -> Self {
        Self::unreadable(&error.name, error.why)
    }
}

/// Opens a file of any kind that can be read; `-` is standard input.
/// Streams are first copied to a temporary file, to their end.
///
/// # Errors
/// One sentence: no such file, or not a file of sound that can be read.
pub fn open(path: &Path) -> Result<Reader, Failure> {
    let name = path.display().to_string();
    let (file, streamed) = open_whole(path).map_err(|error| Failure::unreadable(&name, error))?;
    Ok(Reader::new(&name, Box::new(file), streamed)?)
}

/// A file that can be read from its start again and again: standard input and
/// named pipes are copied to a temporary one. Whether it came as a stream.
fn open_whole(path: &Path) -> io::Result<(File, bool)> {
    if path == Path::new("-") {
        return Ok((spool(&mut io::stdin().lock())?, true));
    }
    let mut file = File::open(path)?;
    let kind = file.metadata()?.file_type();
    match (kind.is_file(), kind.is_dir()) {
        (true, _) => Ok((file, false)),
        (_, true) => Err(io::Error::other("it is a folder")),
        _ => Ok((spool(&mut file)?, true)),
    }
}

/// A stream as a file without a name, from its start.
fn spool(stream: &mut impl Read) -> io::Result<File> {
    let mut file = tempfile::tempfile()?;
    io::copy(stream, &mut file)?;
    file.seek(SeekFrom::Start(0))?;
    Ok(file)
}
