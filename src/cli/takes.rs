//! From the files of a measurement to its takes: the track, the captures, a
//! loop-back. Any length of file, a block at a time.

use std::path::{Path, PathBuf};

use crate::cli::audio_file::{BLOCK, Reader};
use crate::cli::failure::{Code, Failure};
use crate::cli::next::Command;
use crate::cli::progress::Progress;
use crate::cli::{remark, stop};
use crate::planning::capture::{Capture, Refusal};
use crate::planning::take_reading::{Purpose, TakeReading};
use crate::report::{Input, Sheet, Table};
use crate::signal::track::Label;

/// The files of a measurement.
#[derive(clap::Args)]
pub(super) struct Files {
    /// The track that was played, as it was played (from `signal track`)
    track: PathBuf,
    /// Captures: volume steps or outputs in any order, one or many takes a file; NAME=FILE names one
    #[arg(required = true, value_name = "[NAME=]CAPTURE")]
    captures: Vec<String>,
    /// Player and recorder alone, to be divided out
    #[arg(long, value_name = "FILE")]
    loop_back: Option<PathBuf>,
    /// Judges by the take of this name; without it by one that is not distorted, went through no
    /// codec and is the loudest
    #[arg(long, value_name = "NAME")]
    at: Option<String>,
}

/// What was read.
pub(super) struct Takes {
    /// All takes, in the order of the files.
    pub(super) takes: Vec<TakeReading>,
    /// The loop-back's first take.
    pub(super) loop_back: Option<TakeReading>,
    /// The take to judge by, when one was named.
    pub(super) at: Option<usize>,
    inputs: Vec<Input>,
    /// What could not be used, one sentence each.
    left_out: Vec<String>,
}

/// What one file holds.
#[derive(Default)]
struct Held {
    takes: Vec<TakeReading>,
    left_out: Vec<String>,
}

impl Files {
    /// Every file that is read.
    pub(super) fn paths(&self) -> Vec<&Path> {
        let captures = self.captures.iter().map(|capture| named(capture).1);
        let rest = self.loop_back.iter().map(PathBuf::as_path);
        std::iter::once(self.track.as_path()).chain(captures).chain(rest).collect()
    }

    /// A command on the same files.
    pub(super) fn command(&self, verb: &str) -> Command {
        let begun = Command::new(verb).file(&self.track);
        let given = self.captures.iter().fold(begun, |line, capture| line.word(capture));
        let options = [
            ("--loop-back", self.loop_back.as_deref()),
            ("--at", self.at.as_deref().map(Path::new)),
        ];
        options.into_iter().fold(given, |line, (option, value)| match value {
            Some(value) => line.plain(option).file(value),
            None => line,
        })
    }

    /// Reads them all. What cannot be used goes into the report, with the reason.
    ///
    /// # Errors
    /// A file cannot be read, is no track, or no capture holds a complete take; the loop-back
    /// holds none or was clipped; no take has the name asked for.
    pub(super) fn read(&self, purpose: Purpose) -> Result<Takes, Failure> {
        let mut inputs = Vec::new();
        let label = self.track(purpose, &mut inputs)?;
        let (mut takes, mut left_out) = (Vec::new(), Vec::new());
        for capture in &self.captures {
            let (name, path) = named(capture);
            let held = read(path, purpose, &mut inputs)?;
            let many = held.takes.len() > 1;
            left_out.extend(held.left_out.iter().map(|why| format!("{}: {why}", path.display())));
            for (i, take) in held.takes.into_iter().enumerate() {
                left_out.extend(other_track(&name, take.label, label));
                let name = if many { format!("{name} ({})", i + 1) } else { name.clone() };
                takes.push(TakeReading { name, ..take });
            }
        }
        left_out.iter().for_each(|why| remark(why));
        if takes.is_empty() {
            let sentence = "no capture holds a complete take: nothing can be said";
            return Err(Failure::new(Code::Impossible, sentence));
        }
        let at = self.at.as_ref().map(|name| place(&takes, name)).transpose()?;
        let loop_back = match &self.loop_back {
            None => None,
            Some(path) => Some(loop_back(path, purpose, &mut inputs)?),
        };
        Ok(Takes { takes, loop_back, at, inputs, left_out })
    }

