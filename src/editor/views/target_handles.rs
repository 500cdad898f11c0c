//! The points of a target, to be dragged up and down in the sheet.

use crate::editor::controls::input::{dragged, keyed, ring};
use crate::editor::controls::number::describe;
use crate::editor::controls::pen::{LEAST, Pen};
use crate::editor::model::dial::Dial;
use crate::editor::model::state::{FrameInput, WindowState};
use crate::editor::model::target::{MOST_DB, POINTS_HZ};
use crate::figures::{difference, hertz};
use crate::plot::Ink;
use crate::plot::axis::Frame;
use egui::{CursorIcon, Pos2, Rect, Sense, Shape, vec2};

/// A level of a target.
struct Level;

impl Dial for Level {
    fn place(&self, db: f32) -> f32 {
        (db + MOST_DB) / (2.0 * MOST_DB)
    }
    fn value(&self, place: f32) -> f32 {
        place.clamp(0.0, 1.0) * 2.0 * MOST_DB - MOST_DB
    }
    fn step(&self, db: f32, steps: f32) -> f32 {
        (db + 0.5 * steps).clamp(-MOST_DB, MOST_DB)
    }
    fn default(&self) -> f32 {
        0.0
    }
    fn show(&self, db: f32) -> String {
        format!("{db} dB")
    }
    fn read(&self, text: &str) -> Option<f32> {
        text.trim().parse().ok().filter(|db: &f32| db.is_finite())
    }
}

/// Shows a diamond at each point of the target that is shown.
pub fn show(
    pen: &mut Pen,
    state: &mut WindowState,
    shown: &FrameInput,
    frame: &Frame,
    origin: Pos2,
) {
    let Some(curve) = shown.sheet.target.as_ref().filter(|_| state.has_target()) else { return };
    for (point, hz) in POINTS_HZ.into_iter().enumerate() {
        let db = curve.at(hz).unwrap_or_default() as f32;
        let (x, y) = frame.held(hz, db.into());
        let at = origin + vec2(x as f32, y as f32);
        let name = format!("target at {}", hertz(hz));
        let room = Rect::from_center_size(at, LEAST);
        let response = pen.touch(room, &name, Sense::click_and_drag());
        describe(&response, &name, db, &format!("{} dB", difference(db.into())));
        let is_lit = response.hovered() || response.dragged();
        let ink = pen.theme.colour(Ink::Text);
        let fill = if is_lit { ink } else { pen.theme.colour(Ink::Sheet) };
        let corners = [(0.0, -5.5), (5.5, 0.0), (0.0, 5.5), (-5.5, 0.0)];
        let corners = corners.map(|(x, y)| at + vec2(x, y)).to_vec();
        pen.painter().add(Shape::convex_polygon(corners, fill, (1.3, ink)));
        if is_lit {
            pen.ui.ctx().set_cursor_icon(CursorIcon::ResizeVertical);
        }
        ring(pen.ui, &response, room.shrink(4.0), &pen.theme);
        let per_point = (frame.db.top_db - frame.db.bottom_db) / frame.rect.height;
        let put = dragged(pen.ui, &response, db, vec2(0.0, -per_point as f32));
        let put = put.or(keyed(pen.ui, &response, &Level, db));
        let put = put.or(response.double_clicked().then_some(0.0));
        if let Some(db) = put {
            state.target.put(curve, point, db);
            state.beside += 1;
        }
    }
}
