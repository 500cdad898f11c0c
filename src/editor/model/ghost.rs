//! The curve of what came out before the last change, while what comes out now is measured afresh:
//! one sees at once what the change did, and nothing is blank.

use crate::curve::Curve;

/// Seconds of noise after which the lowest sixth of an octave that is shown stands to 1 dB: its
/// standard deviation is 4.343/√(B·T) dB (Bendat & Piersol), and it is 1.85 Hz wide.
const SETTLED_S: f64 = 10.2;

/// The curve before the change, and the one that would become it at the next.
#[derive(Clone, Debug, Default)]
pub struct Ghost {
    latest: Option<(f64, Curve)>,
    before: Option<Curve>,
    reading: Option<u64>,
}

impl Ghost {
    /// Takes a reading in, once: how long it was measured, and its curve.
    pub fn take(&mut self, reading: u64, seconds: f64, curve: impl FnOnce() -> Curve) {
        if self.reading.replace(reading) == Some(reading) {
            return;
        }
        let latest = self.latest.replace((seconds, curve()));
        let is_afresh = |(was, _): &(f64, Curve)| seconds < *was;
        if let Some((was, curve)) = latest.filter(is_afresh)
            && was >= SETTLED_S
        {
            self.before = Some(curve);
        }
        if seconds >= SETTLED_S {
            self.before = None;
        }
    }

    /// The curve before the change, while there is one.
    pub fn curve(&self) -> Option<&Curve> {
        self.before.as_ref()
    }
}
