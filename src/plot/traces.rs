//! Kept curves laid over a picture: thin lines, each with its name.

use crate::curve::Curve;
use crate::plot::axis::Frame;
use crate::plot::columns::cut;
use crate::plot::label::{Label, Placer};
use crate::plot::responses::{at, line};
use crate::plot::scene::{Role, Scene};
use crate::plot::{Cause, Ink};

/// A curve with its name.
#[derive(Clone, Copy, Debug)]
pub struct Named<'a> {
    /// Its name.
    pub name: &'a str,
    /// The curve in dB.
    pub curve: &'a Curve,
    /// Its stroke: [`Cause::Given`] for one that was kept, [`Cause::Open`] for one that is gone,
    /// [`Cause::Difference`] for a difference.
    pub cause: Cause,
}

/// Where a name is tried along its line, as shares of it: each line begins elsewhere.
const SHARES: [f64; 6] = [0.86, 0.7, 0.94, 0.55, 0.4, 0.25];

/// Draws the lines; their names are set where `placer` has room.
pub fn draw(scene: &mut Scene, frame: &Frame, placer: &mut Placer, traces: &[Named]) {
    let lines: Vec<_> = traces.iter().map(|trace| line(frame, trace.curve)).collect();
    for (trace, line) in traces.iter().zip(&lines) {
        for piece in cut(line, frame.rect.y, frame.rect.bottom()) {
            placer.keep_off_line(&piece, trace.cause.stroke().width / 2.0 + 1.0);
            scene.line(trace.cause, piece);
        }
    }
    for (i, (trace, line)) in traces.iter().zip(&lines).enumerate() {
        let label = Label::new(trace.name, Role::Note, Ink::Second);
        let label = Label { halo: Some(Ink::Sheet), ..label };
        let shares = (0..SHARES.len()).map(|n| SHARES[(i + n) % SHARES.len()]);
        let places: Vec<_> = shares.filter_map(|share| at(line, share)).collect();
        // Beside other lines there is room only a little further off.
        let mut gaps = [4.0, 12.0, 22.0].into_iter();
        gaps.find(|gap| placer.set(scene, &label, places.iter().copied(), *gap).is_some());
    }
}
