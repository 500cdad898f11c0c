//! Values drawn from the bytes of the fuzzer, from their beginning to their end.

use underpin::settings::{ALL, Kind, Settings};

/// What is left of the bytes.
pub(crate) struct Draws<'a>(&'a [u8]);

impl<'a> Draws<'a> {
    pub(crate) fn new(bytes: &'a [u8]) -> Self {
        Self(bytes)
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The next byte; zero when there is none.
    fn byte(&mut self) -> u8 {
        let (first, rest) = self.0.split_first().unwrap_or((&0, &[]));
        self.0 = rest;
        *first
    }

    fn word(&mut self) -> u16 {
        u16::from_le_bytes([self.byte(), self.byte()])
    }

    /// A number from zero to below `end`.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        usize::from(self.word()) % end
    }

    /// Any four bytes as a sample: also infinities and what is no number.
    pub(crate) fn sample(&mut self) -> Option<f32> {
        let (bytes, rest) = self.0.split_first_chunk()?;
        self.0 = rest;
        Some(f32::from_le_bytes(*bytes))
    }

    /// Any settings within their ranges.
    pub(crate) fn settings(&mut self) -> Settings {
        let mut plain = [0.0; ALL.len()];
        for (plain, setting) in plain.iter_mut().zip(ALL) {
            let place = f32::from(self.byte()) / 255.0;
            *plain = setting.clamp(match setting.kind {
                Kind::Switch => place.round(),
                Kind::Choice { words, .. } => (place * words.len() as f32).floor(),
                Kind::Number { off: Some(off), .. } if place == 0.0 => off,
                Kind::Number { min, max, .. } => min + place * (max - min),
            });
        }
        Settings::from_plain(plain)
    }

    /// A block of a square wave, or of one sample again and again, which may be no number.
    pub(crate) fn tone(&mut self, frames: usize) -> Vec<f32> {
        let half = self.below(500);
        let height = self.sample().unwrap_or(0.0);
        let sign = |i: usize| if half > 0 && (i / half) % 2 == 1 { -1.0 } else { 1.0 };
        (0..frames).map(|i| height * sign(i)).collect()
    }
}
