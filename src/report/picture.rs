//! A picture with its title, drawn for a wide page and for a narrow one.

use crate::plot::scene::Scene;

/// A picture of a report.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Picture {
    /// What it shows.
    pub title: String,
    /// How it was made, in a few words; may be empty.
    pub note: String,
    /// The unit of its upright axis; may be empty.
    pub unit: String,
    /// The picture for a wide page, [`Picture::WIDE`] pixels wide.
    pub wide: Scene,
    /// The picture for a narrow page, [`Picture::NARROW`] pixels wide.
    pub narrow: Scene,
}

impl Picture {
    /// Width of a picture on a wide page, in pixels.
    pub const WIDE: f64 = 682.0;
    /// Width of a picture on a narrow page, in pixels.
    pub const NARROW: f64 = 358.0;
}
