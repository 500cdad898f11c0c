//! The folder a demo leaves behind. One that holds anything else is left alone.

use std::fs;
use std::path::{Path, PathBuf};

use crate::cli::audio_file::{Format, Spec, Writer};
use crate::cli::failure::{Code, Failure};
use crate::cli::output::write_text;

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

/// A folder that holds a demo's files and no others.
pub(super) struct Folder(PathBuf);

impl Folder {
    /// Makes it.
    ///
    /// # Errors
    /// It cannot be made, or holds something that is not a demo's.
    pub(super) fn new(path: &Path) -> Result<Self, Failure> {
        let failed = |error| Failure::unwritable(&path.display().to_string(), &error);
        fs::create_dir_all(path).map_err(failed)?;
        for entry in fs::read_dir(path).map_err(failed)? {
            let name = entry.map_err(failed)?.file_name();
            if !FILES.iter().any(|file| name == *file) {
                let sentence = format!(
                    "{} holds {}, which is not a demo's: give --out another folder",
                    path.display(),
                    name.display()
                );
                return Err(Failure::new(Code::Unwritable, sentence));
            }
        }
        Ok(Self(path.into()))
    }

    /// Where the report stands.
    pub(super) fn report(&self) -> PathBuf {
        self.0.join(FILES[0])
    }

    /// Writes the five texts, in the order of their names.
    pub(super) fn write_texts(&self, texts: [&str; 5]) -> Result<(), Failure> {
        FILES
            .iter()
            .zip(texts)
            .try_for_each(|(name, text)| write_text(&self.0.join(name), true, text))
    }

    /// Writes the two sounds, mono: what the radio gives, and what comes out.
    pub(super) fn write_sounds(
        &self,
        sounds: [&[f32]; 2],
        sample_rate_hz: f64,
        seed: u64,
    ) -> Result<(), Failure> {
        FILES[5..].iter().zip(sounds).try_for_each(|(name, sound)| {
            let spec = Spec {
                sample_rate_hz,
                channels: 1,
                format: Format::F32,
                seed,
                frames: Some(sound.len() as u64),
            };
            let mut writer = Writer::create(&self.0.join(name), true, spec)?;
            writer.write(&[sound.to_vec()])?;
            writer.finish().map(|_| ())
        })
    }
}
