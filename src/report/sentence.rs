//! A sentence whose words can name their cause.
//!
//! The sentence is the key of every picture: a word with a cause is
//! underlined in the dash of that cause, so no picture needs a legend.

use serde::{Deserialize, Serialize};

use crate::plot::Cause;

/// Some words of a sentence.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Said {
    /// The words, with the spaces around them.
    pub words: String,
    /// What they name, when they name a cause.
    pub cause: Option<Cause>,
}

/// A sentence, or a few.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Sentence {
    /// Its parts, in order.
    pub said: Vec<Said>,
}

impl Sentence {
    /// The same sentence with plain words added.
    pub fn say(mut self, words: impl Into<String>) -> Self {
        self.said.push(Said { words: words.into(), cause: None });
        self
    }

    /// The same sentence with words added that name `cause`.
    pub fn name(mut self, cause: Cause, words: impl Into<String>) -> Self {
        self.said.push(Said { words: words.into(), cause: Some(cause) });
        self
    }

    /// True when nothing is said.
    pub fn is_empty(&self) -> bool {
        self.said.iter().all(|said| said.words.trim().is_empty())
    }

    /// The sentence as plain words.
    pub fn plain(&self) -> String {
        self.said.iter().map(|said| said.words.as_str()).collect()
    }
}

impl From<&str> for Sentence {
    fn from(words: &str) -> Self {
        Self::default().say(words)
    }
}

impl From<String> for Sentence {
    fn from(words: String) -> Self {
        Self::default().say(words)
    }
}
