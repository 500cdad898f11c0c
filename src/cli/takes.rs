//! From the files of a measurement to its takes: the track, the captures, a
//! loop-back. Any length of file, a block at a time.

use std::path::{Path, PathBuf};

use crate::cli::audio_file::{BLOCK, Reader};
use crate::cli::failure::{Code, Failure};
use crate::cli::progress::Progress;
use crate::cli::{say, stop};
use crate::planning::capture::{Capture, Refusal};
use crate::planning::take_reading::{Purpose, TakeReading};
use crate::report::{Input, Sheet};
use crate::signal::track::Label;

/// The files of a measurement.
#[derive(clap::Args)]
pub(super) struct Files {
    /// The track that was played, as it was played (from `signal track`)
    track: PathBuf,
    /// Captures: volume steps in any order, one or many takes a file
    #[arg(required = true, value_name = "CAPTURE")]
    captures: Vec<PathBuf>,
    /// Player and recorder alone, to be divided out
    #[arg(long, value_name = "FILE")]
    loop_back: Option<PathBuf>,
}

/// What was read.
pub(super) struct Takes {
    /// All takes, in the order of the files.
    pub(super) takes: Vec<TakeReading>,
    /// The loop-back's first take.
    pub(super) loop_back: Option<TakeReading>,
    inputs: Vec<Input>,
}

impl Files {
    /// Every file that is read.
    pub(super) fn paths(&self) -> Vec<&Path> {
        let all = std::iter::once(&self.track).chain(&self.captures).chain(&self.loop_back);
        all.map(PathBuf::as_path).collect()
    }

    /// Reads them all. Says to standard error what cannot be used, and why.
    ///
    /// # Errors
    /// A file cannot be read, is no track, or no capture holds a complete take.
    pub(super) fn read(&self, purpose: Purpose) -> Result<Takes, Failure> {
        let mut inputs = Vec::new();
        let name = self.track.display();
        let track = read(&self.track, purpose, &mut inputs)?;
        let Some(label) = track.first().map(|take| take.label) else {
            let sentence = format!("{name} does not hold the track: write one with `signal track`");
            return Err(Failure::new(Code::Impossible, sentence));
        };
        let mut takes = Vec::new();
        for path in &self.captures {
            let found = read(path, purpose, &mut inputs)?;
            found.iter().for_each(|take| compare(path, take.label, label));
            takes.extend(found);
        }
        if takes.is_empty() {
            let sentence = "no capture holds a complete take: nothing can be said";
            return Err(Failure::new(Code::Impossible, sentence));
        }
        let loop_back = match &self.loop_back {
            None => None,
            Some(path) => read(path, purpose, &mut inputs)?.into_iter().next(),
        };
        Ok(Takes { takes, loop_back, inputs })
    }
}

impl Takes {
    /// A sheet about the captures, with the hashes of all files.
    pub(super) fn sheet(&self, about: &str) -> Sheet {
        let mut sheet = Sheet::new(about);
        sheet.provenance.inputs = self.inputs.clone();
        sheet
    }
}

/// Says when a capture is of another track than the one given.
fn compare(path: &Path, take: Label, track: Label) {
    if (take.form, take.level_steps) != (track.form, track.level_steps) {
        say(&format!(
            "{}: holds another form or level of the track than the one given; its own markers count",
            path.display()
        ));
    }
}

/// The takes of one file.
fn read(
    path: &Path,
    purpose: Purpose,
    inputs: &mut Vec<Input>,
) -> Result<Vec<TakeReading>, Failure> {
    let mut reader = Reader::open(path)?;
    let impossible =
        |refusal: Refusal| Failure::new(Code::Impossible, format!("{}: {refusal}", path.display()));
    let mut capture =
        Capture::new(reader.sample_rate_hz() as u32, reader.channels()).map_err(impossible)?;
    let mut takes = Vec::new();
    let mut keep = |take: Result<_, Refusal>| match take {
        Ok(take) => takes.push(TakeReading::new(&take, purpose)),
        Err(refusal) => say(&format!("{}: {refusal}", path.display())),
    };
    let progress = Progress::new("reading", reader.frames());
    let mut block = reader.block();
    loop {
        stop::check()?;
        let frames = reader.read(&mut block, BLOCK)?;
        if frames == 0 {
            break;
        }
        let channels: Vec<&[f32]> = block.iter().map(Vec::as_slice).collect();
        capture.push(&channels, &mut keep);
        progress.advance(frames);
    }
    drop(progress);
    capture.finish(&mut keep);
    reader.notes().iter().for_each(|note| say(&format!("{}: {note}", reader.name())));
    let name = path.file_name().map_or("-".into(), |name| name.to_string_lossy().into_owned());
    inputs.push(Input { name, sha256: reader.sha256()? });
    Ok(takes)
}
