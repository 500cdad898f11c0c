//! Sound from files, a block at a time, whatever their length.
//!
//! WAV is read here, with the oddities that recorders and pipes produce; FLAC,
//! MP3, AAC and OGG Vorbis are read by a kept library.

mod coded;
mod wav;
mod write;

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::ops::RangeInclusive;
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::cli::failure::Failure;
use crate::path::FAULT;
pub use write::{Format, Spec, Writer, header, in_memory};

/// Frames that are read and written at a time.
pub const BLOCK: usize = 4096;

/// Sample rates that are read, in Hz: those the line runs at.
const RATES_HZ: RangeInclusive<u32> = 8_000..=768_000;

/// What a file says about itself.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::cli) struct About {
    kind: String,
    sample_rate_hz: u32,
    channels_in_file: usize,
    frames: Option<u64>,
    note: String,
}

/// A file of sound that is being read.
pub struct Reader {
    name: String,
    about: About,
    file: File,
    source: Source,
    /// Samples so far that were no numbers.
    faulty: u64,
    /// Samples so far that were louder than any sound.
    wild: u64,
    /// Most channels that are handed out.
    most_channels: usize,
}

enum Source {
    Wav(wav::Wav),
    Coded(Box<coded::Coded>),
}

impl Reader {
    /// Opens a file of any kind that can be read; `-` is standard input.
    /// Streams are first copied to a temporary file, to their end.
    ///
    /// # Errors
    /// One sentence: no such file, or not a file of sound that can be read.
    pub fn open(path: &Path) -> Result<Self, Failure> {
        let name = path.display().to_string();
        Self::open_as(path, &name).map_err(|why| Failure::unreadable(&name, why))
    }

    fn open_as(path: &Path, name: &str) -> Result<Self, String> {
        let (mut file, streamed) = open_whole(path).map_err(|error| error.to_string())?;
        let mut start = [0; 12];
        let length = file.read(&mut start).map_err(|error| error.to_string())?;
        if length == 0 {
            return Err("it is empty".into());
        }
        let copy = file
            .seek(SeekFrom::Start(0))
            .and_then(|_| file.try_clone())
            .map_err(|error| format!("it cannot be read twice ({error})"))?;
        let (about, source) = match wav::is_wav(&start[..length]) {
            true => wav::Wav::open(file, streamed).map(|(about, wav)| (about, Source::Wav(wav)))?,
            false => coded::Coded::open(file, path.extension())
                .map(|(about, coded)| (about, Source::Coded(Box::new(coded))))?,
        };
        let rate = about.sample_rate_hz;
        if !RATES_HZ.contains(&rate) {
            let [low, high] = [RATES_HZ.start(), RATES_HZ.end()];
            return Err(format!(
                "its sample rate of {rate} Hz is not read: {low} to {high} Hz are"
            ));
        }
        Ok(Self {
            name: name.into(),
            about,
            file: copy,
            source,
            faulty: 0,
            wild: 0,
            most_channels: 2,
        })
    }

    /// Name of the file as it was given.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Kind of the file, e.g. `WAV, 24 bit`.
    pub fn kind(&self) -> &str {
        &self.about.kind
    }

    /// Sample rate in Hz.
    pub fn sample_rate_hz(&self) -> f64 {
        f64::from(self.about.sample_rate_hz)
    }

    /// Number of channels that are read: 1 or 2, or all after [`Reader::read_all_channels`].
    pub fn channels(&self) -> usize {
        self.about.channels_in_file.min(self.most_channels)
    }

    /// Hands out every channel of the file, up to eight.
    pub fn read_all_channels(&mut self) {
        self.most_channels = 8;
    }

    /// Whether the file is of a codec that throws sound away.
    pub fn is_lossy(&self) -> bool {
        let kind = self.kind().to_lowercase();
        ["mp3", "aac", "vorbis", "opus"].iter().any(|codec| kind.contains(codec))
    }

    /// Length in frames, when the file tells; exact for WAV and FLAC.
    pub fn frames(&self) -> Option<u64> {
        self.about.frames
    }

    /// Everything odd about the file that a reader of the results should
    /// know, one sentence each. Complete only after the last frame was read.
    pub fn notes(&self) -> Vec<String> {
        let many = self.about.channels_in_file;
        let used = self.channels();
        let channels = (many > used).then(|| match used {
            2 => format!("{many} channels: the first two are used"),
            used => format!("{many} channels: the first {used} are used"),
        });
        let late = match &self.source {
            Source::Wav(_) => None,
            Source::Coded(coded) => coded.note(),
        };
        let note = Some(self.about.note.clone()).filter(|note| !note.is_empty());
        let faulty = match self.faulty {
            0 => None,
            1 => Some("1 sample is no number: it counts as silence".into()),
            many => Some(format!("{many} samples are no numbers: they count as silence")),
        };
        let wild = match self.wild {
            0 => None,
            1 => Some("1 sample is louder than +60 dBFS: it counts as silence".into()),
            many => Some(format!("{many} samples are louder than +60 dBFS: they count as silence")),
        };
        channels.into_iter().chain(note).chain(late).chain(faulty).chain(wild).collect()
    }

    /// Fills each channel of `block` with the next frames, at most `most`;
    /// returns how many there were, zero at the end. Integer samples of b bits
    /// become n / 2^(b-1), exactly up to 24 bits. What is no number becomes silence.
    ///
    /// # Errors
    /// The system fails to read on.
    pub fn read(&mut self, block: &mut [Vec<f32>], most: usize) -> Result<usize, Failure> {
        block.iter_mut().for_each(Vec::clear);
        let frames = match &mut self.source {
            Source::Wav(wav) => wav.read(block, most),
            Source::Coded(coded) => coded.read(block, most),
        }
        .map_err(|why| Failure::unreadable(&self.name, why))?;
        for sample in block.iter_mut().flatten() {
            let (faulty, wild) = (!sample.is_finite(), sample.abs() > FAULT);
            if faulty || wild {
                *sample = 0.0;
                *if faulty { &mut self.faulty } else { &mut self.wild } += 1;
            }
        }
        Ok(frames)
    }

    /// An empty block with one vector a channel, for [`Reader::read`].
    pub fn block(&self) -> Vec<Vec<f32>> {
        vec![Vec::with_capacity(BLOCK); self.channels()]
    }

    /// SHA-256 of the whole file in hexadecimal; ends the reading.
    ///
    /// # Errors
    /// The system fails to read it again.
    pub fn sha256(mut self) -> Result<String, Failure> {
        let mut hash = Sha256::new();
        let mut bytes = vec![0; 1 << 16];
        let mut copy = || -> io::Result<()> {
            self.file.seek(SeekFrom::Start(0))?;
            loop {
                match self.file.read(&mut bytes)? {
                    0 => return Ok(()),
                    length => hash.update(&bytes[..length]),
                }
            }
        };
        copy().map_err(|error| Failure::unreadable(&self.name, error))?;
        Ok(hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect())
    }
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
