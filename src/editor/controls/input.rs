//! Keys, drags and the ring of what has the focus.
//!
//! Arrows move one step (Shift: a tenth), Page Up and Down four steps, Home and
//! End go to the ends, Delete to the default.

use crate::editor::model::dial::Dial;
use crate::editor::paint::theme::Theme;
use egui::{EventFilter, Id, Key, Response, Stroke, StrokeKind, Ui, Vec2};

/// Where a drag has brought a place that was at `from`: `travel` is how far it moves for one
/// point to the right and down; Shift makes it ten times finer, without a jump.
pub fn dragged(ui: &Ui, response: &Response, from: f32, travel: Vec2) -> Option<f32> {
    let key = response.id.with("place");
    if response.drag_started() {
        ui.data_mut(|data| data.insert_temp(key, from));
        response.request_focus();
    }
    let moved = travel.dot(response.drag_delta());
    if !response.dragged() || moved == 0.0 {
        return None;
    }
    let fine = if ui.input(|input| input.modifiers.shift) { 0.1 } else { 1.0 };
    let before = ui.data(|data| data.get_temp::<f32>(key)).unwrap_or(from);
    let place = before + fine * moved;
    ui.data_mut(|data| data.insert_temp(key, place));
    Some(place)
}

/// What the keys of a number that has the focus make of its value.
pub fn keyed(ui: &Ui, response: &Response, dial: &dyn Dial, plain: f32) -> Option<f32> {
    if response.clicked() {
        response.request_focus();
    }
    if !response.has_focus() {
        return None;
    }
    keep_arrows(ui, response.id);
    let fine = if ui.input(|input| input.modifiers.shift) { 0.1 } else { 1.0 };
    let moves: [(Key, &dyn Fn() -> f32); 9] = [
        (Key::ArrowRight, &|| dial.step(plain, fine)),
        (Key::ArrowUp, &|| dial.step(plain, fine)),
        (Key::ArrowLeft, &|| dial.step(plain, -fine)),
        (Key::ArrowDown, &|| dial.step(plain, -fine)),
        (Key::PageUp, &|| dial.step(plain, 4.0)),
        (Key::PageDown, &|| dial.step(plain, -4.0)),
        (Key::Home, &|| dial.value(0.0)),
        (Key::End, &|| dial.value(1.0)),
        (Key::Delete, &|| dial.default()),
    ];
    let pressed = |key: &Key| ui.input(|input| input.key_pressed(*key));
    moves.iter().find(|(key, _)| pressed(key)).map(|(_, to)| to())
}

/// Keeps the arrows from moving the focus while this has it.
pub fn keep_arrows(ui: &Ui, id: Id) {
    let filter =
        EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
}

/// The ring around what has the focus: ink, outside a gap, visible on every fill, and so near that
/// it does not cut the words beside it.
pub fn ring(ui: &Ui, response: &Response, rect: egui::Rect, theme: &Theme) {
    if response.has_focus() {
        let gap = Stroke::new(0.8, theme.colour(crate::plot::Ink::Sheet));
        let ink = Stroke::new(1.6, theme.colour(crate::plot::Ink::Text));
        ui.painter().rect_stroke(rect, 0.0, gap, StrokeKind::Outside);
        ui.painter().rect_stroke(rect.expand(0.8), 0.0, ink, StrokeKind::Outside);
    }
}
