//! Runs the built program on the files of a case, as a person would, and keeps what it said.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;

use serde_json::Value;
use tempfile::TempDir;

use crate::case::{File, Scene};

/// What the program said.
pub(crate) struct Told {
    /// The finding.
    pub(crate) finding: String,
    /// The JSON; null when it refused.
    pub(crate) json: Value,
    /// Everything, as a reader sees it: the JSON and what went to standard error, lower case.
    pub(crate) everything: String,
    /// Whether it refused.
    pub(crate) refused: bool,
    /// The plan file, when one was asked for.
    pub(crate) plan: Option<String>,
}

/// A table of the report.
pub(crate) struct Rows<'a> {
    pub(crate) title: &'a str,
    pub(crate) rows: Vec<Vec<&'a str>>,
}

impl Told {
    pub(crate) fn tables(&self) -> Vec<Rows<'_>> {
        self.json["tables"].as_array().into_iter().flatten().map(table).collect()
    }

    /// The second cell of the row that begins with this, in the table that begins with that.
    pub(crate) fn cell(&self, table: &str, row: &str) -> Option<&str> {
        let tables = self.tables();
        let table = tables.iter().find(|t| t.title.starts_with(table))?;
        table.rows.iter().find(|r| r.first().is_some_and(|c| c.starts_with(row)))?.get(1).copied()
    }
}

fn table(json: &Value) -> Rows<'_> {
    let rows = json["rows"].as_array().into_iter().flatten();
    Rows {
        title: json["title"].as_str().unwrap_or_default(),
        rows: rows
            .map(|r| r.as_array().into_iter().flatten().filter_map(Value::as_str).collect())
            .collect(),
    }
}

/// Which question is put.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Ask {
    Diagnose,
    Tune,
    Identify,
}

impl Ask {
    fn word(self) -> &'static str {
        match self {
            Self::Diagnose => "diagnose",
            Self::Tune => "tune",
            Self::Identify => "identify",
        }
    }
}

/// Puts the question about `scene`.
pub(crate) fn ask(question: Ask, scene: &Scene) -> Told {
    let folder = TempDir::new().expect("a folder for the case");
    let mut command = program(folder.path());
    command.arg(question.word()).arg(track(question)).arg("--json");
    for file in &scene.captures {
        command.arg(written(folder.path(), file));
    }
    if let Some(file) = &scene.loop_back {
        command.arg("--loop-back").arg(written(folder.path(), file));
    }
    if question == Ask::Tune {
        command.args(["--plan", "plan.toml"]);
    }
    let out = command.output().expect("the program runs");
    let said = String::from_utf8_lossy(&out.stderr).into_owned();
    let json: Value = serde_json::from_slice(&out.stdout).unwrap_or(Value::Null);
    Told {
        finding: json["finding"].as_str().unwrap_or_default().to_string(),
        everything: format!("{json} {said}").to_lowercase(),
        refused: !out.status.success(),
        plan: fs::read_to_string(folder.path().join("plan.toml")).ok(),
        json,
    }
}

fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_underpin"));
    command.current_dir(folder).stdin(Stdio::null());
    command
}

/// The track as the program writes it, once for all cases.
fn track(question: Ask) -> &'static Path {
    static TRACKS: OnceLock<(TempDir, [PathBuf; 2])> = OnceLock::new();
    let (_, [short, long]) = TRACKS.get_or_init(|| {
        let folder = TempDir::new().expect("a folder for the track");
        let path = ["short", "long"].map(|form| {
            let file = format!("{form}.wav");
            let args = ["signal", "track", "--rate", "12000", "--form", form, "-o", &file];
            let ran = program(folder.path()).args(args).output().expect("the program runs");
            assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
            folder.path().join(file)
        });
        (folder, path)
    });
    if question == Ask::Identify { long } else { short }
}

/// A float WAV of our own: RIFF by hand, format 3.
fn written(folder: &Path, file: &File) -> PathBuf {
    let path = folder.join(format!("{}.wav", file.name));
    let (channels, rate) = (file.channels.len() as u32, file.rate as u32);
    let frames = file.channels[0].len();
    let bytes = 4 * frames as u32 * channels;
    let mut out = Vec::with_capacity(44 + bytes as usize);
    out.extend(b"RIFF");
    out.extend((36 + bytes).to_le_bytes());
    out.extend(b"WAVEfmt ");
    out.extend(16u32.to_le_bytes());
    out.extend(3u16.to_le_bytes());
    out.extend((channels as u16).to_le_bytes());
    out.extend(rate.to_le_bytes());
    out.extend((4 * rate * channels).to_le_bytes());
    out.extend((4 * channels as u16).to_le_bytes());
    out.extend(32u16.to_le_bytes());
    out.extend(b"data");
    out.extend(bytes.to_le_bytes());
    for n in 0..frames {
        file.channels.iter().for_each(|channel| out.extend(channel[n].to_le_bytes()));
    }
    fs::write(&path, out).expect("the capture is written");
    path
}
