//! The folder a demo leaves behind: whole or not at all. One that holds anything else is left
//! alone.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use crate::audio::encode::{Format, Spec};
use crate::cli::audio_file::Writer;
use crate::cli::failure::{Code, Failure};
use crate::cli::output::write_text;
use crate::cli::stop::{self, Writing};
use crate::cli::unfinished::PREFIX;

/// Names of the files.
const FILES: [&str; 7] = [
    "report.html",
    "report.txt",
    "low-end.svg",
    "settings.toml",
    "plan.toml",
    "radio.wav",
    "lifted.wav",
];

/// The subject of a demo's report: by it an earlier demo is known again.
pub(super) const SUBJECT: &str = "invented car: captures of its radio, and what answers it";

/// A folder that holds a demo's files and no others, once it is committed.
pub(super) struct Folder {
    place: PathBuf,
    /// Where the folder waits: beside its place, so that it need only be renamed.
    waiting: TempDir,
    // Stands after the folder that waits: that is removed first.
    _guard: Writing,
}

impl Folder {
    /// Makes sure that it may be made.
    ///
    /// # Errors
    /// It cannot be made, or holds something that is not a demo's.
    pub(super) fn new(path: &Path) -> Result<Self, Failure> {
        let name = path.display().to_string();
        let failed = |error| Failure::unwritable(&name, &error);
        let parent = path.parent().filter(|parent| !parent.as_os_str().is_empty());
        let parent = parent.unwrap_or(Path::new("."));
        if let Some(stranger) = stranger(path).map_err(failed)? {
            let sentence = format!(
                "{name} holds {stranger}, which is not a demo's: give --out another folder"
            );
            return Err(Failure::new(Code::Unwritable, sentence));
        }
        let guard = Writing::begin();
        let waiting = tempfile::Builder::new().prefix(PREFIX).tempdir_in(parent).map_err(failed)?;
        let folder = Self { place: path.into(), waiting, _guard: guard };
        fs::create_dir(folder.made()).map_err(failed)?;
        Ok(folder)
    }

    /// The folder as it is to be; a temporary one is for its owner alone, this one is not.
    fn made(&self) -> PathBuf {
        self.waiting.path().join("demo")
    }

    /// Writes the five texts, in the order of their names.
    pub(super) fn write_texts(&self, texts: [&str; 5]) -> Result<(), Failure> {
        FILES
            .iter()
            .zip(texts)
            .try_for_each(|(name, text)| write_text(&self.made().join(name), false, text))
    }

    /// Writes the two sounds, mono: what the radio gives, and what comes out.
    pub(super) fn write_sounds(
        &self,
        sounds: [&[f32]; 2],
        sample_rate_hz: f64,
        seed: u64,
    ) -> Result<(), Failure> {
        FILES[5..].iter().zip(sounds).try_for_each(|(name, sound)| {
            stop::check()?;
            let spec = Spec {
                sample_rate_hz,
                channels: 1,
                format: Format::F32,
                seed,
                frames: Some(sound.len() as u64),
            };
            let mut writer = Writer::create(&self.made().join(name), false, spec)?;
            writer.write(&[sound.to_vec()])?;
            writer.finish().map(|_| ())
        })
    }

    /// Puts the folder in its place; where the report is then.
    pub(super) fn commit(self) -> Result<PathBuf, Failure> {
        stop::check()?;
        let failed = |error| Failure::unwritable(&self.place.display().to_string(), &error);
        self.put_whole().or_else(|_| self.put_files()).map_err(failed)?;
        Ok(self.place.join(FILES[0]))
    }

    /// Puts it there by its name, at once. An earlier demo is renamed away first, and goes with the
    /// folder that waits.
    fn put_whole(&self) -> io::Result<()> {
        if self.place.is_symlink() || stranger(&self.place)?.is_some() {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let old = self.waiting.path().join("old");
        if self.place.exists() {
            fs::rename(&self.place, &old)?;
        }
        fs::rename(self.made(), &self.place).inspect_err(|_| {
            let _ = fs::rename(&old, &self.place);
        })
    }

    /// Puts every file there: a folder that is a link, or that somebody stands in, cannot be renamed.
    fn put_files(&self) -> io::Result<()> {
        fs::create_dir_all(&self.place)?;
        FILES.iter().try_for_each(|name| fs::rename(self.made().join(name), self.place.join(name)))
    }
}

/// The first thing in a folder that no demo has put there; a folder that is not there holds none.
fn stranger(path: &Path) -> io::Result<Option<String>> {
    let entries = match fs::read_dir(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        entries => entries?,
    };
    let names = entries.map(|entry| Ok(entry?.file_name())).collect::<io::Result<Vec<_>>>()?;
    let foreign = names.iter().find(|name| !FILES.iter().any(|file| *name == file));
    if let Some(name) = foreign {
        return Ok(Some(name.display().to_string()));
    }
    // The same names may be another's: a demo's report says what it is about.
    let known = fs::read_to_string(path.join(FILES[0])).is_ok_and(|page| page.contains(SUBJECT));
    Ok(names.first().filter(|_| !known).map(|name| name.display().to_string()))
}
