//! The files of a measurement, as the command line names them, read for whoever sits at a terminal.

use std::path::{Path, PathBuf};

use crate::cli::audio_file::open;
use crate::cli::failure::{Code, Failure};
use crate::cli::next::Command;
use crate::cli::progress::Progress;
use crate::cli::{remark, stop};
use crate::planning::take_reading::Purpose;
use crate::takes::{Sounds, Takes, Trouble, Watch};

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
    /// As [`Sounds::read`], and a file cannot be opened.
    pub(super) fn read(&self, purpose: Purpose) -> Result<Takes, Failure> {
        let captures = self.captures.iter().map(|capture| {
            let (name, path) = named(capture);
            Ok((name, open(path)?))
        });
        let sounds = Sounds {
            track: open(&self.track)?,
            captures: captures.collect::<Result<_, Failure>>()?,
            loop_back: self.loop_back.as_deref().map(open).transpose()?,
            at: self.at.clone(),
        };
        Ok(sounds.read(purpose, &mut Terminal(None))?)
    }
}

impl From<Trouble> for Failure {
    fn from(trouble: Trouble) -> Self {
        match trouble {
            Trouble::Unreadable(why) => why.into(),
            Trouble::Impossible(why) => Self::new(Code::Impossible, why),
            Trouble::Asked(why) => Self::usage(why),
            Trouble::Ended => stop::ended(),
        }
    }
}

/// Whoever sits at a terminal: a bar a file, remarks, Ctrl-C.
struct Terminal(Option<Progress>);

impl Watch for Terminal {
    fn begin(&mut self, frames: Option<u64>) {
        self.0 = None;
        self.0 = Some(Progress::new("reading", frames));
    }

    fn advance(&mut self, frames: usize) -> bool {
        match &self.0 {
            // At the end the bar goes, so that remarks stand by themselves.
            Some(_) if frames == 0 => self.0 = None,
            Some(bar) => bar.advance(frames),
            None => {}
        }
        stop::check().is_ok()
    }

    fn remark(&mut self, sentence: &str) {
        remark(sentence);
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
