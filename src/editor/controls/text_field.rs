//! A field to type a name in.

use crate::editor::controls::pen::Pen;
use crate::editor::paint::theme::face;
use crate::plot::Ink;
use egui::{Key, Rect, StrokeKind, TextEdit, vec2};

/// Shows the field, known by `name`, in `place`; true when Enter has ended the typing.
pub fn show(pen: &mut Pen, place: Rect, name: &str, text: &mut String) -> bool {
    let id = Pen::id(name);
    let field = TextEdit::singleline(text).id(id).font(face(13.0, false));
    let field = pen.ui.put(place, field.margin(vec2(4.0, 2.0)));
    pen.ui.ctx().accesskit_node_builder(id, |node| node.set_label(name));
    pen.point_at(&field, name);
    // As strong as words: a field that is not seen is not found.
    let ink = pen.theme.colour(Ink::Second);
    pen.painter().rect_stroke(place, 0.0, (1.0, ink), StrokeKind::Inside);
    field.lost_focus() && pen.ui.input(|input| input.key_pressed(Key::Enter))
}
