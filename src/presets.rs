//! Presets: settings with a name and a word on when to use them.
//!
//! A preset is a TOML file with the keys of the settings. What a file holds and
//! this version does not know is kept and written back, never dropped.

pub mod host_file;

use toml::{Table, Value};

use crate::settings::{ALL, Kind, Setting, Settings};

/// The schema of the files this version writes.
pub const SCHEMA: i64 = 1;

/// Longest name, and longest word on when to use it, in characters: a line and a paragraph.
const LONGEST: [usize; 2] = [100, 1000];

/// Settings with a name and a word on when to use them.
#[derive(Clone, Debug, PartialEq)]
pub struct Preset {
    /// What it is called.
    pub name: String,
    /// One sentence on when to use it.
    pub when: String,
    /// The settings; what a file leaves out has its default.
    pub settings: Settings,
    /// The schema the file was written in; [`SCHEMA`] for a new preset.
    pub schema: i64,
    /// What the file held and this version does not know: dotted keys and their values.
    pub kept: Vec<(String, Value)>,
}

impl Preset {
    /// A preset of this version's schema.
    pub fn new(name: &str, when: &str, settings: Settings) -> Self {
        Self { name: name.into(), when: when.into(), settings, schema: SCHEMA, kept: Vec::new() }
    }

    /// Reads a preset file. Keys this version does not know, and values of a
    /// newer schema that it cannot read, are kept: [`Preset::notices`] names them.
    ///
    /// # Errors
    /// One sentence: not TOML, no name or schema number, or a value out of its range.
    pub fn parse(text: &str) -> Result<Self, String> {
        let table: Table = text.parse().map_err(|error: toml::de::Error| {
            let line = error.span().map_or(1, |span| 1 + text[..span.start].matches('\n').count());
            format!("line {line} is not TOML: {}", error.message().replace('\n', " "))
        })?;
        let mut preset = Self::new("", "", Settings::default());
        preset.schema = match table.get("schema") {
            Some(Value::Integer(schema)) if *schema >= 1 => *schema,
            Some(other) => return Err(format!("schema must be a number from 1 up, not {other}")),
            None => return Err(format!("the line `schema = {SCHEMA}` is missing")),
        };
        let mut entries = Vec::new();
        flatten("", table, &mut entries);
        for (key, value) in entries {
            preset.take(key, value)?;
        }
        if preset.name.is_empty() {
            Err("the line `name = …` is missing".into())
        } else {
            Ok(preset)
        }
    }

    /// The preset as a file: every setting with its range beside it.
    /// [`Preset::parse`] reads the same preset back, bit for bit.
    pub fn to_toml(&self) -> String {
        let words = |text: &str| Value::String(text.into());
        let (name, when) = (words(&self.name), words(&self.when));
        let mut text = format!("schema = {}\nname = {name}\nwhen = {when}\n\n", self.schema);
        for (setting, plain) in self.settings.each() {
            if !self.kept.iter().any(|(key, _)| key == setting.key) {
                let line = format!("{} = {}", setting.key, spell(setting, plain));
                text += &format!("{line:<34} # {}\n", setting.range());
            }
        }
        for (key, value) in &self.kept {
            text += &format!("{key} = {value}\n");
        }
        text
    }

    /// What a reader of this preset should know: one sentence for each thing
    /// that was kept but is not used.
    pub fn notices(&self) -> Vec<String> {
        let newer = (self.schema > SCHEMA)
            .then(|| format!("the preset has schema {}; this version knows {SCHEMA}", self.schema));
        let kept = self.kept.iter().map(|(key, value)| {
            let why = Setting::of(key).and_then(|s| s.parse(&plain_text(value)).map(|_| s));
            let why = why.err().unwrap_or_else(|| format!("{key} is not read"));
            format!("{why} (kept, not used)")
        });
        newer.into_iter().chain(kept).collect()
    }

