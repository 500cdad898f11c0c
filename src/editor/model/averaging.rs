//! Over what time is averaged.

/// Over what time is averaged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Span {
    /// Everything since the start.
    #[default]
    Whole,
    /// The latest half minute.
    HalfMinute,
    /// The latest ten seconds.
    TenSeconds,
}

impl Span {
    /// The next one, round and round.
    pub fn next(self) -> Self {
        match self {
            Span::Whole => Span::HalfMinute,
            Span::HalfMinute => Span::TenSeconds,
            Span::TenSeconds => Span::Whole,
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Span::Whole => "mean of all",
            Span::HalfMinute => "last 30 s",
            Span::TenSeconds => "last 10 s",
        }
    }

    /// Its length in seconds, when it ends.
    pub fn seconds(self) -> Option<f64> {
        match self {
            Span::Whole => None,
            Span::HalfMinute => Some(30.0),
            Span::TenSeconds => Some(10.0),
        }
    }
}
