//! How what a device gives back stands to what was sent, in words.

use crate::figures::{MINUS, difference};
use std::fmt;

/// What is wrong at a device.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// Nothing of what is sent comes back.
    NoReturn,
    /// What comes back reached full scale.
    Clipped,
    /// What comes back is not what was sent.
    Unlike,
    /// The delay jumped by so many milliseconds.
    Jumped(f64),
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoReturn => f.write_str("nothing comes back: look for the cables and the input"),
            Self::Clipped => f.write_str("clipped: attenuate what comes back"),
            Self::Unlike => f.write_str("what comes back is not what was sent"),
            Self::Jumped(ms) => {
                let sign = if *ms < 0.0 { MINUS } else { "+" };
                write!(f, "the delay jumped by {sign}{:.2} ms: sound was lost", ms.abs())
            }
        }
    }
}

/// How what comes back stands to what was sent.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Returned {
    /// Whether anything is sent.
    pub is_sending: bool,
    /// How far it lies behind, in milliseconds, once a signal told that.
    pub delay_ms: Option<f64>,
    /// Gain of what is alike, dB.
    pub gain_db: Option<f64>,
    /// Whether it is turned over.
    pub is_inverted: bool,
    /// Whether nothing but what was sent comes back.
    pub is_cable: bool,
    /// What is wrong.
    pub fault: Option<Fault>,
}

impl Returned {
    /// What is said above the view: what is wrong, or how it stands.
    pub fn sentence(&self) -> String {
        let words = self.fault.map_or_else(|| self.words(), |fault| fault.to_string());
        let mut letters = words.chars();
        let first = letters.next().map(char::to_uppercase);
        first.into_iter().flatten().chain(letters).chain(['.']).collect()
    }

    /// In words.
    pub fn words(&self) -> String {
        if !self.is_sending {
            return "choose a test signal, start soft, and hold start".into();
        }
        let mut words: Vec<String> = Vec::new();
        words.extend(self.delay_ms.map(|ms| format!("{ms:.3} ms later")));
        words.extend(self.gain_db.map(|db| format!("{} dB", difference(db))));
        if self.is_inverted {
            words.push("turned over".into());
        }
        if self.is_cable {
            words.push("a cable, or a device that does nothing".into());
        }
        match words.is_empty() {
            true => "sent; nothing was recognised yet".into(),
            false => format!("comes back {}", words.join(", ")),
        }
    }
}
