//! `--preset` and `--set`: how every command is told its settings.

use std::fmt::Write;
use std::fs;
use std::io::{self, Read};
use std::path::Path;

use crate::cli::failure::{Code, Failure};
use crate::presets::{self, Preset};
use crate::settings::{ALL, Settings};

/// Largest preset file: a thousand times one with every setting in it.
const MOST_BYTES: u64 = 4 << 20;

/// The settings a command runs with.
#[derive(clap::Args, Clone, Debug, Default)]
pub(super) struct Choose {
    /// Settings to start from: a built-in preset, or a preset file
    #[arg(short, long, value_name = "NAME|FILE")]
    pub(super) preset: Option<String>,
    /// Changes one setting; can be given again (--help lists the keys)
    #[arg(short, long, value_name = "KEY=VALUE")]
    set: Vec<String>,
}

impl Choose {
    /// The choice that `--preset` and `--set` would make.
    pub(super) fn of(preset: &str, set: &[String]) -> Self {
        Self { preset: Some(preset.into()), set: set.to_vec() }
    }

    /// The settings, as a preset; without `--preset` it has no name.
    ///
    /// # Errors
    /// No such preset, key or value.
    pub(super) fn read(&self) -> Result<Preset, Failure> {
        self.on(match &self.preset {
            Some(name) => preset(name)?,
            None => Preset::new("", "", Settings::default()),
        })
    }

    /// `start` with every `--set`.
    ///
    /// # Errors
    /// No such key or value.
    pub(super) fn on(&self, start: Preset) -> Result<Preset, Failure> {
        let mut chosen = start;
        chosen.notices().iter().for_each(|notice| super::remark(notice));
        for change in &self.set {
            let (key, value) = change
                .split_once('=')
                .ok_or_else(|| Failure::usage(format!("--set takes key=value, not {change:?}")))?;
            chosen.settings = chosen.settings.with(key, value).map_err(Failure::usage)?;
        }
        chosen.settings.check().map_err(Failure::usage)?;
        Ok(chosen)
    }

    /// The same as words of a command line.
    pub(super) fn words(&self) -> impl Iterator<Item = &str> {
        let preset = self.preset.iter().flat_map(|name| ["--preset", name]);
        preset.chain(self.set.iter().flat_map(|change| ["--set", change]))
    }

    /// The preset file that is read, if one is.
    pub(super) fn file(&self) -> Option<&Path> {
        let name = self.preset.as_deref()?;
        presets::named(name).is_none().then_some(Path::new(name))
    }
}

/// A built-in preset by its name, or one from a file.
pub(super) fn preset(name: &str) -> Result<Preset, Failure> {
    if let Some(preset) = presets::named(name) {
        return Ok(preset);
    }
    if name != "-" && !Path::new(name).exists() {
        let names: Vec<String> = presets::all().iter().map(Preset::slug).collect();
        let names = names.join(", ");
        return Err(Failure::usage(format!(
            "there is no preset and no file called {name:?}; the presets are {names}"
        )));
    }
    preset_file(Path::new(name))
}

/// A preset from a file; `-` is standard input.
pub(super) fn preset_file(path: &Path) -> Result<Preset, Failure> {
    let name = path.display().to_string();
    let mut text = String::new();
    let read = match name.as_str() {
        "-" => io::stdin().lock().read_to_string(&mut text).map(|_| text),
        _ => match fs::metadata(path).is_ok_and(|there| there.len() > MOST_BYTES) {
            true => Err(io::Error::other("it is too large for a preset")),
            false => fs::read_to_string(path),
        },
    };
    let text = read.map_err(|error| Failure::unreadable(&name, error))?;
    Preset::parse(&text).map_err(|why| Failure::new(Code::Unreadable, format!("{name}: {why}")))
}

/// Every key with its range, for the long help of a command that has `--set`.
pub(super) fn keys() -> String {
    let mut text = String::from("Settings:\n");
    for setting in ALL {
        let (key, range, about) = (setting.key, setting.range(), setting.about);
        let default = setting.show(setting.default());
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  {key:<20} {range} [{default}]\n                       {about}");
    }
    text
}
