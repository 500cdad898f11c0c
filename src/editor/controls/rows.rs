//! The rows of a list, by the names they are known by: the wheel moves what is shown of them, the
//! arrows go from one to the next.

use crate::editor::controls::input::keep_arrows;
use crate::editor::controls::pen::Pen;
use egui::{Key, Modifiers, Rect, Response};

/// The row that has the focus.
pub fn focused(pen: &Pen, names: &[String]) -> Option<usize> {
    let focus = pen.ui.memory(|memory| memory.focused());
    names.iter().position(|name| focus == Some(Pen::id(name)))
}

/// The first of the `rows` rows shown in `rect`, which was `first`; the row that has the focus is
/// always shown.
pub fn first_row(pen: &Pen, rect: Rect, first: usize, rows: usize, names: &[String]) -> usize {
    let wheel = pen.ui.input(|input| input.smooth_scroll_delta().y);
    let mut first = match wheel {
        wheel if wheel == 0.0 || !pen.ui.rect_contains_pointer(rect) => first,
        wheel if wheel > 0.0 => first.saturating_sub(1),
        _ => first + 1,
    };
    if let Some(at) = focused(pen, names) {
        first = first.clamp((at + 1).saturating_sub(rows), at);
    }
    first.min(names.len().saturating_sub(rows))
}

/// Up and down arrows go from the row `at` to another.
pub fn turn_by_arrows(pen: &mut Pen, response: &Response, names: &[String], at: usize) {
    if !response.has_focus() {
        return;
    }
    keep_arrows(pen.ui, response.id);
    let pressed = |key| pen.ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let to = match (pressed(Key::ArrowDown), pressed(Key::ArrowUp)) {
        (true, false) => (at + 1).min(names.len().saturating_sub(1)),
        (false, true) => at.saturating_sub(1),
        _ => return,
    };
    if let Some(name) = names.get(to) {
        pen.ui.memory_mut(|memory| memory.request_focus(Pen::id(name)));
    }
}
