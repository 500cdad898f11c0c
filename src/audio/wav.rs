//! Reading WAV: RIFF, and RF64 or BW64 beyond 4 GiB.
//!
//! The length is taken from the file when the header has none, or more than
//! there is: pipes and recorders that lost power write such headers.
//! After the RIFF specification (IBM and Microsoft 1991), Microsoft's "Multiple
//! channel audio data and WAVE files" (2001), EBU Tech 3306 and ITU-R BS.2088.

use std::io::{self, BufReader, Read, Seek, SeekFrom};

use super::{About, Media};

/// The size that says "see the `ds64` chunk", or "not known".
const NO_SIZE: u64 = 0xFFFF_FFFF;

/// `WAVE_FORMAT_EXTENSIBLE`: the true format stands in the first bytes of a GUID.
const EXTENSIBLE: u16 = 0xFFFE;

/// The rest of that GUID, for formats that have a number of their own.
const GUID_TAIL: [u8; 14] =
    [0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xAA, 0x00, 0x38, 0x9B, 0x71];

/// Chunks that follow an odd one without its padding.
const KNOWN: [&[u8; 4]; 10] =
    [b"data", b"fmt ", b"fact", b"LIST", b"JUNK", b"bext", b"cue ", b"PEAK", b"id3 ", b"smpl"];

/// Codings by the number of their format (RFC 2361) that people know by name.
const CODINGS: [(u16, &str); 6] = [
    (0x0002, "ADPCM"),
    (0x0006, "A-law"),
    (0x0007, "\u{b5}-law"),
    (0x0011, "IMA ADPCM"),
    (0x0031, "GSM 6.10"),
    (0x0055, "MP3"),
];

/// A WAV file that is being read.
pub(super) struct Wav {
    file: BufReader<Box<dyn Media>>,
    sample: Sample,
    frame_bytes: usize,
    frames_left: u64,
    bytes: Vec<u8>,
}

/// How one sample is stored. Integers fill their container from the top, so
/// 24 bits in a 32-bit container read as 32 bits.
#[derive(Clone, Copy)]
enum Sample {
    Int8,
    Int16,
    Int24,
    Int32,
    Float32,
    Float64,
}

/// What the `fmt ` chunk says.
struct Layout {
    sample: Sample,
    kind: String,
    channels: usize,
    sample_rate_hz: u32,
    frame_bytes: usize,
}

/// True for a file that starts like a WAV.
pub(super) fn is_wav(start: &[u8]) -> bool {
    start.len() == 12
        && [&b"RIFF"[..], b"RF64", b"BW64"].contains(&&start[..4])
        && &start[8..] == b"WAVE"
}

impl Wav {
    /// Reads up to the first sample. A stream that tells no length is as streams are: not worth a
    /// word.
    pub(super) fn open(file: Box<dyn Media>, streamed: bool) -> Result<(About, Self), String> {
        let length = file.length().map_err(|error| error.to_string())?;
        let mut file = BufReader::with_capacity(1 << 16, file);
        let (layout, data) = find_data(&mut file, length).map_err(|error| match error.kind() {
            io::ErrorKind::UnexpectedEof => "the file ends before its sound data".into(),
            _ => error.to_string(),
        })?;
        let start = file.stream_position().map_err(|error| error.to_string())?;
        let there = length.saturating_sub(start);
        let frame_bytes = layout.frame_bytes as u64;
        let seconds = |bytes: u64| (bytes / frame_bytes) as f64 / f64::from(layout.sample_rate_hz);
        let (bytes, note) = match data {
            None if streamed => (there, String::new()),
            None => (there, "the header tells no length: read to the end of the file".into()),
            Some(told) if told > there => {
                let (got, all) = (seconds(there), seconds(told));
                (there, format!("truncated: {got:.1} s of {all:.1} s are there"))
            }
            Some(told) if is_sound_left(&mut file, start + told, length) => {
                let left = seconds(there - told);
                (told, format!("the header tells less than is there: {left:.1} s are not read"))
            }
            Some(told) => (told, String::new()),
        };
        let frames = bytes / frame_bytes;
        let about = About {
            kind: layout.kind,
            sample_rate_hz: layout.sample_rate_hz,
            channels_in_file: layout.channels,
            frames: Some(frames),
            note,
        };
        let (sample, frame_bytes) = (layout.sample, layout.frame_bytes);
        Ok((about, Self { file, sample, frame_bytes, frames_left: frames, bytes: Vec::new() }))
    }

