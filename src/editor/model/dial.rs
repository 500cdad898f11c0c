//! How a hand moves a setting: its place on a line of its own, its steps, what it types.

use crate::settings::{Id, Kind};

/// How a number was moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Move {
    /// To this value in a drag that goes on.
    Drag(f32),
    /// To this value at once.
    Step(f32),
}

/// A number that a hand can move.
pub trait Dial {
    /// Where a value stands between the ends of its range, 0 to 1.
    fn place(&self, plain: f32) -> f32;
    /// The value at a place.
    fn value(&self, place: f32) -> f32;
    /// The value a number of steps away.
    fn step(&self, plain: f32, steps: f32) -> f32;
    /// The value it had before anyone moved it.
    fn default(&self) -> f32;
    /// A value as words to type over.
    fn show(&self, plain: f32) -> String;
    /// A typed value; one out of range goes to the nearest end, junk is no value.
    fn read(&self, text: &str) -> Option<f32>;
}

/// Share of the line that stands for "off" where off lies apart from the numbers.
const OFF_SHARE: f32 = 0.06;

/// The nearest value of a setting that is written in few digits: tenths, or hundredths of an
/// octave.
pub fn round(id: Id, plain: f32) -> f32 {
    let octaves = matches!(id.setting().kind, Kind::Number { max, .. } if max <= 4.0);
    let steps = if octaves { 100.0 } else { 10.0 };
    id.setting().clamp((plain * steps).round() / steps)
}

/// The next of the words of a choice or switch, round and round.
pub fn next(id: Id, plain: f32) -> f32 {
    let count = match id.setting().kind {
        Kind::Choice { words, .. } => words.len(),
        _ => 2,
    };
    ((plain as usize + 1) % count) as f32
}

impl Dial for Id {
    fn place(&self, plain: f32) -> f32 {
        let Kind::Number { min, max, off, ratio, .. } = self.setting().kind else { return 0.0 };
        let apart = off.is_some_and(|off| off < min);
        if apart && plain < min {
            return 0.0;
        }
        let share = match ratio {
            true => (plain / min).ln() / (max / min).ln(),
            false => (plain - min) / (max - min),
        };
        if apart { OFF_SHARE + share * (1.0 - OFF_SHARE) } else { share }
    }

    fn value(&self, place: f32) -> f32 {
        let Kind::Number { min, max, off, ratio, .. } = self.setting().kind else { return 0.0 };
        let mut share = place.clamp(0.0, 1.0);
        if let Some(off) = off.filter(|off| *off < min) {
            if share < OFF_SHARE / 2.0 {
                return off;
            }
            share = ((share - OFF_SHARE) / (1.0 - OFF_SHARE)).max(0.0);
        }
        round(
            *self,
            match ratio {
                true => min * (max / min).powf(share),
                false => min + share * (max - min),
            },
        )
    }

    // 1/24 octave for frequencies and widths, half a unit for the rest.
    fn step(&self, plain: f32, steps: f32) -> f32 {
        let Kind::Number { min, off, ratio, .. } = self.setting().kind else { return plain };
        if off.is_some_and(|off| off < min && plain < min) {
            return if steps > 0.0 { min } else { plain };
        }
        let next = if ratio { plain * (steps / 24.0).exp2() } else { plain + 0.5 * steps };
        let rounded = (next * 100.0).round() / 100.0;
        // The finest step of a narrow width is less than its last digit.
        let stuck = rounded == plain;
        self.setting().clamp(if stuck { plain + 0.01 * steps.signum() } else { rounded })
    }

    fn read(&self, text: &str) -> Option<f32> {
        let setting = self.setting();
        setting.parse(text).ok().or_else(|| {
            let number = text.trim().trim_end_matches(|c: char| c.is_alphabetic() || c == '°');
            let number = number.trim().replace(',', ".").replace('\u{2212}', "-");
            let number: f32 = number.parse().ok()?;
            number.is_finite().then(|| setting.clamp(number))
        })
    }

    fn default(&self) -> f32 {
        self.setting().default()
    }

    fn show(&self, plain: f32) -> String {
        self.setting().show(plain)
    }
}
