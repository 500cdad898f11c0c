//! The plumb line of the Spectrum and what it reads: rows that add up.
//!
//! It follows the pointer; a click pins it, another lets it go. From the
//! keyboard C takes it, arrows move it by 1/24 octave, Page keys by thirds.

use crate::editor::controls::input::{keep_arrows, ring};
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::model::state::Cursor;
use crate::figures::{difference, hertz, note, short};
use crate::plot::axis::Frame;
use crate::plot::{Ink, Role};
use crate::units::octaves;
use egui::{Event, Key, Pos2, Rect, Sense, Shape, StrokeKind, WidgetInfo, vec2};
use std::borrow::Cow;

/// One row of the read-out: what, in which colour, and its level.
pub type Row = (Cow<'static, str>, Ink, f64);

/// Lets the pointer and the keys move the cursor over `sheet`.
pub fn follow(pen: &mut Pen, cursor: &mut Cursor, frame: &Frame, sheet: Rect) {
    let response = pen.touch(sheet, "cursor", Sense::click());
    let now = cursor.hz;
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(egui::Role::Slider, true, "cursor");
        info.value = now;
        info
    });
    ring(pen.ui, &response, sheet.shrink(4.0), &pen.theme);
    let at = |x: f32| frame.hz.hz(f64::from((x - sheet.min.x) / sheet.width()));
    let (moved, clicked) = pointed(pen, sheet);
    if let Some(pos) = moved.filter(|_| response.contains_pointer()) {
        cursor.hz = Some(at(pos.x));
    }
    if let Some(pos) = clicked.filter(|_| response.clicked()) {
        cursor.pinned_hz = if cursor.pinned_hz.is_some() { None } else { Some(at(pos.x)) };
    }
    if !response.has_focus() {
        return;
    }
    keep_arrows(pen.ui, response.id);
    let fine = if pen.ui.input(|input| input.modifiers.shift) { 0.1 } else { 1.0 };
    let pressed = |key| pen.ui.input(|input| input.key_pressed(key));
    let steps = [
        (Key::ArrowRight, fine),
        (Key::ArrowLeft, -fine),
        (Key::PageUp, 8.0),
        (Key::PageDown, -8.0),
    ];
    let Some((_, step)) = steps.into_iter().find(|(key, _)| pressed(*key)) else { return };
    let hz = cursor.hz.unwrap_or(50.0) * (step / 24.0f64).exp2();
    cursor.hz = Some(hz.clamp(frame.hz.from_hz, frame.hz.to_hz));
}

/// Where the pointer went last in `sheet` and where its button was last, by the events of this
/// frame: a slow frame holds a whole click, and the pointer is elsewhere by its end.
fn pointed(pen: &Pen, sheet: Rect) -> (Option<Pos2>, Option<Pos2>) {
    let last = |place: fn(&Event) -> Option<Pos2>| {
        let inside = |event: &Event| place(event).filter(|pos| sheet.contains(*pos));
        pen.ui.input(|input| input.events.iter().rev().find_map(inside))
    };
    let moved = last(|event| match event {
        Event::PointerMoved(pos) => Some(*pos),
        _ => None,
    });
    let clicked = last(|event| match event {
        Event::PointerButton { pos, .. } => Some(*pos),
        _ => None,
    });
    (moved, clicked)
}

/// Draws the plumb line and its read-out.
pub fn show(pen: &Pen, cursor: Cursor, frame: &Frame, sheet: Rect, rows: impl Fn(f64) -> Vec<Row>) {
    let on = |hz: &f64| (frame.hz.from_hz..=frame.hz.to_hz).contains(hz);
    let x = |hz: f64| sheet.min.x + sheet.width() * frame.hz.share(hz) as f32;
    let ink = pen.theme.colour(Ink::Text);
    if let Some(hz) = cursor.pinned_hz.filter(on) {
        let dash = Shape::dashed_line(
            &[Pos2::new(x(hz), sheet.min.y), Pos2::new(x(hz), sheet.max.y)],
            (1.0, ink),
            3.0,
            3.0,
        );
        pen.painter().extend(dash);
    }
    let Some(hz) = cursor.hz.filter(on) else { return };
    let bob = Pos2::new(x(hz), sheet.max.y);
    pen.painter().vline(bob.x, sheet.y_range(), (1.0, ink));
    let corners = [(-4.0, -7.0), (4.0, -7.0), (0.0, 0.0)].map(|(x, y)| bob + vec2(x, y));
    pen.painter().add(Shape::convex_polygon(corners.to_vec(), ink, egui::Stroke::NONE));
    let told = rows(hz);
    let from_pin = cursor.pinned_hz.map(|from| {
        let (here, there) = (told.first().map(|r| r.2), rows(from).first().map(|r| r.2));
        let change = here.zip(there).map_or(String::new(), |(a, b)| difference(a - b));
        (format!("from {}, {} oct", hertz(from), short(octaves(from, hz), 2)), change)
    });
    read_out(pen, hz, bob.x, sheet, &told, from_pin);
}

/// The letters of a row: what comes out is heavy.
fn role_of(ink: Ink) -> Role {
    if ink == Ink::Text { Role::Strong } else { Role::Note }
}

fn read_out(
    pen: &Pen,
    hz: f64,
    x: f32,
    sheet: Rect,
    rows: &[Row],
    from_pin: Option<(String, String)>,
) {
    let height = 15.0;
    let count = rows.len() + 1 + usize::from(from_pin.is_some());
    let long = rows.iter().map(|(words, ink, _)| role_of(*ink).width(words)).fold(0.0, f64::max);
    let least = if from_pin.is_some() { 168.0 } else { 132.0 };
    let size = vec2((long as f32 + 64.0).max(least), height * count as f32 + 6.0);
    let left = if x + size.x + 14.0 < sheet.max.x { x + 10.0 } else { x - 10.0 - size.x };
    let plate = Rect::from_min_size(Pos2::new(left, sheet.max.y - size.y - 14.0), size);
    let rule = pen.theme.rule();
    pen.painter().rect(plate, 0.0, pen.theme.colour(Ink::Sheet), rule, StrokeKind::Inside);
    let mut y = plate.min.y + 13.0;
    let mut row = |words: &str, value: &str, ink: Ink, role: Role| {
        pen.write(Spot::new(plate.min.x + 8.0, y, role, ink), words);
        pen.write(Spot::new(plate.max.x - 8.0, y, role, ink).end(), value);
        y += height;
    };
    let named = hertz(hz);
    row(&named, &note(hz), Ink::Text, Role::Strong);
    for (words, ink, level) in rows {
        row(words, &difference(*level), *ink, role_of(*ink));
    }
    if let Some((words, change)) = from_pin {
        row(&words, &change, Ink::Text, Role::Note);
    }
}