    /// Appends the next frames to the channels, at most `most`; returns how many.
    pub(super) fn read(&mut self, block: &mut [Vec<f32>], most: usize) -> Result<usize, String> {
        let frames = (most as u64).min(self.frames_left) as usize;
        self.bytes.resize(frames * self.frame_bytes, 0);
        self.file.read_exact(&mut self.bytes).map_err(|error| error.to_string())?;
        self.frames_left -= frames as u64;
        for (at, channel) in block.iter_mut().enumerate() {
            let first = self.bytes.get(at * self.sample.bytes()..).unwrap_or_default();
            match self.sample {
                Sample::Int8 => {
                    self.append(channel, first, |[byte]| (f32::from(byte) - 128.0) / 128.0)
                }
                Sample::Int16 => self.append(channel, first, |b: [u8; 2]| int(b) / 32_768.0),
                Sample::Int24 => self.append(channel, first, |b: [u8; 3]| int(b) / 8_388_608.0),
                // 32 bits are rounded once, here, to the 24 of f32.
                Sample::Int32 => self.append(channel, first, |b: [u8; 4]| int(b) / 2_147_483_648.0),
                Sample::Float32 => self.append(channel, first, f32::from_le_bytes),
                Sample::Float64 => self.append(channel, first, |b| f64::from_le_bytes(b) as f32),
            }
        }
        Ok(frames)
    }

    /// Appends a channel whose samples of `W` bytes begin with `first`, one in every frame.
    fn append<const W: usize>(
        &self,
        channel: &mut Vec<f32>,
        first: &[u8],
        sample: impl Fn([u8; W]) -> f32,
    ) {
        let frames = first.chunks(self.frame_bytes);
        channel.extend(frames.map(|frame| sample(*frame.first_chunk().unwrap_or(&[0; W]))));
    }
}

impl Sample {
    /// Size of the container.
    fn bytes(self) -> usize {
        match self {
            Sample::Int8 => 1,
            Sample::Int16 => 2,
            Sample::Int24 => 3,
            Sample::Int32 | Sample::Float32 => 4,
            Sample::Float64 => 8,
        }
    }
}

/// A little-endian integer of two to four bytes.
fn int<const W: usize>(bytes: [u8; W]) -> f32 {
    let mut wide = [0; 4];
    wide[4 - W..].copy_from_slice(&bytes);
    (i32::from_le_bytes(wide) >> (32 - 8 * W)) as f32
}

/// The first bytes as an array; a slice that is long enough is assumed.
fn array<const N: usize>(bytes: &[u8]) -> [u8; N] {
    std::array::from_fn(|i| bytes[i])
}

/// Walks the chunks to the sound data; returns their layout and size, if it is known.
fn find_data(file: &mut (impl Read + Seek), length: u64) -> io::Result<(Layout, Option<u64>)> {
    let mut layout = None;
    let mut long_size = None;
    file.seek(SeekFrom::Start(12))?;
    loop {
        let (name, size) = chunk_head(file)?;
        match &name {
            b"data" => {
                let layout =
                    layout.ok_or_else(|| invalid("sound data come before their format"))?;
                let size = match long_size.filter(|_| size == NO_SIZE) {
                    Some(long_size) => Some(long_size),
                    None if size == NO_SIZE => None,
                    None if size == 0 && !chunks_fill_the_rest(file, length)? => None,
                    None => Some(size),
                };
                return Ok((layout, size));
            }
            b"ds64" | b"fmt " if size > 1 << 16 => return Err(invalid("its header is damaged")),
            b"ds64" | b"fmt " => {
                let mut body = vec![0; size as usize];
                file.read_exact(&mut body)?;
                match &name {
                    b"fmt " => layout = Some(parse_format(&body).map_err(|why| invalid(&why))?),
                    // RIFF size, then data size, of 64 bits each.
                    _ if body.len() >= 16 => {
                        long_size = Some(u64::from_le_bytes(array(&body[8..])));
                    }
                    _ => return Err(invalid("its ds64 chunk is too short")),
                }
                skip_padding(file, size)?;
            }
            _ => {
                file.seek_relative(size as i64)?;
                skip_padding(file, size)?;
            }
        }
    }
}

