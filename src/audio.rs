//! Sound as it stands in files, a block at a time, whatever its length.
//!
//! WAV is read here, with the oddities that recorders and pipes produce; FLAC,
//! MP3, AAC and OGG Vorbis are read by a kept library. Where the bytes lie, in a file or in
//! memory, is for whoever opens it.

mod coded;
pub mod encode;
mod wav;

use std::fmt;
use std::fs::File;
use std::io::{self, Cursor, Read, Seek, SeekFrom};
use std::ops::RangeInclusive;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::path::FAULT;

/// Frames that are read at a time.
pub const BLOCK: usize = 4096;

/// Sample rates that are read, in Hz: those the line runs at.
const RATES_HZ: RangeInclusive<u32> = 8_000..=768_000;

/// Where the bytes of a sound lie.
pub trait Media: Read + Seek + Send + Sync {
    /// How many there are.
    ///
    /// # Errors
    /// The system does not tell.
    fn length(&self) -> io::Result<u64>;

    /// The same bytes, to be read apart.
    ///
    /// # Errors
    /// The system does not give them twice.
    fn again(&self) -> io::Result<Box<dyn Media>>;
}

impl Media for File {
    fn length(&self) -> io::Result<u64> {
        Ok(self.metadata()?.len())
    }

    fn again(&self) -> io::Result<Box<dyn Media>> {
        Ok(Box::new(self.try_clone()?))
    }
}

/// Bytes in memory.
impl Media for Cursor<Arc<[u8]>> {
    fn length(&self) -> io::Result<u64> {
        Ok(self.get_ref().len() as u64)
    }

    fn again(&self) -> io::Result<Box<dyn Media>> {
        Ok(Box::new(Cursor::new(Arc::clone(self.get_ref()))))
    }
}

/// A sound that cannot be read, or not on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// Name of the file.
    pub name: String,
    /// Why, in a few words.
    pub why: String,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "cannot read {}: {}", self.name, self.why)
    }
}

impl std::error::Error for Unreadable {}

/// What a file says about itself.
#[derive(Clone, Debug, PartialEq)]
struct About {
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
    copy: Box<dyn Media>,
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
    /// Opens bytes of any kind that can be read, called by `name`. A stream that tells no length is
    /// as streams are: with `streamed` that is not worth a word.
    ///
    /// # Errors
    /// Not a file of sound that can be read.
    pub fn new(name: &str, media: Box<dyn Media>, streamed: bool) -> Result<Self, Unreadable> {
        let named = |why| Unreadable { name: name.into(), why };
        Self::open(name, media, streamed).map_err(named)
    }

    fn open(name: &str, mut media: Box<dyn Media>, streamed: bool) -> Result<Self, String> {
        let mut start = [0; 12];
        let length = media.read(&mut start).map_err(|error| error.to_string())?;
        if length == 0 {
            return Err("it is empty".into());
        }
        let copy = media
            .seek(SeekFrom::Start(0))
            .and_then(|_| media.again())
            .map_err(|error| format!("it cannot be read twice ({error})"))?;
        let (about, source) = match wav::is_wav(&start[..length]) {
            true => {
                wav::Wav::open(media, streamed).map(|(about, wav)| (about, Source::Wav(wav)))?
            }
            false => {
                let extension = name.rsplit_once('.').map(|(_, ending)| ending);
                coded::Coded::open(media, extension)
                    .map(|(about, coded)| (about, Source::Coded(Box::new(coded))))?
            }
        };
        let rate = about.sample_rate_hz;
        if !RATES_HZ.contains(&rate) {
            let [low, high] = [RATES_HZ.start(), RATES_HZ.end()];
            return Err(format!(
                "its sample rate of {rate} Hz is not read: {low} to {high} Hz are"
            ));
        }
        Ok(Self { name: name.into(), about, copy, source, faulty: 0, wild: 0, most_channels: 2 })
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
    pub fn read(&mut self, block: &mut [Vec<f32>], most: usize) -> Result<usize, Unreadable> {
        block.iter_mut().for_each(Vec::clear);
        let frames = match &mut self.source {
            Source::Wav(wav) => wav.read(block, most),
            Source::Coded(coded) => coded.read(block, most),
        }
        .map_err(|why| Unreadable { name: self.name.clone(), why })?;
        for channel in block.iter_mut().filter(|channel| !are_sound(channel)) {
            for sample in channel.iter_mut().filter(|sample| !are_sound(&[**sample])) {
                let faulty = !sample.is_finite();
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
    pub fn sha256(mut self) -> Result<String, Unreadable> {
        let mut hash = Sha256::new();
        let mut bytes = vec![0; 1 << 16];
        let mut copy = || -> io::Result<()> {
            self.copy.seek(SeekFrom::Start(0))?;
            loop {
                match self.copy.read(&mut bytes)? {
                    0 => return Ok(()),
                    length => hash.update(&bytes[..length]),
                }
            }
        };
        copy().map_err(|error| Unreadable { name: self.name.clone(), why: error.to_string() })?;
        Ok(hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect())
    }
}

/// Whether all samples are numbers up to +60 dBFS; without a way out, so that many are asked at once.
fn are_sound(samples: &[f32]) -> bool {
    samples.iter().fold(true, |all, sample| all & (sample.abs() <= FAULT))
}
