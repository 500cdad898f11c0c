//! A take on its way into a file: a WAV of 32-bit floats that grows while it is heard.
//!
//! Until its end is written the header says that the length is not known, so that a file whose program
//! was killed can be read as far as it goes.

use crate::audio::encode::{Coder, Format, Spec, header};
use std::fs::{self, File};
use std::io::{self, BufWriter, Seek, SeekFrom, Write};
use std::path::PathBuf;

/// A file that grows.
pub(super) struct Growing {
    path: PathBuf,
    file: BufWriter<File>,
    coder: Coder,
    spec: Spec,
    frames: u64,
}

impl Growing {
    /// Begins in a file that is empty, for sound of `channels` at a rate in Hz that is no longer than
    /// `most_frames`.
    ///
    /// # Errors
    /// The system does not write.
    pub(super) fn begin(
        (path, file): (PathBuf, File),
        sample_rate_hz: f64,
        channels: usize,
        most_frames: u64,
    ) -> io::Result<Self> {
        let frames = Some(most_frames);
        let spec = Spec { sample_rate_hz, channels, format: Format::F32, seed: 1, frames };
        let mut file = BufWriter::new(file);
        file.write_all(&header(&spec, None))?;
        Ok(Self { path, file, coder: Coder::new(spec), spec, frames: 0 })
    }

    /// Appends frames, one vector a channel; what is longer than it may be is left out.
    ///
    /// # Errors
    /// The system does not write.
    pub(super) fn append(&mut self, block: &[Vec<f32>]) -> io::Result<()> {
        let frames = self.coder.encode(block) as u64;
        if self.spec.frames.is_some_and(|most| self.frames + frames > most) {
            return Ok(());
        }
        self.frames += frames;
        self.file.write_all(&self.coder.bytes)
    }

    /// Ends it: the header tells the length.
    ///
    /// # Errors
    /// The system does not write.
    pub(super) fn finish(mut self) -> io::Result<PathBuf> {
        self.file.seek(SeekFrom::Start(0))?;
        self.file.write_all(&header(&self.spec, Some(self.frames)))?;
        self.file.flush()?;
        self.file.get_ref().sync_all()?;
        Ok(self.path)
    }

    /// Takes the file away again: what it holds says nothing.
    pub(super) fn discard(self) {
        let path = self.path.clone();
        drop(self);
        // When even this fails, a file that says nothing stays behind.
        let _ = fs::remove_file(path);
    }
}