/// A chunk of odd size is followed by one byte of padding; some programs forget it, and then the
/// name of a known chunk follows at once.
fn skip_padding(file: &mut (impl Read + Seek), size: u64) -> io::Result<()> {
    if size.is_multiple_of(2) {
        return Ok(());
    }
    let mut name = [0; 4];
    file.read_exact(&mut name)?;
    file.seek_relative(if KNOWN.contains(&&name) { -4 } else { -3 })
}

/// True when after `end` neither the file ends nor chunks follow: then sound is left over. Leaves
/// the position as it was.
fn is_sound_left(file: &mut (impl Read + Seek), end: u64, length: u64) -> bool {
    let mut left = || -> io::Result<bool> {
        let start = file.stream_position()?;
        let end = end + end % 2;
        // A byte or two are an editor's dust.
        file.seek(SeekFrom::Start(end))?;
        let left = end + 8 < length && !chunks_fill_the_rest(file, length)?;
        file.seek(SeekFrom::Start(start))?;
        Ok(left)
    };
    left().unwrap_or(false)
}

/// True when what follows is chunks up to the end of the file: then a data
/// size of zero means no samples. Leaves the position as it was.
fn chunks_fill_the_rest(file: &mut (impl Read + Seek), length: u64) -> io::Result<bool> {
    let start = file.stream_position()?;
    let mut at = start;
    while at + 8 <= length {
        let (name, size) = chunk_head(file)?;
        if !name.iter().all(|byte| (b' '..=b'~').contains(byte)) {
            break;
        }
        at += 8 + size + size % 2;
        file.seek(SeekFrom::Start(at))?;
    }
    file.seek(SeekFrom::Start(start))?;
    // The last byte of padding is often missing.
    Ok(at == length || at == length + 1)
}

fn chunk_head(file: &mut impl Read) -> io::Result<([u8; 4], u64)> {
    let mut head = [0; 8];
    file.read_exact(&mut head)?;
    Ok((array(&head), u64::from(u32::from_le_bytes(array(&head[4..])))))
}

fn parse_format(body: &[u8]) -> Result<Layout, String> {
    if body.len() < 16 {
        return Err("its format chunk is too short".into());
    }
    let word = |at: usize| u16::from_le_bytes(array(&body[at..]));
    let (channels, frame_bytes, bits) = (usize::from(word(2)), usize::from(word(12)), word(14));
    let sample_rate_hz = u32::from_le_bytes(array(&body[4..]));
    if channels == 0 || sample_rate_hz == 0 || frame_bytes == 0 || frame_bytes % channels != 0 {
        return Err(format!(
            "its header is damaged ({channels} channels, {sample_rate_hz} Hz, {frame_bytes} bytes a frame)"
        ));
    }
    let (tag, bits) = match word(0) {
        EXTENSIBLE if body.len() >= 40 && body[26..40] == GUID_TAIL => {
            (word(24), word(18).min(bits))
        }
        tag => (tag, bits),
    };
    let container = frame_bytes / channels;
    let (sample, what) = match (tag, container) {
        (1, 1) => (Sample::Int8, "bit"),
        (1, 2) => (Sample::Int16, "bit"),
        (1, 3) => (Sample::Int24, "bit"),
        (1, 4) => (Sample::Int32, "bit"),
        (3, 4) => (Sample::Float32, "bit float"),
        (3, 8) => (Sample::Float64, "bit float"),
        _ => {
            let coding = CODINGS.iter().find(|(number, _)| *number == tag);
            return Err(match coding {
                Some((_, name)) => {
                    format!("WAV coded as {name} ({tag:#06x}) is not read: convert it to PCM")
                }
                None => format!("WAV of format {tag:#06x} with {bits} bits is not read"),
            });
        }
    };
    let shared = (usize::from(bits.div_ceil(8)) < container).then_some(8 * container);
    let shared = shared.map(|bits| format!(" in {bits}")).unwrap_or_default();
    let kind = format!("WAV, {bits} {what}{shared}");
    Ok(Layout { sample, kind, channels, sample_rate_hz, frame_bytes })
}

fn invalid(why: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, why)
}
