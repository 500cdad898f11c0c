//! A folder with the inputs that every mishap needs, and runs of the program in it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use crate::Outcome;
use crate::bundle;

pub(super) struct Scratch {
    folder: PathBuf,
    program: PathBuf,
}

impl Scratch {
    /// A new folder with a song, both forms of the track, and a plan made of it.
    pub(super) fn new() -> Result<Scratch, String> {
        let folder = bundle::target().join("mishaps");
        bundle::remove(&folder)?;
        fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        let folder = folder.canonicalize().map_err(|e| e.to_string())?;
        let program = bundle::target().join("release/underpin");
        let program = program.canonicalize().map_err(|e| format!("{}: {e}", program.display()))?;
        let scratch = Scratch { folder, program };
        scratch.does("signal pink --seconds 120 -o song.wav")?;
        scratch.does("signal track -o track.wav")?;
        scratch.does("signal track --form long -o long.wav")?;
        scratch.does("tune track.wav track.wav --plan plan.toml")?;
        Ok(scratch)
    }

    pub(super) fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    pub(super) fn program(&self) -> &Path {
        &self.program
    }

    /// The program with the words of a line as its arguments, silent and without input.
    pub(super) fn command(&self, line: &str) -> Command {
        let mut command = Command::new(&self.program);
        command.args(line.split(' ')).current_dir(&self.folder);
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        command
    }

    /// Runs it to its end, with what it says.
    pub(super) fn run(&self, line: &str) -> Result<Output, String> {
        let mut command = self.command(line);
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        command.output().map_err(|e| format!("{line}: {e}"))
    }

    /// Runs it to its end; anything but success is an error.
    pub(super) fn does(&self, line: &str) -> Outcome {
        let output = self.run(line)?;
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        output.status.success().then_some(()).ok_or(format!("{line}: {said}"))
    }

    /// What a name of the folder holds: a file's bytes, or those of all files of a folder.
    pub(super) fn bytes(&self, name: &str) -> Option<Vec<u8>> {
        let path = self.path(name);
        if !path.is_dir() {
            return fs::read(path).ok();
        }
        let mut names: Vec<_> =
            fs::read_dir(path).ok()?.filter_map(|e| Some(e.ok()?.file_name())).collect();
        names.sort();
        let inner = |file: &std::ffi::OsString| {
            let bytes = self.bytes(&format!("{name}/{}", file.to_string_lossy()))?;
            Some([file.as_encoded_bytes(), &bytes].concat())
        };
        Some(names.iter().filter_map(inner).flatten().collect())
    }

    /// Removes names of the folder, there or not.
    pub(super) fn remove(&self, names: &[&str]) -> Outcome {
        names.iter().try_for_each(|name| bundle::remove(&self.path(name)))
    }

    /// Files of unfinished runs.
    pub(super) fn unfinished(&self) -> Vec<PathBuf> {
        let entries = fs::read_dir(&self.folder).into_iter().flatten();
        let paths = entries.filter_map(|entry| Some(entry.ok()?.path()));
        paths.filter(|path| path.to_string_lossy().contains("/.unfinished-")).collect()
    }
}

/// Whether an end is one the program chose: not a panic, not a signal.
pub(super) fn chosen(output: &Output) -> bool {
    !matches!(output.status.code(), None | Some(70 | 101))
}

/// What was said on standard error.
pub(super) fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).trim().to_owned()
}
