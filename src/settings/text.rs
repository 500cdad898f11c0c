//! Settings to text and back: `-6 dB`, `45hz`, `1,5 oct`, `off`.
//!
//! What [`Setting::show`] writes, [`Setting::parse`] reads back to the same value.

use super::{ALL, Kind, Setting, Settings, Unit};

/// Words that stand for the word of a choice: slopes for orders, as hosts show them.
const ALIKE: [(&str, &str); 3] = [("0", "off"), ("12 db/oct", "2"), ("24 db/oct", "4")];

impl Setting {
    /// The setting with this key.
    ///
    /// # Errors
    /// Names the nearest key when there is no such setting.
    pub fn of(key: &str) -> Result<&'static Setting, String> {
        ALL.iter().find(|s| s.key == key).ok_or_else(|| {
            let near = ALL.iter().map(|s| (distance(key, s.key), s.key)).min();
            // A third of the letters wrong is no slip of the finger any more.
            match near.filter(|(edits, _)| 3 * edits <= key.chars().count()) {
                Some((_, near)) => format!("there is no setting {key:?}; did you mean {near}?"),
                None => format!("there is no setting {key:?}"),
            }
        })
    }

    /// A plain value as text with its unit.
    pub fn show(&self, plain: f32) -> String {
        match self.kind {
            Kind::Switch => if plain >= 0.5 { "on" } else { "off" }.into(),
            Kind::Choice { words, .. } => words[(plain as usize).min(words.len() - 1)].into(),
            Kind::Number { off: Some(off), .. } if plain <= off => "off".into(),
            Kind::Number { unit: Unit::Degrees, .. } => format!("{plain}°"),
            Kind::Number { unit, .. } => format!("{plain} {}", unit.symbol()).trim_end().into(),
        }
    }

    /// The range as text, e.g. `-24 to 24 dB`.
    pub fn range(&self) -> String {
        match self.kind {
            Kind::Switch => "on or off".into(),
            Kind::Choice { words, .. } => words.join(", "),
            Kind::Number { unit, min, max, off, .. } => {
                let off = if off.is_some() { "off, or " } else { "" };
                format!("{off}{min} to {max} {}", unit.symbol()).trim_end().into()
            }
        }
    }

    /// Reads a value: a number with or without its unit (decimal point or
    /// comma, `k` for thousand), a word of a choice, `on` or `off`.
    ///
    /// # Errors
    /// One sentence that names the key and what it takes.
    pub fn parse(&self, text: &str) -> Result<f32, String> {
        let word = text.trim().to_lowercase();
        let wrong = || format!("{} takes {}, not {text:?}", self.key, self.range());
        match self.kind {
            Kind::Switch => match word.as_str() {
                "on" | "true" | "yes" | "1" => Ok(1.0),
                "off" | "false" | "no" | "0" => Ok(0.0),
                _ => Err(wrong()),
            },
            Kind::Choice { words, .. } => {
                let same = ALIKE.iter().find(|(alike, _)| *alike == word);
                let word = same.map_or(word.as_str(), |(_, word)| word);
                words.iter().position(|w| *w == word).map(|i| i as f32).ok_or_else(wrong)
            }
            Kind::Number { off: Some(off), .. } if word == "off" || word == "-inf" => Ok(off),
            Kind::Number { unit, min, max, off, .. } => {
                let plain = parse_number(&word, unit).ok_or_else(wrong)?;
                let allowed = (min..=max).contains(&plain) || Some(plain) == off;
                if allowed { Ok(plain) } else { Err(wrong()) }
            }
        }
    }
}

impl Setting {
    /// Reads what a hand types into a host: as [`Setting::parse`], with a number that is out of range
    /// taken to its end, and `-inf` to the lowest. `None` where nothing can be read.
    pub fn typed(&self, text: &str) -> Option<f32> {
        if let Ok(plain) = self.parse(text) {
            return Some(plain);
        }
        let word = text.trim().to_lowercase().replace('−', "-");
        match self.kind {
            Kind::Number { min, off, .. } if word.starts_with("-inf") || word.starts_with("-∞") => {
                Some(off.unwrap_or(min))
            }
            Kind::Number { unit, .. } => parse_number(&word, unit).map(|plain| self.clamp(plain)),
            _ => None,
        }
    }
}

impl Settings {
    /// The plain value of the setting with this key.
    ///
    /// # Errors
    /// When there is no such key.
    pub fn get(&self, key: &str) -> Result<f32, String> {
        Ok(self.to_plain()[Setting::of(key)?.id.index()])
    }

    /// The same settings with one of them read from text.
    ///
    /// # Errors
    /// One sentence: no such key, or a value it cannot take.
    pub fn with(self, key: &str, text: &str) -> Result<Self, String> {
        let setting = Setting::of(key.trim())?;
        let value = setting.parse(text)?;
        let mut plain = self.to_plain();
        plain[setting.id.index()] = value;
        Ok(Self::from_plain(plain))
    }

    /// Whether the settings make sense together.
    ///
    /// # Errors
    /// One sentence: a source band that ends below its start.
    pub fn check(&self) -> Result<(), String> {
        let (from, to) = (self.octave_from_hz, self.octave_to_hz);
        match from < to {
            true => Ok(()),
            false => Err(format!(
                "octave.from_hz of {from} Hz does not lie below octave.to_hz of {to} Hz: \
                 the source band is empty"
            )),
        }
    }

    /// Every setting with its plain value, in the order of the line.
    pub fn each(&self) -> impl Iterator<Item = (&'static Setting, f32)> {
        ALL.iter().zip(self.to_plain())
    }

    /// The settings that differ from their defaults, with their plain values.
    pub fn changed(&self) -> impl Iterator<Item = (&'static Setting, f32)> {
        self.each().filter(|(setting, plain)| *plain != setting.default())
    }
}

impl Default for Settings {
    fn default() -> Self {
        let mut plain = [0.0; ALL.len()];
        for (value, setting) in plain.iter_mut().zip(ALL) {
            *value = setting.default();
        }
        Self::from_plain(plain)
    }
}

/// A number with or without its unit.
fn parse_number(word: &str, unit: Unit) -> Option<f32> {
    let spelled: &[&str] = match unit {
        Unit::Db | Unit::Dbfs => &["dbfs", "db", "decibels", "decibel"],
        Unit::Hz => &["hz", "hertz"],
        Unit::Octaves => &["octaves", "octave", "oct"],
        Unit::Degrees => &["degrees", "deg", "°"],
        Unit::Quality => &["q"],
    };
    read_number(word, spelled, unit == Unit::Hz).map(|value| value as f32)
}

/// Reads `45`, `45hz`, `45 Hz`, `1,5 oct`: a number with or without one of the units `spelled` in
/// small letters; `0.1k` too where `thousands` are counted. `None` when it is none of these.
pub fn read_number(text: &str, spelled: &[&str], thousands: bool) -> Option<f64> {
    let word = text.trim().to_lowercase().replace('−', "-").replace(',', ".");
    let number = spelled.iter().find_map(|s| word.strip_suffix(s)).unwrap_or(&word).trim();
    let (number, times) = match number.strip_suffix('k') {
        Some(number) if thousands => (number.trim(), 1000.0),
        _ => (number, 1.0),
    };
    let value: f64 = number.parse().ok()?;
    value.is_finite().then_some(value * times)
}

/// How many single-letter edits lie between two words (Levenshtein 1966).
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let substituted = diagonal + usize::from(ca != *cb);
            diagonal = row[j + 1];
            row[j + 1] = substituted.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}
