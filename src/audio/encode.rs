//! Sound as the bytes of a WAV: 32-bit float, or 24 and 16 bits with dither.
//!
//! Beyond 4 GiB the file is RF64 (EBU Tech 3306): when the length is not known
//! to be smaller, room for its `ds64` chunk is kept in a `JUNK` chunk. On a
//! stream the sizes are 0xFFFFFFFF, which says that they are not known.

use crate::signal::random::Random;

/// How samples are stored.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Format {
    /// 32-bit float, not dithered
    #[default]
    F32,
    /// 24-bit integer, dithered
    Int24,
    /// 16-bit integer, dithered
    Int16,
}

impl Format {
    fn bits(self) -> u16 {
        match self {
            Format::F32 => 32,
            Format::Int24 => 24,
            Format::Int16 => 16,
        }
    }
}

/// What a file is to hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spec {
    /// Sample rate in Hz, a whole number.
    pub sample_rate_hz: f64,
    /// Number of channels.
    pub channels: usize,
    /// How samples are stored.
    pub format: Format,
    /// Seed of the dither.
    pub seed: u64,
    /// Length in frames, if it is known to be no longer.
    pub frames: Option<u64>,
}

impl Spec {
    /// Bytes of one frame.
    pub fn frame_bytes(&self) -> u64 {
        self.channels as u64 * u64::from(self.format.bits() / 8)
    }

    /// True when the file may need sizes of 64 bits.
    pub fn may_be_long(&self) -> bool {
        self.frames.is_none_or(|frames| frames * self.frame_bytes() + 100 > u64::from(u32::MAX))
    }
}

/// Turns samples into the bytes of a format.
pub struct Coder {
    format: Format,
    noise: Random,
    /// Samples so far that an integer format has clipped.
    pub over: u64,
    /// The bytes of the last block.
    pub bytes: Vec<u8>,
}

/// A whole short file in memory.
pub fn in_memory(block: &[Vec<f32>], spec: Spec) -> Vec<u8> {
    let mut coder = Coder::new(spec);
    let frames = coder.encode(block);
    [header(&spec, Some(frames as u64)), coder.bytes].concat()
}

impl Coder {
    /// A coder for files like `spec`.
    pub fn new(spec: Spec) -> Self {
        Self { format: spec.format, noise: Random::new(spec.seed), over: 0, bytes: Vec::new() }
    }

    /// Puts the bytes of a block in the place of those before; returns its frames.
    pub fn encode(&mut self, block: &[Vec<f32>]) -> usize {
        let frames = block.iter().map(Vec::len).min().unwrap_or(0);
        self.bytes.clear();
        match self.format {
            Format::F32 => self.floats(block, frames),
            Format::Int24 => self.integers(block, frames, 8_388_608.0),
            Format::Int16 => self.integers(block, frames, 32_768.0),
        }
        frames
    }

    fn floats(&mut self, block: &[Vec<f32>], frames: usize) {
        let width = 4 * block.len();
        self.bytes.resize(frames * width, 0);
        for (at, channel) in block.iter().enumerate() {
            for (frame, sample) in self.bytes.chunks_exact_mut(width).zip(channel) {
                frame[4 * at..][..4].copy_from_slice(&sample.to_le_bytes());
            }
        }
    }

    fn integers(&mut self, block: &[Vec<f32>], frames: usize, scale: f64) {
        for i in 0..frames {
            block.iter().for_each(|channel| self.push(channel[i], scale));
        }
    }

    fn push(&mut self, sample: f32, scale: f64) {
        let wanted = (f64::from(sample) * scale + self.dither()).round();
        let stored = wanted.clamp(-scale, scale - 1.0);
        // One step over full scale is the rounding of +1.0, which no integer can hold.
        self.over += u64::from((wanted - stored).abs() > 1.0);
        let bytes = (stored as i32).to_le_bytes();
        self.bytes.extend(&bytes[..usize::from(self.format.bits() / 8)]);
    }

    /// Noise of triangular density, two steps wide: the error of rounding has then
    /// neither a mean nor a power that depends on the signal (Lipshitz, Wannamaker,
    /// Vanderkooy, "Quantization and dither", JAES 40, 1992).
    fn dither(&mut self) -> f64 {
        self.noise.unit() + self.noise.unit() - 1.0
    }
}

/// The bytes before the first sample of a file with `frames` frames; `None`
/// when their number is not known.
pub fn header(spec: &Spec, frames: Option<u64>) -> Vec<u8> {
    let is_float = spec.format == Format::F32;
    let data = frames.map(|frames| frames * spec.frame_bytes());
    let mut chunks = Vec::new();
    let reserved = if spec.may_be_long() { 8 + 28 } else { 0 };
    let format = if is_float { 26 + 12 } else { 24 };
    let riff = data.map(|data| 4 + reserved + format + 8 + data + data % 2);
    let long = riff.is_some_and(|riff| riff >= u64::from(u32::MAX));
    // Sizes beyond 32 bits, or not known, read 0xFFFFFFFF.
    let short = |size: Option<u64>| {
        let size = size.filter(|_| !long).and_then(|size| u32::try_from(size).ok());
        size.unwrap_or(u32::MAX).to_le_bytes()
    };
    chunks.extend(if long { b"RF64" } else { b"RIFF" });
    chunks.extend(short(riff));
    chunks.extend(b"WAVE");
    if reserved > 0 {
        chunks.extend(if long { b"ds64" } else { b"JUNK" });
        chunks.extend(28u32.to_le_bytes());
        let sizes = if long { [riff, data, frames] } else { [None; 3] };
        sizes.iter().for_each(|size| chunks.extend(size.unwrap_or(0).to_le_bytes()));
        chunks.extend(0u32.to_le_bytes());
    }
    chunks.extend(b"fmt ");
    chunks.extend(if is_float { 18u32 } else { 16 }.to_le_bytes());
    chunks.extend(if is_float { 3u16 } else { 1 }.to_le_bytes());
    chunks.extend((spec.channels as u16).to_le_bytes());
    chunks.extend((spec.sample_rate_hz as u32).to_le_bytes());
    chunks.extend((spec.sample_rate_hz as u32 * spec.frame_bytes() as u32).to_le_bytes());
    chunks.extend((spec.frame_bytes() as u16).to_le_bytes());
    chunks.extend(spec.format.bits().to_le_bytes());
    if is_float {
        // A format that is not integer has an extension, here empty, and a `fact` chunk.
        chunks.extend(0u16.to_le_bytes());
        chunks.extend(b"fact");
        chunks.extend(4u32.to_le_bytes());
        chunks.extend(short(frames));
    }
    chunks.extend(b"data");
    chunks.extend(short(data));
    chunks
}