    /// The label of the track that was played.
    fn track(&self, purpose: Purpose, inputs: &mut Vec<Input>) -> Result<Label, Failure> {
        let held = read(&self.track, purpose, inputs)?;
        let name = self.track.display();
        held.left_out.iter().for_each(|why| remark(&format!("{name}: {why}")));
        let Some(first) = held.takes.first() else {
            let sentence = format!("{name} does not hold the track: write one with `signal track`");
            return Err(Failure::new(Code::Impossible, sentence));
        };
        // The track itself starts at once, on the program's own clock and at its own level.
        let gain = first.best().and_then(|c| c.loudest()).map_or(0.0, |(_, r)| r.gain_db);
        if first.start_s.abs() > 0.01 || first.clock_ppm.abs() > 0.5 || gain.abs() > 0.2 {
            remark(&format!(
                "{name} looks like a capture, not like the track itself: the first file is the track \
                 as it was played"
            ));
        }
        Ok(first.label)
    }
}

impl Takes {
    /// A sheet about the captures, with the hashes of all files and what was left out.
    pub(super) fn sheet(&self, about: &str) -> Sheet {
        let mut sheet = Sheet::new(about);
        sheet.provenance.inputs = self.inputs.clone();
        if !self.left_out.is_empty() {
            sheet.tables.push(Table {
                title: "Left out".into(),
                note: "what was in the files and could not be used".into(),
                head: vec!["what and why".into()],
                rows: self.left_out.iter().map(|why| vec![why.clone()]).collect(),
            });
        }
        sheet
    }
}

/// `NAME=FILE`, or a file that is called by its own name.
fn named(capture: &str) -> (String, &Path) {
    let own = |path: &Path| {
        path.file_stem().map_or("-".into(), |stem| stem.to_string_lossy().into_owned())
    };
    match capture.split_once('=') {
        Some((name, file)) if !Path::new(capture).exists() && !name.contains(['/', '\\']) => {
            (name.trim().into(), Path::new(file))
        }
        _ => (own(Path::new(capture)), Path::new(capture)),
    }
}

/// The place of the take of a name.
fn place(takes: &[TakeReading], name: &str) -> Result<usize, Failure> {
    takes.iter().position(|take| take.name == name).ok_or_else(|| {
        let names: Vec<&str> = takes.iter().map(|take| take.name.as_str()).collect();
        Failure::usage(format!("no take is called {name:?}; they are {}", names.join(", ")))
    })
}

/// The loop-back's take; one that cannot be divided out is an error, not a note.
fn loop_back(
    path: &Path,
    purpose: Purpose,
    inputs: &mut Vec<Input>,
) -> Result<TakeReading, Failure> {
    let held = read(path, purpose, inputs)?;
    let impossible = |why: String| Err(Failure::new(Code::Impossible, why));
    let name = path.display();
    let Some(take) = held.takes.into_iter().find(|take| take.best().is_some()) else {
        let why = held.left_out.first().map_or("it is silent or damaged", String::as_str);
        return impossible(format!("the loop-back {name} holds no take that can be used: {why}"));
    };
    match take.is_driven_to_full_scale() {
        true => impossible(format!(
            "the loop-back {name} was driven to full scale: record it again 6 dB lower"
        )),
        false => Ok(take),
    }
}

/// Says when a capture is of another track than the one given.
fn other_track(name: &str, take: Label, track: Label) -> Option<String> {
    let same = (take.form, take.level_steps) == (track.form, track.level_steps);
    (!same).then(|| {
        format!(
            "{name}: another form or level of the track than the one given; its own markers count"
        )
    })
}

/// The takes of one file.
fn read(path: &Path, purpose: Purpose, inputs: &mut Vec<Input>) -> Result<Held, Failure> {
    let mut reader = Reader::open(path)?;
    reader.read_all_channels();
    let impossible =
        |refusal: Refusal| Failure::new(Code::Impossible, format!("{}: {refusal}", path.display()));
    let mut capture =
        Capture::new(reader.sample_rate_hz() as u32, reader.channels()).map_err(impossible)?;
    let mut held = Held::default();
    let coded = reader.is_lossy();
    let mut keep = |take: Result<_, Refusal>| match take {
        Ok(take) => {
            let reading = TakeReading::new(&take, purpose);
            held.takes.push(if coded { reading.coded() } else { reading });
        }
        Err(refusal) => held.left_out.push(refusal.to_string()),
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
    reader.notes().iter().for_each(|note| remark(&format!("{}: {note}", reader.name())));
    let name = path.file_name().map_or("-".into(), |name| name.to_string_lossy().into_owned());
    inputs.push(Input { name, sha256: reader.sha256()? });
    Ok(held)
}