    /// The name as typed on a command line: small letters and digits, a hyphen for all else, so that
    /// it leads to no other folder.
    pub fn slug(&self) -> String {
        let plain = |c: char| if c.is_alphanumeric() { c } else { '-' };
        self.name.trim().to_lowercase().chars().map(plain).collect()
    }

    /// Takes one entry of a file.
    fn take(&mut self, key: String, value: Value) -> Result<(), String> {
        match (key.as_str(), &value) {
            ("schema", _) => {}
            ("name", Value::String(name)) if fits(name, LONGEST[0]) => self.name = name.clone(),
            ("when", Value::String(when)) if fits(when, LONGEST[1]) => self.when = when.clone(),
            ("name" | "when", Value::String(_)) => {
                let [name, when] = LONGEST;
                return Err(format!("name takes {name} letters and when takes {when}, no more"));
            }
            ("name" | "when", other) => return Err(format!("{key} must be text, not {other}")),
            _ if clashes(&key) => return Err(format!("{key} = {value} is not a setting")),
            _ if Setting::of(&key).is_err() => self.kept.push((key, value)),
            _ => match self.settings.with(&key, &plain_text(&value)) {
                Ok(settings) => self.settings = settings,
                Err(_) if self.schema > SCHEMA => self.kept.push((key, value)),
                Err(why) => return Err(why),
            },
        }
        Ok(())
    }
}

macro_rules! built_in {
    ($($file:literal)*) => {
        /// The text of every built-in preset, in the order shown.
        const BUILT_IN: &[&str] = &[$(include_str!(concat!("presets/", $file, ".toml"))),*];
    };
}

built_in! {
    "start-here" "untouched" "lift-the-roll-off" "replace-the-missing-octave" "kick-drum"
    "running-bass" "long-low-notes" "spare-the-voice" "ported-box" "sealed-box"
    "deeper-sealed-box"
    "octave-alone" "plain-divider"
}

/// The built-in presets, in the order shown.
pub fn all() -> Vec<Preset> {
    // A test reads every one of them: none is left out.
    BUILT_IN.iter().filter_map(|text| Preset::parse(text).ok()).collect()
}

/// The built-in preset with this name or slug, in capitals or not.
pub fn named(name: &str) -> Option<Preset> {
    let slug = Preset::new(name, "", Settings::default()).slug();
    all().into_iter().find(|preset| preset.slug() == slug)
}

/// True for a text of at most so many characters.
fn fits(text: &str, most: usize) -> bool {
    text.chars().nth(most).is_none()
}

/// True when an unknown key could not stand in one file with the known ones:
/// it is a group of theirs, or makes a group of one of them.
fn clashes(key: &str) -> bool {
    let within = |a: &str, b: &str| a.strip_prefix(b).is_some_and(|rest| rest.starts_with('.'));
    let known = ALL.iter().map(|s| s.key).chain(["schema", "name", "when"]);
    known.into_iter().any(|known| within(key, known) || within(known, key))
}

/// The leaves of a table, each under its dotted key, quoted where TOML asks for it.
fn flatten(prefix: &str, table: Table, leaves: &mut Vec<(String, Value)>) {
    for (key, value) in table {
        let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
        let plain = !key.is_empty() && key.chars().all(bare);
        let key = if plain { key } else { Value::String(key).to_string() };
        let key = if prefix.is_empty() { key } else { format!("{prefix}.{key}") };
        match value {
            Value::Table(inner) if !inner.is_empty() => flatten(&key, inner, leaves),
            leaf => leaves.push((key, leaf)),
        }
    }
}

/// A value without the quotes of TOML, as [`Setting::parse`] reads it.
fn plain_text(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

/// A plain value as TOML: true or false, a number, or a word in quotes.
fn spell(setting: &Setting, plain: f32) -> String {
    let word = setting.show(plain);
    match setting.kind {
        Kind::Switch => (plain >= 0.5).to_string(),
        Kind::Number { off, .. } if off.is_none_or(|off| plain > off) => format!("{plain:?}"),
        Kind::Choice { .. } if word.parse::<i64>().is_ok() => word,
        _ => format!("{word:?}"),
    }
}
