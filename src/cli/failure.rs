//! Why a command ended: one sentence and one exit code, printed in one place.

use std::io;

/// Exit codes, as the help and the manual list them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Code {
    /// Whoever read the output has closed it: no error.
    ClosedPipe = 0,
    /// A limit that was to be checked failed.
    LimitFailed = 1,
    /// The command line cannot be understood.
    Usage = 2,
    /// An input cannot be read.
    Unreadable = 3,
    /// An output exists already or cannot be written.
    Unwritable = 4,
    /// The input is too short, too noisy or silent: nothing can be said about it.
    Impossible = 5,
    /// A fault of this program.
    Internal = 70,
    /// Interrupted from the keyboard.
    Interrupted = 130,
}

/// Why a command ended before its end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// The exit code.
    pub code: Code,
    /// One sentence for a person; empty when there is nothing to say.
    pub sentence: String,
}

impl Failure {
    /// A failure with its sentence.
    pub fn new(code: Code, sentence: impl Into<String>) -> Self {
        Self { code, sentence: sentence.into() }
    }

    /// An input that cannot be read.
    pub fn unreadable(name: &str, why: impl std::fmt::Display) -> Self {
        Self::new(Code::Unreadable, format!("cannot read {name}: {why}"))
    }

    /// An output that cannot be written; a reader that went away is no error.
    pub fn unwritable(name: &str, error: &io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Self::new(Code::ClosedPipe, ""),
            io::ErrorKind::StorageFull => {
                Self::new(Code::Unwritable, format!("cannot write {name}: the disk is full"))
            }
            _ => Self::new(Code::Unwritable, format!("cannot write {name}: {}", reason(error))),
        }
    }

    /// A command line that contradicts itself.
    pub fn usage(sentence: impl Into<String>) -> Self {
        Self::new(Code::Usage, sentence)
    }
}

/// What the system says, without the name of a temporary file that nobody asked about.
fn reason(error: &io::Error) -> String {
    let words = error.to_string();
    words.split_once(" at path ").map_or(words.clone(), |(why, _)| why.into())
}
