//! Captures that stand in files: opened, and held against the track they are of.

use super::{Sounds, Takes, Trouble, Watch};
use crate::audio::encode::{Coder, Format, Spec, header};
use crate::audio::{BLOCK, Reader, Unreadable};
use crate::planning::capture::Capture;
use crate::planning::take_reading::Purpose;
use crate::signal::track::{Label, Track};
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

/// Opens a file of sound.
///
/// # Errors
/// It cannot be read.
pub fn open(path: &Path) -> Result<Reader, Unreadable> {
    let name = path.display().to_string();
    let failed = |why: io::Error| Unreadable { name: name.clone(), why: why.to_string() };
    let file = File::open(path).map_err(failed)?;
    Reader::new(&name, Box::new(file), false)
}

/// What the first start marker of a capture says; `None` where there is none.
///
/// # Errors
/// It cannot be read.
pub fn label_of(path: &Path) -> Result<Option<Label>, Unreadable> {
    let mut reader = open(path)?;
    reader.read_all_channels();
    let Ok(mut capture) = Capture::new(reader.sample_rate_hz() as u32, reader.channels()) else {
        return Ok(None);
    };
    let mut block = reader.block();
    while reader.read(&mut block, BLOCK)? > 0 {
        capture.push(&block.iter().map(Vec::as_slice).collect::<Vec<_>>(), |_| {});
        if let Some(hearing) = capture.hearing() {
            return Ok(Some(hearing.label));
        }
    }
    Ok(None)
}

/// Reads captures by the names of their files, as the program does when it is given these.
///
/// # Errors
/// As [`Sounds::read`], and a file cannot be opened.
pub fn read_files(
    track: &Path,
    captures: &[impl AsRef<Path>],
    purpose: Purpose,
    watch: &mut impl Watch,
) -> Result<Takes, Trouble> {
    let captures = captures.iter().map(|path| {
        let stem = path.as_ref().file_stem().map(|stem| stem.to_string_lossy().into_owned());
        Ok((stem.unwrap_or("-".into()), open(path.as_ref())?))
    });
    let captures = captures.collect::<Result<_, Unreadable>>()?;
    let sounds = Sounds { track: open(track)?, captures, loop_back: None, at: None };
    sounds.read(purpose, watch)
}

/// Writes the track of a label into an empty file: 48 kHz, 16 bit, as `signal track` does.
///
/// # Errors
/// The system does not write.
pub fn write_track(file: File, label: Label) -> io::Result<()> {
    let track = Track::new(label.form, label.level_steps, 48_000.0);
    let frames = track.samples();
    let spec = Spec {
        sample_rate_hz: 48_000.0,
        channels: 2,
        format: Format::Int16,
        seed: 1,
        frames: Some(frames as u64),
    };
    let mut file = BufWriter::new(file);
    let mut coder = Coder::new(spec);
    file.write_all(&header(&spec, spec.frames))?;
    for from in (0..frames).step_by(BLOCK) {
        let all = from..frames.min(from + BLOCK);
        let side = |side: usize| all.clone().map(|n| track.frame(n)[side] as f32).collect();
        coder.encode(&[side(0), side(1)]);
        file.write_all(&coder.bytes)?;
    }
    file.flush()
}
