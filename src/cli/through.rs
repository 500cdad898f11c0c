//! A whole file through the path, block by block.

use crate::audio::{BLOCK, Reader};
use crate::cli::failure::Failure;
use crate::cli::progress::Progress;
use crate::cli::stop;
use crate::path::{Listen, Path};
use crate::settings::Settings;

/// Runs the whole file through the path, heard by `listener`, each block handed to `take`; hands the
/// file back read.
pub(super) fn through(
    mut reader: Reader,
    settings: &Settings,
    listener: &mut impl Listen,
    mut take: impl FnMut(&mut [Vec<f32>]) -> Result<(), Failure>,
) -> Result<Reader, Failure> {
    let mut path = Path::new(reader.sample_rate_hz(), reader.channels());
    path.set(settings);
    let progress = Progress::new("rendering", reader.frames());
    let mut block = reader.block();
    loop {
        stop::check()?;
        let frames = reader.read(&mut block, BLOCK)?;
        if frames == 0 {
            return Ok(reader);
        }
        let mut channels: Vec<&mut [f32]> = block.iter_mut().map(Vec::as_mut_slice).collect();
        path.process(&mut channels, listener);
        take(&mut block)?;
        progress.advance(frames);
    }
}
