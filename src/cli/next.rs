//! What to do next, as the command that does it, with the names that were given.

use std::fmt::Write;
use std::path::Path;

/// A command line under way.
pub(super) struct Command(String);

impl Command {
    /// A command of this program.
    pub(super) fn new(verb: &str) -> Self {
        Self(format!("underpin {verb}"))
    }

    /// With a word, in quotes where a shell would take it apart.
    pub(super) fn word(mut self, word: &str) -> Self {
        let plain = |c: char| c.is_alphanumeric() || "-_./=:+,\u{b5}".contains(c);
        match !word.is_empty() && word.chars().all(plain) {
            true => self.0 += &format!(" {word}"),
            false => self.0 += &format!(" '{}'", word.replace('\'', "'\\''")),
        }
        self
    }

    /// With words that need no quotes.
    pub(super) fn plain(mut self, words: &str) -> Self {
        let _ = write!(self.0, " {words}");
        self
    }

    /// With a file.
    pub(super) fn file(self, path: &Path) -> Self {
        self.word(&path.display().to_string())
    }

    /// The whole line, behind what it does.
    pub(super) fn that(self, does: &str) -> String {
        format!("{does}: {}", self.0)
    }
}
