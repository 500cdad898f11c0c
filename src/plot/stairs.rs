//! Gain structure: one column a stage, the level upwards in dB; in each the level that a full-scale tone
//! has there and the level at which the stage clips.

use crate::figures::{difference, short};
use crate::plot::axis::LevelAxis;
use crate::plot::scene::{Anchor, Rect, Role, Scene};
use crate::plot::{Cause, Fill, Ink};

/// A stage of the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What it is.
    pub name: String,
    /// A note under the name, e.g. the volume step; may be empty.
    pub note: String,
    /// Level of a full-scale tone there, dB.
    pub carries_db: f64,
    /// The same in words, e.g. in volts.
    pub carries: String,
    /// Level at which it clips, dB; `None` when it is not known.
    pub clips_db: Option<f64>,
}

/// Room for the names under the columns, in pixels.
pub const NAMES: f64 = 34.0;

/// Draws the stages into `rect`; the axis words stand left of it, the names below it.
pub fn stairs(scene: &mut Scene, rect: Rect, steps: &[Step]) {
    let axis = levels(steps);
    let y = |db: f64| rect.y + rect.height * axis.share(db).clamp(0.0, 1.0);
    scene.area(Fill::Flat(Ink::Sheet), rect.corners());
    for tick in axis.ticks(rect.height, 28.0) {
        let at = y(tick.value);
        scene.rule((rect.x, at), (rect.right(), at), 1.0, Ink::Grid);
        let place = (rect.x - 6.0, at + 4.0);
        scene.text(place, Anchor::End, Role::Tick, Ink::Second, tick.words);
    }
    let width = rect.width / steps.len().max(1) as f64;
    let mut tops = Vec::new();
    for (i, step) in steps.iter().enumerate() {
        let column = Rect { x: rect.x + i as f64 * width, width, ..rect };
        draw_step(scene, column, step, &y);
        tops.push((column.x, y(step.carries_db)));
        tops.push((column.right(), y(step.carries_db)));
    }
    scene.line(Cause::Out, tops);
    scene.rule((rect.x, rect.bottom()), (rect.right(), rect.bottom()), 1.3, Ink::Text);
}

fn levels(steps: &[Step]) -> LevelAxis {
    let all = || steps.iter().flat_map(|s| [Some(s.carries_db), s.clips_db]).flatten();
    let low = all().fold(f64::MAX, f64::min).clamp(-100.0, 100.0);
    let high = all().fold(f64::MIN, f64::max).clamp(low, 120.0);
    LevelAxis { bottom_db: low - 12.0, top_db: high + 8.0 }
}

fn draw_step(scene: &mut Scene, column: Rect, step: &Step, y: &impl Fn(f64) -> f64) {
    let inner = Rect { x: column.x + 6.0, width: column.width - 12.0, ..column };
    let middle = inner.x + inner.width / 2.0;
    let carries = y(step.carries_db);
    let bar = Rect { y: carries, height: column.bottom() - carries, ..inner };
    scene.area(Fill::Flat(Ink::GivenWash), bar.corners());
    let clips = step.clips_db.is_some_and(|at| step.carries_db > at);
    if let Some(at) = step.clips_db {
        let edge = y(at);
        if clips {
            let over = Rect { y: carries, height: edge - carries, ..inner };
            scene.area(Fill::Flat(Ink::FaultWash), over.corners());
        }
        let ink = if clips { Ink::Fault } else { Ink::Text };
        scene.rule((inner.x, edge), (inner.right(), edge), 2.0, ink);
        let words = match clips {
            true => format!("clips {} dB", short(step.carries_db - at, 1)),
            false => format!("{} dB free", difference(at - step.carries_db)),
        };
        let above = edge.min(carries) - 5.0;
        scene.text((middle, above), Anchor::Middle, Role::Strong, ink, words);
    }
    let told = (middle, carries + 16.0);
    scene.text(told, Anchor::Middle, Role::Note, Ink::Text, step.carries.as_str());
    let name = (middle, column.bottom() + 14.0);
    scene.text(name, Anchor::Middle, Role::Strong, Ink::Text, step.name.as_str());
    let note = (middle, column.bottom() + 28.0);
    scene.text(note, Anchor::Middle, Role::Note, Ink::Second, step.note.as_str());
}
