//! The bench in words: what arrives from a radio, what became of its takes, what comes next.

use crate::editor::model::now::Now;
use crate::editor::model::returned::Returned;
use crate::figures::{clock, level, short};
use crate::link::bench::Measured;
use crate::settings::Settings;
use crate::signal::track::layout::{Content, Form};
use crate::takes::{Advice, InputLevel, Playing};
use std::path::PathBuf;

/// What is heard of a radio now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heard {
    /// The level of the input.
    pub level: InputLevel,
    /// What should be changed at it.
    pub advice: Advice,
    /// The take that is being heard.
    pub playing: Option<Playing>,
    /// Channels of the input.
    pub channels: usize,
    /// How what comes back stands to what was sent, while a device is measured.
    pub returned: Option<Returned>,
}

/// What the window is shown of the bench.
#[derive(Clone, Copy, Debug, Default)]
pub struct BenchInput<'a> {
    /// What is measured.
    pub measured: Measured,
    /// What is heard of a radio.
    pub heard: Option<&'a Heard>,
    /// The takes so far, by their names.
    pub takes: &'a [PathBuf],
    /// Why the last take was none, or nothing can be found: one sentence.
    pub fault: Option<&'a str>,
    /// What is worth doing next: one sentence.
    pub next: &'a str,
    /// Share of the reading that is done, while captures are read.
    pub progress: Option<f64>,
    /// Settings of the line that come nearest to a device that was identified.
    pub settings: Option<Settings>,
}

/// The captures of the folder to choose from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Captures {
    /// The files.
    pub files: Vec<PathBuf>,
    /// Those that are chosen, by their places, in the order in which they were.
    pub chosen: Vec<usize>,
    /// The first row that is shown.
    pub first_row: usize,
}

impl Captures {
    /// Chooses a file, or leaves it.
    pub fn turn(&mut self, at: usize) {
        match self.chosen.iter().position(|chosen| *chosen == at) {
            Some(place) => drop(self.chosen.remove(place)),
            None => self.chosen.push(at),
        }
    }

    /// The files that are chosen.
    pub fn wanted(&self) -> Vec<PathBuf> {
        self.chosen.iter().filter_map(|at| self.files.get(*at).cloned()).collect()
    }
}

/// The name of a file without its ending.
pub fn name(path: &std::path::Path) -> String {
    path.file_stem().map_or("-".into(), |stem| stem.to_string_lossy().into_owned())
}

/// What is heard of a radio or a device, in words.
pub fn status(heard: Option<&Heard>) -> String {
    let Some(heard) = heard else {
        return "nothing has arrived yet: choose an input, and start the host".into();
    };
    match (&heard.playing, heard.returned) {
        (None, Some(returned)) => returned.words(),
        (Some(playing), Some(Returned { delay_ms: Some(ms), .. })) => {
            format!("{}, {ms:.3} ms later", plays(playing, heard.channels))
        }
        (Some(playing), _) => plays(playing, heard.channels),
        (None, None) => "listening for the start of the track".into(),
    }
}

/// Form, section, what is left, and where it is heard.
fn plays(playing: &Playing, channels: usize) -> String {
    let label = playing.hearing.label;
    let form = match label.form {
        Form::Short => "short form",
        Form::Long => "long form",
    };
    let lower = match label.level_steps {
        0 => String::new(),
        _ => format!(" at {} dB", level(label.level_db(), 0)),
    };
    let section = playing.section.map_or("between two sections".into(), |s| section(s.content));
    let left = match playing.left_s > 0.0 {
        true => format!("{} left", clock(playing.left_s)),
        false => "its end is being looked for".into(),
    };
    let place = match (channels, playing.hearing.channels) {
        (1, _) => "",
        (_, 1) => ", on the left input alone",
        (_, 2) => ", on the right input alone",
        _ => ", on both inputs",
    };
    format!("{form}{lower}: {section}, {left}{place}")
}

fn section(content: Content) -> String {
    match content {
        Content::Silence => "silence, for its noise".into(),
        Content::Marker { end: false } => "start marker".into(),
        Content::Marker { end: true } => "end marker".into(),
        Content::Comb { peak_dbfs } => format!("comb at {} dBFS", level(peak_dbfs, 0)),
        Content::Tone { hz, peak_dbfs } => {
            format!("tone of {} Hz at {} dBFS", short(hz, 1), level(peak_dbfs, 0))
        }
        Content::Pulse => "pulse, for the polarity".into(),
    }
}

/// The level of what arrives in words: fast and slow by IEC 61672-1, peak, how far over its noise.
pub fn loudness(heard: &Heard, now: Option<&Now>) -> String {
    let at = heard.level;
    let arrives = now.map(|now| if heard.returned.is_some() { &now.after } else { &now.before });
    let weighted = arrives.map_or([at.rms_dbfs; 2], |meter| meter.weighted_dbfs);
    format!(
        "F {}, S {}, peak {} dBFS, {} dB over its noise",
        level(weighted[0], 1),
        level(weighted[1], 1),
        level(at.peak_dbfs, 1),
        level(at.over_noise_db(), 0)
    )
}
