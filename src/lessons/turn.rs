//! What a hand may turn in a lesson, so that its figures and pictures follow.

use super::Setup;

/// One number of a lesson, from its least to its most.
pub struct Turn {
    /// What it is, in a few words.
    pub name: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// Least and most.
    pub range: (f64, f64),
    /// Where the lesson starts.
    pub start: f64,
    /// One step of it.
    pub step: f64,
    /// Puts it into what is played.
    pub(super) put: fn(&mut [Setup], f64),
}

impl Turn {
    /// The level of the octave part in what is played first.
    pub(super) const fn octave_level(range: (f64, f64), start: f64, step: f64) -> Self {
        Self {
            name: "level of the octave part",
            unit: "dB",
            range,
            start,
            step,
            put: |setups, db| setups[0].settings.octave_level_db = db as f32,
        }
    }

    /// What is played at `value`, which is held within the range.
    pub fn turned(&self, mut setups: Vec<Setup>, value: f64) -> Vec<Setup> {
        let value = if value.is_finite() { value } else { self.start };
        (self.put)(&mut setups, value.clamp(self.range.0, self.range.1));
        setups
    }
}
