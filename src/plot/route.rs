//! Where the line runs from left to right, and where its stations stand on it.
//!
//! The octave part branches beneath the line and rejoins; after the joint the
//! line is heavy. In bypass a thin track runs straight from end to end.

use crate::plot::Cause;
use crate::plot::scene::{Point, Scene};
use crate::settings::Settings;

/// Room for the words at both ends, in pixels.
const ENDS: (f64, f64) = (64.0, 74.0);

/// Where the octave part leaves and rejoins, as shares of the line's width.
const BRANCH: (f64, f64) = (0.21, 0.51);

/// How far the branch runs to the side while it goes down, in pixels.
const SLOPE: f64 = 24.0;

/// The way of the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Route {
    /// Where it begins, in pixels from the left.
    pub left: f64,
    /// Where it ends, in pixels from the left.
    pub right: f64,
    /// Height of the line, in pixels from the top.
    pub y: f64,
    /// Height of the branch, in pixels from the top.
    pub beneath: f64,
}

/// A place on the way where a setting stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// Gain before everything.
    Trim,
    /// The octave part, on the branch.
    Octave,
    /// The untouched part.
    Dry,
    /// The low band.
    LowBand,
    /// The protective high-pass.
    HighPass,
    /// Gain and ceiling.
    Output,
}

impl Route {
    /// The way for a line with its top left at `at`, `width` pixels wide, whose branch lies
    /// `drop` pixels beneath it.
    pub fn new(at: Point, width: f64, drop: f64) -> Self {
        let y = at.1 + 37.0;
        Self { left: at.0 + ENDS.0, right: at.0 + width - ENDS.1, y, beneath: y + drop }
    }

    /// Pixels from the left at a share of the way.
    pub fn x(&self, share: f64) -> f64 {
        self.left + share * (self.right - self.left)
    }

    /// Where a station stands.
    pub fn stop(&self, stop: Stop) -> Point {
        match stop {
            Stop::Trim => (self.x(0.13), self.y),
            Stop::Octave => (self.x(BRANCH.0) + 34.0, self.beneath),
            Stop::Dry => (self.x(0.36), self.y),
            Stop::LowBand => (self.x(0.6), self.y),
            Stop::HighPass => (self.x(0.77), self.y),
            Stop::Output => (self.x(0.9), self.y),
        }
    }

    /// The corners of the branch, from where it leaves to where it rejoins.
    pub fn branch(&self) -> [Point; 4] {
        let (from, to) = (self.x(BRANCH.0), self.x(BRANCH.1));
        let (down, up) = (from + SLOPE, to - SLOPE);
        [(from, self.y), (down, self.beneath), (up, self.beneath), (to, self.y)]
    }

    /// Draws the tracks.
    pub fn draw(&self, scene: &mut Scene, settings: &Settings) {
        let is_on = !settings.octave_is_off() && !settings.bypass;
        let [leaves, .., joins] = self.branch();
        let joins = if is_on { joins } else { leaves };
        draw_tracks(scene, [(self.left, self.y), joins, (self.right, self.y)], settings);
        let (cause, width) = if is_on { (Cause::Octave, 2.2) } else { (Cause::Taken, 1.1) };
        scene.track(cause, width, self.branch().to_vec());
    }
}

/// The track: thin up to the joint, heavy from there; thin all along in bypass.
pub(super) fn draw_tracks(scene: &mut Scene, corners: [Point; 3], settings: &Settings) {
    let heavy = if settings.bypass { 1.6 } else { 4.0 };
    scene.track(Cause::Given, 1.6, vec![corners[0], corners[1]]);
    scene.track(Cause::Out, heavy, vec![corners[1], corners[2]]);
}
