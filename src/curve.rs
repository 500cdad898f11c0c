//! A response as points (Hz, dB), read between its points on a logarithmic
//! frequency axis.

use serde::{Deserialize, Serialize};

use crate::units::octaves;

/// A response: points sorted by frequency in Hz, each with a level in dB.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(from = "Vec<(f64, f64)>", into = "Vec<(f64, f64)>")]
pub struct Curve {
    points: Vec<(f64, f64)>,
}

impl From<Vec<(f64, f64)>> for Curve {
    fn from(points: Vec<(f64, f64)>) -> Self {
        Self::new(points)
    }
}

impl From<Curve> for Vec<(f64, f64)> {
    fn from(curve: Curve) -> Self {
        curve.points
    }
}

impl Curve {
    /// Builds a curve from (Hz, dB) points in any order; points that are not
    /// finite or not above 0 Hz are left out.
    pub fn new(points: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let mut points: Vec<_> = points
            .into_iter()
            .filter(|(hz, db)| hz.is_finite() && db.is_finite() && *hz > 0.0)
            .collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { points }
    }

    /// Samples `response_db` at `count` frequencies spaced evenly in octaves
    /// from `from_hz` to `to_hz`, both included.
    pub fn sampled(
        from_hz: f64,
        to_hz: f64,
        count: usize,
        response_db: impl Fn(f64) -> f64,
    ) -> Self {
        let span = octaves(from_hz, to_hz);
        let step = span / (count.max(2) - 1) as f64;
        Self::new((0..count.max(2)).map(|i| {
            let hz = from_hz * (step * i as f64).exp2();
            (hz, response_db(hz))
        }))
    }

    /// The points, rising in frequency: (Hz, dB).
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// The level in dB at `hz`: linear in dB over log frequency between two
    /// points, held flat beyond the ends; `None` for an empty curve.
    pub fn at(&self, hz: f64) -> Option<f64> {
        let next = self.points.partition_point(|p| p.0 < hz);
        let (last, first) = (self.points.last()?, self.points.first()?);
        if next == 0 {
            return Some(first.1);
        }
        let Some(above) = self.points.get(next) else {
            return Some(last.1);
        };
        let below = self.points[next - 1];
        let share = octaves(below.0, hz) / octaves(below.0, above.0);
        Some(below.1 + share * (above.1 - below.1))
    }
}
