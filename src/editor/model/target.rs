//! What is asked for: nothing, a known shape, that of the plan, or one drawn by hand.

use crate::curve::Curve;
use crate::planning::tune::{flat, gentle};

/// Where a hand can move a target, in Hz: every octave of the low end.
pub const POINTS_HZ: [f64; 4] = [20.0, 40.0, 80.0, 160.0];

/// How far a point goes, in dB.
pub const MOST_DB: f32 = 12.0;

/// What is asked for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Asked {
    /// Nothing.
    #[default]
    Nothing,
    /// As much as the mid band has.
    Flat,
    /// A gentle rise.
    Gentle,
    /// What the plan was made for.
    Plan,
    /// A shape drawn by hand.
    Own,
}

impl Asked {
    /// All with their words.
    pub const ALL: [(Asked, &'static str); 5] = [
        (Asked::Nothing, "none"),
        (Asked::Flat, "flat"),
        (Asked::Gentle, "gentle"),
        (Asked::Plan, "plan"),
        (Asked::Own, "own"),
    ];
}

/// The target of the window.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Target {
    /// What is asked for.
    pub asked: Asked,
    /// The levels of one's own shape at its points, in dB.
    pub own: [f32; POINTS_HZ.len()],
}

impl Target {
    /// The curve; `None` where nothing is asked, or where the plan has none.
    pub fn curve(&self, of_plan: Option<&Curve>) -> Option<Curve> {
        let at_points =
            |shape: Curve| Curve::new(POINTS_HZ.map(|hz| (hz, shape.at(hz).unwrap_or_default())));
        match self.asked {
            Asked::Nothing => None,
            Asked::Flat => Some(at_points(flat())),
            Asked::Gentle => Some(at_points(gentle())),
            Asked::Plan => of_plan.cloned(),
            Asked::Own => Some(Curve::new(POINTS_HZ.into_iter().zip(self.own.map(f64::from)))),
        }
    }

    /// Moves one point of a curve, which becomes one's own shape with that.
    pub fn put(&mut self, shown: &Curve, point: usize, db: f32) {
        let level = |hz: f64| shown.at(hz).unwrap_or_default() as f32;
        if self.asked != Asked::Own {
            self.own = POINTS_HZ.map(level);
            self.asked = Asked::Own;
        }
        if let Some(own) = self.own.get_mut(point) {
            *own = ((10.0 * db).round() / 10.0).clamp(-MOST_DB, MOST_DB);
        }
    }
}
