//! Curves that are kept beside the one that is measured: named, laid over it, taken from it.

use crate::curve::Curve;
use crate::measure::Readings;
use crate::measure::layers::Layers;

/// Curves there is room for: more are not told apart.
pub const MOST: usize = 4;

/// Letters of a name there is room for.
pub const LONGEST: usize = 14;

/// A kept curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Its name.
    pub name: String,
    /// Levels of what came out, dB re the mean of 200 Hz to 1 kHz of what arrived.
    pub curve: Curve,
    /// Whether it is laid over the picture.
    pub is_shown: bool,
}

/// The kept curves.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shelf {
    /// The curves, the oldest first.
    pub traces: Vec<Trace>,
    /// The one that differences are taken from.
    pub from: Option<usize>,
}

impl Shelf {
    /// Keeps a curve; without a name it gets the next number.
    ///
    /// # Errors
    /// One sentence when the shelf is full, or the curve has no two points.
    pub fn keep(&mut self, name: &str, curve: Curve) -> Result<(), String> {
        if self.traces.len() >= MOST {
            return Err(format!("The shelf holds {MOST} curves: let one go first."));
        }
        if curve.points().len() < 2 {
            return Err("There is no curve to keep: play noise or music.".into());
        }
        let name: String = name.trim().chars().take(LONGEST).collect();
        let is_taken = |name: &str| self.traces.iter().any(|trace| trace.name == name);
        let number = || (1..).map(|n| format!("curve {n}")).find(|name| !is_taken(name));
        let name = match name.is_empty() || is_taken(&name) {
            true => number().unwrap_or_default(),
            false => name,
        };
        self.traces.push(Trace { name, curve, is_shown: true });
        Ok(())
    }

    /// Lets a curve go.
    pub fn let_go(&mut self, at: usize) {
        if at < self.traces.len() {
            self.traces.remove(at);
            self.from = match self.from {
                Some(from) if from > at => Some(from - 1),
                Some(from) if from == at => None,
                from => from,
            };
        }
    }

    /// The one that differences are taken from.
    pub fn reference(&self) -> Option<&Trace> {
        self.traces.get(self.from?)
    }
}

/// Where a curve is read, in Hz, and at how many places: twelve an octave.
const RANGE: (f64, f64, usize) = (16.0, 20_000.0, 125);

/// What comes out as its edge is drawn, `up_db` up; no points where there is nothing to refer to.
pub fn edge(readings: &Readings, up_db: f64) -> Curve {
    let bands = Layers::smoothed(readings, RANGE.0, RANGE.1, RANGE.2).bands;
    Curve::new(bands.iter().map(|band| (band.hz, band.out + up_db)))
}
