//! A number of the line: drag it left and right or use the keys, double click or Enter to type.

use crate::editor::controls::input::{dragged, keyed, ring};
use crate::editor::controls::pen::{Pen, Spot, reach};
use crate::editor::model::dial::{Dial, Move};
use crate::editor::paint::theme::face;
use crate::settings::Id;
use egui::{Key, Pos2, Rect, Response, Sense, WidgetInfo, vec2};

/// How far a drag must go for the whole range, in points.
const TRAVEL: f32 = 300.0;

/// Shows the setting as `words` at `spot`; returns the room it takes.
pub fn show(pen: &mut Pen, spot: Spot, id: Id, words: &str) -> Rect {
    let plain = pen.value(id);
    let moved = dial(pen, spot, &id, id.setting().name, (plain, words));
    pen.gestures.follow(id, moved);
    spot.room(words)
}

/// Shows any number, known by `name`, that stands at a value and is written in words; says how
/// a hand moved it.
pub fn dial(
    pen: &mut Pen,
    spot: Spot,
    dial: &dyn Dial,
    name: &str,
    (plain, words): (f32, &str),
) -> Option<Move> {
    let room = spot.room(words);
    let id = Pen::id(name).with("typed");
    if let Some(text) = pen.ui.data(|data| data.get_temp::<String>(id)) {
        return type_in(pen, spot, room, (name, id), text)
            .and_then(|text| dial.read(&text))
            .map(Move::Step);
    }
    let response = pen.touch(reach(room), name, Sense::click_and_drag());
    describe(&response, name, plain, words);
    pen.write(spot, words);
    if response.hovered() || response.dragged() {
        pen.ui.ctx().set_cursor_icon(egui::CursorIcon::ResizeHorizontal);
        let y = spot.at.y + 2.5;
        pen.painter().hline(room.x_range(), y, (1.0, pen.theme.colour(spot.ink)));
    }
    ring(pen.ui, &response, room, &pen.theme);
    let enter = response.has_focus() && pen.ui.input(|input| input.key_pressed(Key::Enter));
    if response.double_clicked() || enter {
        let text = dial.show(plain);
        pen.ui.data_mut(|data| data.insert_temp(id, text));
        return None;
    }
    let place = dragged(pen.ui, &response, dial.place(plain), vec2(1.0 / TRAVEL, 0.0));
    let put = place.map(|place| Move::Drag(dial.value(place)));
    put.or(keyed(pen.ui, &response, dial, plain).map(Move::Step))
}

/// Says what a number is, to readers of the screen and to tests.
pub fn describe(response: &Response, name: &str, plain: f32, words: &str) {
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(egui::Role::Slider, true, name);
        info.value = Some(f64::from(plain));
        info.current_text_value = Some(words.to_owned());
        info
    });
}

/// The field to type in; what was typed when it is left by Enter or by another hand.
fn type_in(
    pen: &mut Pen,
    spot: Spot,
    room: Rect,
    (name, id): (&str, egui::Id),
    mut text: String,
) -> Option<String> {
    let field_id = id.with("field");
    let font = face(spot.role.size() as f32, spot.role.is_heavy());
    let (width, height) = (room.width().max(58.0) + 8.0, room.height() + 6.0);
    let left = room.center().x - width / 2.0;
    let place = Rect::from_min_size(Pos2::new(left, room.min.y - 3.0), vec2(width, height));
    let field = egui::TextEdit::singleline(&mut text).id(field_id).font(font);
    let field = pen.ui.put(place, field.margin(vec2(4.0, 2.0)));
    pen.ui.ctx().accesskit_node_builder(field_id, |node| node.set_label("type a value"));
    if field.lost_focus() {
        let (escaped, entered) =
            pen.ui.input(|input| (input.key_pressed(Key::Escape), input.key_pressed(Key::Enter)));
        // A hand on the keys goes on from the number, not from the top of the window.
        if escaped || entered {
            pen.ui.memory_mut(|memory| memory.request_focus(Pen::id(name)));
        }
        pen.ui.data_mut(|data| data.remove::<String>(id));
        return (!escaped).then_some(text);
    }
    if !field.has_focus() {
        field.request_focus();
        select_all(pen.ui.ctx(), field_id, text.chars().count());
    }
    pen.ui.data_mut(|data| data.insert_temp(id, text));
    None
}

/// Selects the whole of a field, so that typing replaces it.
fn select_all(ctx: &egui::Context, id: egui::Id, length: usize) {
    use egui::text::{CCursor, CCursorRange};
    let mut state = egui::TextEdit::load_state(ctx, id).unwrap_or_default();
    let all = CCursorRange::two(CCursor::new(0), CCursor::new(length));
    state.cursor.set_char_range(Some(all));
    state.store(ctx, id);
}
