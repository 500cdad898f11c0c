//! Full scale in a picture of waves, and what lies beyond it: filled as a fault and said in words.

use crate::figures::{level, short};
use crate::plot::scene::{Anchor, Point, Rect, Role, Scene};
use crate::plot::swings::trace;
use crate::plot::{Cause, Fill, Ink};
use crate::units::gain_to_db;

/// A peak over full scale by less than this is its rounding, dB.
pub const OVER_DB: f64 = 0.05;

/// By how many dB a level in dBFS leaves full scale, in words; `None` where it does not.
pub fn leaves(peak_dbfs: f64) -> Option<String> {
    let is_over = peak_dbfs > OVER_DB && peak_dbfs.is_finite();
    is_over.then(|| format!("leaves full scale by {} dB", level(peak_dbfs, 1)))
}

/// What the edge of a row of waves stands for, as a share of full scale: a power of two, so that a
/// level that is turned changes the height of its own wave and not of the others, until a step is
/// passed, and that is said.
pub(super) fn reach(loudest: f64) -> f64 {
    // A wave that just touches the edge stays in its step.
    (0.999 * loudest).log2().ceil().exp2()
}

/// The reach in words.
pub(super) fn reach_in_words(top: f64) -> String {
    format!("each row reaches \u{b1}{} of full scale", short(top, 4))
}

/// The two lines of full scale in the row of a wave whose edge stands for `top`.
pub(super) fn lines(row: Rect, top: f64) -> [[Point; 2]; 2] {
    let y = |end: f64| trace(&[end, end], row, top)[0].1;
    [1.0, -1.0].map(|end| [(row.x, y(end)), (row.right(), y(end))])
}

/// Draws full scale into the row of a wave whose edge stands for `top`, fills what lies beyond,
/// and says by how much; returns the room of those words.
pub(super) fn draw(scene: &mut Scene, row: Rect, wave: &[f64], top: f64) -> Option<Rect> {
    for (line, side) in lines(row, top).into_iter().zip([1.0, -1.0]) {
        scene.line(Cause::Target, line.to_vec());
        fill_beyond(scene, &trace(wave, row, top), line[0].1, side);
    }
    let peak = wave.iter().fold(0.0, |top: f64, x| top.max(x.abs()));
    let words = leaves(gain_to_db(peak))?;
    let width = Role::Strong.width(&words) + 12.0;
    let plate = Rect::new(row.right() - width, row.y + 0.5 * row.height - 8.5, width, 17.0);
    scene.area(Fill::Flat(Ink::Fault), plate.corners());
    let at = (plate.x + 6.0, plate.y + 12.5);
    scene.text(at, Anchor::Start, Role::Strong, Ink::Sheet, words);
    Some(plate)
}

/// One area for each stretch of the line that lies beyond `y`, above it or below.
fn fill_beyond(scene: &mut Scene, line: &[Point], y: f64, side: f64) {
    let is_beyond = |point: &Point| side * (y - point.1) > 0.0;
    let runs = line.chunk_by(|a, b| is_beyond(a) == is_beyond(b));
    for run in runs.filter(|run| run.len() > 1 && is_beyond(&run[0])) {
        let back = run.iter().rev().map(|point| (point.0, y));
        scene.area(Fill::Flat(Ink::Fault), run.iter().copied().chain(back).collect());
    }
}
