//! Reading FLAC, MP3, AAC and OGG Vorbis through the symphonia library.
//!
//! A damaged packet becomes silence of its length, so that everything after
//! it keeps its place in time.

use std::io::{self, Read, Seek, SeekFrom};

use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatReader, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream};
use symphonia::default::{get_codecs, get_probe};

use super::{About, Media};

/// Frames in the longest packet of any coding that is read: FLAC's largest block (RFC 9639,
/// section 9.1.1).
const LONGEST_PACKET: usize = 65_535;

/// The library's view of the bytes.
struct Bytes(Box<dyn Media>);

impl Read for Bytes {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        self.0.read(bytes)
    }
}

impl Seek for Bytes {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.0.seek(to)
    }
}

impl MediaSource for Bytes {
    fn is_seekable(&self) -> bool {
        true
    }

    fn byte_len(&self) -> Option<u64> {
        self.0.length().ok()
    }
}

/// A coded file that is being read.
pub(super) struct Coded {
    format: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    track: u32,
    sample_rate_hz: u32,
    /// Decoded channels that are not handed out yet, from frame `taken` on.
    waiting: Vec<Vec<f32>>,
    taken: usize,
    /// Frames the file tells of, and frames that came.
    told: Option<u64>,
    came: u64,
    ended: bool,
    damaged: usize,
    early_end: Option<String>,
}

impl Coded {
    /// Reads up to the first decoded samples.
    pub(super) fn open(
        media: Box<dyn Media>,
        extension: Option<&str>,
    ) -> Result<(About, Self), String> {
        let mut hint = Hint::new();
        if let Some(extension) = extension {
            hint.with_extension(extension);
        }
        let stream = MediaSourceStream::new(Box::new(Bytes(media)), Default::default());
        let format =
            get_probe().probe(&hint, stream, Default::default(), Default::default()).map_err(
                |_| "not a file of sound that can be read (WAV, FLAC, MP3, AAC, OGG Vorbis)",
            )?;
        let track = format.default_track(TrackType::Audio).ok_or("it holds no sound")?;
        let parameters = track.codec_params.as_ref().and_then(|params| params.audio());
        let parameters = parameters.ok_or("it holds no sound")?;
        let decoder = get_codecs()
            .make_audio_decoder(parameters, &AudioDecoderOptions::default())
            .map_err(|error| format!("its coding is not read ({error})"))?;
        let mut kind = vec![format.format_info().short_name, decoder.codec_info().short_name];
        kind.dedup();
        let (track, frames) = (track.id, track.num_frames);
        let mut coded = Self {
            format,
            decoder,
            track,
            sample_rate_hz: 0,
            waiting: Vec::new(),
            taken: 0,
            told: frames,
            came: 0,
            ended: false,
            damaged: 0,
            early_end: None,
        };
        while coded.left() == 0 && !coded.ended {
            coded.decode_next();
        }
        if coded.left() == 0 {
            return Err(coded.early_end.unwrap_or_else(|| "it holds no sound".into()));
        }
        let about = About {
            kind: kind.join(", ").to_uppercase(),
            sample_rate_hz: coded.sample_rate_hz,
            channels_in_file: coded.waiting.len(),
            frames,
            note: String::new(),
        };
        Ok((about, coded))
    }

    /// Appends the next frames to the channels, at most `most`; returns how many.
    pub(super) fn read(&mut self, block: &mut [Vec<f32>], most: usize) -> Result<usize, String> {
        let mut frames = 0;
        while frames < most {
            if self.left() == 0 {
                if self.ended {
                    break;
                }
                self.decode_next();
                continue;
            }
            let next = self.taken..self.taken + self.left().min(most - frames);
            for (channel, waiting) in block.iter_mut().zip(&self.waiting) {
                channel.extend_from_slice(&waiting[next.clone()]);
            }
            frames += next.len();
            self.came += next.len() as u64;
            self.taken = next.end;
        }
        Ok(frames)
    }

    /// What went wrong while reading, if anything did.
    pub(super) fn note(&self) -> Option<String> {
        let damaged = (self.damaged > 0)
            .then(|| format!("damaged packets that became silence: {}", self.damaged));
        let seconds = |frames: u64| frames as f64 / f64::from(self.sample_rate_hz);
        // Lengths that a file tells may be rounded to a packet or two.
        let missing =
            self.told.filter(|told| self.ended && seconds(*told) > seconds(self.came) + 0.05);
        let missing = missing.map(|told| {
            let (came, told) = (seconds(self.came), seconds(told));
            format!(
                "only {came:.2} s of {told:.2} s could be read; what follows a gap comes too early"
            )
        });
        let notes: Vec<String> =
            damaged.into_iter().chain(self.early_end.clone()).chain(missing).collect();
        (!notes.is_empty()).then(|| notes.join("; "))
    }

    fn left(&self) -> usize {
        self.waiting.first().map_or(0, |channel| channel.len() - self.taken)
    }

    /// Decodes one packet into `waiting`, which is used up.
    fn decode_next(&mut self) {
        self.taken = 0;
        self.waiting.iter_mut().for_each(Vec::clear);
        let packet = match self.format.next_packet() {
            Ok(Some(packet)) => packet,
            Ok(None) => return self.ended = true,
            Err(error) => return self.end_early(&format!("the file ends early ({error})")),
        };
        if packet.track_id != self.track {
            return;
        }
        match self.decoder.decode(&packet) {
            Ok(sound) => {
                let (rate, channels) = (sound.spec().rate(), sound.spec().channels().count());
                let first = self.sample_rate_hz == 0;
                if !first && (rate, channels) != (self.sample_rate_hz, self.waiting.len()) {
                    return self.end_early("rate or channels change: read up to there");
                }
                self.sample_rate_hz = rate;
                sound.copy_to_vecs_planar(&mut self.waiting);
            }
            Err(Error::DecodeError(_) | Error::IoError(_)) => {
                let frames = packet.dur.get() as usize;
                if frames > LONGEST_PACKET {
                    return self.end_early("a damaged packet claims to be longer than any can be");
                }
                self.damaged += 1;
                self.waiting.iter_mut().for_each(|channel| channel.resize(frames, 0.0));
            }
            Err(error) => self.end_early(&format!("the file cannot be read on ({error})")),
        }
    }

    fn end_early(&mut self, why: &str) {
        self.ended = true;
        self.early_end = Some(why.into());
    }
}
