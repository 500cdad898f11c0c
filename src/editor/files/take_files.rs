//! Takes and tracks in the person's folder: a file of its own for every take, the track that captures
//! are of, and what can be chosen.

use crate::editor::files::write_new::{self, reason};
use crate::signal::track::Label;
use crate::signal::track::layout::Form;
use crate::takes::{Shelf, label_of, write_track};
use std::fs::{self, File, OpenOptions};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// Endings of files that are offered as captures.
const ENDINGS: [&str; 2] = ["wav", "flac"];

/// Most files of one name.
const MOST: usize = 9999;

/// Where takes of one volume step, or of one position of a knob, are put.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StepShelf {
    /// The person's folder.
    pub folder: PathBuf,
    /// Whether they are of a device and not of a radio.
    pub of_device: bool,
    /// The step, or the position of a knob, as the person calls it.
    pub step: String,
}

impl Shelf for StepShelf {
    fn place(&mut self) -> Result<(PathBuf, File), String> {
        if self.folder.as_os_str().is_empty() {
            return Err("No home folder is set: a take cannot be kept.".into());
        }
        let step: String =
            self.step.trim().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
        let kind = if self.of_device { "device" } else { "step" };
        let stem = if step.is_empty() { kind.into() } else { format!("{kind}-{step}") };
        new_file(&self.folder, &stem)
    }
}

/// A new file `stem.wav`, or `stem-2.wav` and so on where that is taken.
fn new_file(folder: &Path, stem: &str) -> Result<(PathBuf, File), String> {
    let failed = |path: &Path, why: std::io::Error| {
        format!("{} cannot be written: {}.", path.display(), reason(&why))
    };
    fs::create_dir_all(folder).map_err(|why| failed(folder, why))?;
    for count in 1..=MOST {
        let stem = if count == 1 { stem.to_owned() } else { format!("{stem}-{count}") };
        let path = folder.join(format!("{stem}.wav"));
        match OpenOptions::new().write(true).create_new(true).open(&path) {
            Ok(file) => return Ok((path, file)),
            Err(why) if why.kind() == ErrorKind::AlreadyExists => {}
            Err(why) => return Err(failed(&path, why)),
        }
    }
    Err(format!("{} holds {MOST} files of this name already.", folder.display()))
}

/// The captures in a folder that can be chosen, by name; tracks are none.
pub fn captures(folder: &Path) -> Vec<PathBuf> {
    let is_capture = |path: &PathBuf| {
        let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase());
        ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()))
            && !path.file_name().is_some_and(|name| is_track(&name.to_string_lossy()))
    };
    let there = fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
    let mut all: Vec<PathBuf> = there.filter(is_capture).collect();
    all.sort();
    all
}

/// True for the name of a file that holds a track itself.
fn is_track(name: &str) -> bool {
    [Form::Short, Form::Long].iter().any(|form| {
        let stem = stem(*form);
        name == format!("{stem}.wav") || name.starts_with(&format!("{stem}-lower-"))
    })
}

fn stem(form: Form) -> &'static str {
    match form {
        Form::Short => "track",
        Form::Long => "long",
    }
}

/// The track that a capture is of, in the folder; written if it is not there.
///
/// # Errors
/// One sentence: the capture cannot be read or holds no track, or the track cannot be written.
pub fn track_of(folder: &Path, capture: &Path) -> Result<PathBuf, String> {
    let label = label_of(capture).map_err(|why| format!("{why}."))?;
    let label = label
        .ok_or_else(|| format!("{} holds no start marker of the track.", capture.display()))?;
    track(folder, label)
}

/// The track of a label in the folder; written if it is not there.
///
/// # Errors
/// One sentence.
pub fn track(folder: &Path, label: Label) -> Result<PathBuf, String> {
    let stem = stem(label.form);
    let name = match label.level_steps {
        0 => format!("{stem}.wav"),
        steps => format!("{stem}-lower-{steps}.wav"),
    };
    let path = folder.join(name);
    if path.exists() {
        return Ok(path);
    }
    let failed = |why: std::io::Error| {
        format!("{} cannot be written: {}.", path.display(), write_new::reason(&why))
    };
    fs::create_dir_all(folder).map_err(failed)?;
    let file = OpenOptions::new().write(true).create_new(true).open(&path).map_err(failed)?;
    write_track(file, label).map_err(|why| {
        // Half a track is worth nothing; when even this fails, the first error says why.
        let _ = fs::remove_file(&path);
        failed(why)
    })?;
    Ok(path)
}
