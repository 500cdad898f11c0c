//! A grip on the frequency axis: a small square, post or bob that is dragged along it.

use crate::editor::controls::input::{dragged, keyed, ring};
use crate::editor::controls::number::describe;
use crate::editor::controls::pen::{LEAST, Pen};
use crate::editor::model::dial::{self, Move};
use crate::plot::Ink;
use crate::plot::axis::Frame;
use crate::settings::Id;
use egui::{CursorIcon, Pos2, Rect, Sense, Shape, Stroke, StrokeKind, vec2};

/// Side of a grip, in points.
const SIDE: f32 = 8.4;

/// The shape of a grip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HandleShape {
    /// A square on a line: an edge.
    Edge,
    /// A square on a post: a limit.
    Post,
    /// A plumb bob: a centre.
    Bob,
}

/// What a grip moves, and how a frequency stands for it.
pub struct Handle<'a> {
    /// The setting.
    pub id: Id,
    /// Its name, different from that of the number on the line.
    pub name: &'a str,
    /// Where it stands now, in Hz.
    pub hz: f64,
    /// Shape.
    pub shaped: HandleShape,
    /// Colour.
    pub ink: Ink,
}

/// Shows a grip at height `y` (a place on the screen) under `frame`, whose left edge of the page
/// lies at `origin`; `plain` gives the setting's value for a frequency.
pub fn show(
    pen: &mut Pen,
    frame: &Frame,
    origin: Pos2,
    y: f32,
    grip: Handle,
    plain: impl Fn(f64) -> f32,
) {
    let ends = (frame.rect.x as f32, frame.rect.right() as f32);
    let x = origin.x + (frame.x(grip.hz) as f32).clamp(ends.0, ends.1);
    let at = Pos2::new(x, y);
    let response = pen.touch(Rect::from_center_size(at, LEAST), grip.name, Sense::click_and_drag());
    let value = pen.value(grip.id);
    describe(&response, grip.name, value, &grip.id.setting().show(value));
    draw(pen, at, grip.shaped, grip.ink, response.hovered() || response.dragged());
    ring(pen.ui, &response, Rect::from_center_size(at, vec2(SIDE, SIDE)).expand(1.0), &pen.theme);
    if response.hovered() || response.dragged() {
        pen.ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
    }
    if response.double_clicked() {
        pen.gestures.set(grip.id, grip.id.setting().default());
        return;
    }
    let share = frame.hz.share(grip.hz) as f32;
    let travel = vec2(1.0 / (ends.1 - ends.0).max(1.0), 0.0);
    let id = grip.id;
    let place = dragged(pen.ui, &response, share, travel);
    let put = place.map(|share| Move::Drag(dial::round(id, plain(frame.hz.hz(share.into())))));
    let step = keyed(pen.ui, &response, &id, value).map(Move::Step);
    pen.gestures.follow(id, put.or(step));
}

fn draw(pen: &Pen, at: Pos2, shaped: HandleShape, ink: Ink, lit: bool) {
    let (ink, ground) = (pen.theme.colour(ink), pen.theme.colour(Ink::Sheet));
    let fill = if lit { ink } else { ground };
    let stroke = Stroke::new(1.5, ink);
    let painter = pen.painter();
    match shaped {
        HandleShape::Bob => {
            let corners = [(-5.0, -4.5), (5.0, -4.5), (0.0, 4.5)];
            let corners = corners.map(|(x, y)| at + vec2(x, y)).to_vec();
            painter.add(Shape::convex_polygon(corners, fill, stroke));
        }
        HandleShape::Edge | HandleShape::Post => {
            if shaped == HandleShape::Post {
                painter.vline(at.x, at.y - 7.0..=at.y + 7.0, stroke);
            }
            let square = Rect::from_center_size(at, vec2(SIDE, SIDE));
            painter.rect(square, 0.0, fill, stroke, StrokeKind::Inside);
        }
    }
}
