//! Writing WAV to a file or a stream, a block at a time.
//!
//! Beyond 4 GiB the file is RF64: see [`header`].

use std::path::Path;

use clap::ValueEnum;
use clap::builder::PossibleValue;

use crate::audio::encode::{Coder, Format, Spec, header};
use crate::cli::failure::{Code, Failure};
use crate::cli::output::Output;

impl ValueEnum for Format {
    fn value_variants<'a>() -> &'a [Self] {
        &[Self::F32, Self::Int24, Self::Int16]
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        let (name, help) = match self {
            Self::F32 => ("f32", "32-bit float, not dithered"),
            Self::Int24 => ("24", "24-bit integer, dithered"),
            Self::Int16 => ("16", "16-bit integer, dithered"),
        };
        Some(PossibleValue::new(name).help(help))
    }
}

/// A WAV file that is being written.
pub struct Writer {
    output: Output,
    spec: Spec,
    frames: u64,
    coder: Coder,
}

impl Writer {
    /// Begins a file at `path`; `-` is standard output.
    ///
    /// # Errors
    /// As [`Output::create`].
    pub fn create(path: &Path, force: bool, spec: Spec) -> Result<Self, Failure> {
        let mut output = Output::create(path, force)?;
        output.write(&header(&spec, None))?;
        Ok(Self { output, spec, frames: 0, coder: Coder::new(spec) })
    }

    /// Appends frames: one slice a channel, all of one length, full scale at ±1.
    /// Integer formats clip what lies beyond.
    ///
    /// # Errors
    /// As [`Output::write`].
    pub fn write(&mut self, block: &[Vec<f32>]) -> Result<(), Failure> {
        self.frames += self.coder.encode(block) as u64;
        self.output.write(&self.coder.bytes)
    }

    /// Ends the file; returns how many samples an integer format has clipped.
    ///
    /// # Errors
    /// As [`Output::commit`], or when the file became longer than was said.
    pub fn finish(mut self) -> Result<u64, Failure> {
        if self.frames * self.spec.frame_bytes() % 2 == 1 {
            self.output.write(&[0])?;
        }
        if self.output.is_file() {
            let long = self.frames * self.spec.frame_bytes() + 100 > u64::from(u32::MAX);
            if long && !self.spec.may_be_long() {
                let sentence = "the file became longer than 4 GiB, which its header cannot say";
                return Err(Failure::new(Code::Internal, sentence));
            }
            self.output.rewrite_start(&header(&self.spec, Some(self.frames)))?;
        }
        self.output.commit()?;
        Ok(self.coder.over)
    }
}
