//! A number at a station: its value above a dimension line with one mark.
//!
//! Drag left and right (Shift: ten times finer), arrows one step (Shift fine,
//! Page coarse), Home and End, Delete or a double click on the line for the
//! default, a double click on the number to type.

use super::look::{Look, medium, strong};
use super::wish::Wish;
use crate::plot::Ink;
use crate::settings::{ALL, Kind};
use egui::{EventFilter, Id, Key, Pos2, Rect, Response, Role, Sense, Ui, WidgetInfo, vec2};

/// Height of a number with its name and line.
pub const HEIGHT: f32 = 40.0;

/// Share of the line that stands for "off" where off lies apart from the numbers.
const OFF_SHARE: f32 = 0.06;

/// Shows the number `ALL[index]` at `plain` in `rect`; adds what a hand did to `wishes`.
pub fn show(
    ui: &mut Ui,
    rect: Rect,
    index: usize,
    plain: f32,
    look: &Look,
    wishes: &mut Vec<Wish>,
) {
    let setting = &ALL[index];
    let id = ui.scope_id().with(setting.key);
    if type_in(ui, rect, id, index, wishes) {
        return;
    }
    let upper = Rect::from_min_max(rect.min, Pos2::new(rect.max.x, rect.max.y - 16.0));
    let response = ui.interact(rect, id, Sense::click_and_drag());
    let text = setting.show(plain).replace('-', "\u{2212}");
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::Slider, true, setting.name);
        info.value = Some(f64::from(plain));
        info.current_text_value = Some(text.clone());
        info
    });
    paint(ui, rect, setting.name, &text, place(index, plain), &response, look);

    if response.double_clicked() {
        let on_number = response.interact_pointer_pos().is_some_and(|pos| upper.contains(pos));
        if on_number {
            ui.data_mut(|data| data.insert_temp(id, setting.show(plain)));
        } else {
            wishes.extend(Wish::once(index, setting.default()));
        }
        return;
    }
    drag(ui, &response, index, plain, wishes);
    keys(ui, &response, index, plain, wishes);
}

fn paint(ui: &Ui, rect: Rect, name: &str, text: &str, at: f32, response: &Response, look: &Look) {
    let painter = ui.painter();
    let (ink, second) = (look.colour(Ink::Text), look.colour(Ink::Second));
    let base = rect.min.y + 20.0;
    painter.text(
        Pos2::new(rect.min.x, base),
        egui::Align2::LEFT_BOTTOM,
        name,
        medium(12.0),
        second,
    );
    painter.text(Pos2::new(rect.max.x, base), egui::Align2::RIGHT_BOTTOM, text, strong(13.5), ink);
    let y = rect.min.y + 28.0;
    painter.hline(rect.x_range(), y, look.rule());
    for end in [rect.min.x, rect.max.x] {
        painter.vline(end, y - 3.0..=y + 3.0, look.rule());
    }
    let x = rect.min.x + at * rect.width();
    let grip = Rect::from_center_size(Pos2::new(x, y), vec2(8.4, 8.4));
    painter.rect_filled(grip, 0.0, look.colour(Ink::Sheet));
    painter.rect_stroke(grip, 0.0, egui::Stroke::new(1.4, ink), egui::StrokeKind::Inside);
    if response.has_focus() {
        let ring = egui::Stroke::new(1.8, ink);
        painter.rect_stroke(rect.expand(3.0), 0.0, ring, egui::StrokeKind::Outside);
    }
}

/// Where `plain` stands on its line, 0..1.
pub fn place(index: usize, plain: f32) -> f32 {
    let Kind::Number { min, max, off, ratio, .. } = ALL[index].kind else { return 0.0 };
    let apart = off.is_some_and(|off| off < min);
    if apart && plain < min {
        return 0.0;
    }
    let share = match ratio {
        true => (plain / min).ln() / (max / min).ln(),
        false => (plain - min) / (max - min),
    };
    if apart { OFF_SHARE + share * (1.0 - OFF_SHARE) } else { share }
}

/// The value at a place on the line, to a hundredth.
pub fn value(index: usize, place: f32) -> f32 {
    let Kind::Number { min, max, off, ratio, .. } = ALL[index].kind else { return 0.0 };
    let mut share = place.clamp(0.0, 1.0);
    if let Some(off) = off.filter(|off| *off < min) {
        if share < OFF_SHARE / 2.0 {
            return off;
        }
        share = ((share - OFF_SHARE) / (1.0 - OFF_SHARE)).max(0.0);
    }
    let plain = match ratio {
        true => min * (max / min).powf(share),
        false => min + share * (max - min),
    };
    // As finely as a reader can follow: a tenth, or a hundredth of an octave.
    let steps = if max / min.abs() < 30.0 && max <= 4.0 { 100.0 } else { 10.0 };
    ALL[index].clamp((plain * steps).round() / steps)
}

fn drag(ui: &Ui, response: &Response, index: usize, plain: f32, wishes: &mut Vec<Wish>) {
    let key = response.id.with("place");
    if response.drag_started() {
        ui.data_mut(|data| data.insert_temp(key, place(index, plain)));
        response.request_focus();
        wishes.push(Wish::Take(index));
    }
    if response.dragged() {
        let fine = if ui.input(|input| input.modifiers.shift) { 0.1 } else { 1.0 };
        let before = ui.data(|data| data.get_temp::<f32>(key)).unwrap_or(place(index, plain));
        let moved = before + fine * response.drag_delta().x / response.rect.width();
        ui.data_mut(|data| data.insert_temp(key, moved.clamp(0.0, 1.0)));
        let next = value(index, moved);
        if next != plain {
            wishes.push(Wish::Put(index, next));
        }
    }
    if response.drag_stopped() {
        wishes.push(Wish::Leave(index));
    }
}

fn keys(ui: &Ui, response: &Response, index: usize, plain: f32, wishes: &mut Vec<Wish>) {
    if response.clicked() {
        response.request_focus();
    }
    if !response.has_focus() {
        return;
    }
    let filter =
        EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    let fine = if ui.input(|input| input.modifiers.shift) { 0.1 } else { 1.0 };
    let pressed = |key| ui.input(|input| input.key_pressed(key));
    let next = if pressed(Key::ArrowRight) || pressed(Key::ArrowUp) {
        step(index, plain, fine)
    } else if pressed(Key::ArrowLeft) || pressed(Key::ArrowDown) {
        step(index, plain, -fine)
    } else if pressed(Key::PageUp) {
        step(index, plain, 4.0)
    } else if pressed(Key::PageDown) {
        step(index, plain, -4.0)
    } else if pressed(Key::Home) {
        value(index, 0.0)
    } else if pressed(Key::End) {
        value(index, 1.0)
    } else if pressed(Key::Delete) {
        ALL[index].default()
    } else {
        return;
    };
    wishes.extend(Wish::once(index, next));
}

/// `steps` steps away: 1/24 octave for frequencies, half a unit for the rest.
fn step(index: usize, plain: f32, steps: f32) -> f32 {
    let setting = &ALL[index];
    let Kind::Number { min, off, ratio, .. } = setting.kind else { return plain };
    if off.is_some_and(|off| off < min && plain < min) {
        return if steps > 0.0 { min } else { plain };
    }
    let next = if ratio { plain * (steps / 24.0).exp2() } else { plain + 0.5 * steps };
    setting.clamp((next * 100.0).round() / 100.0)
}

/// The field to type in, while it is open; true while it is.
fn type_in(ui: &mut Ui, rect: Rect, id: Id, index: usize, wishes: &mut Vec<Wish>) -> bool {
    let Some(mut text) = ui.data(|data| data.get_temp::<String>(id)) else { return false };
    let field_id = id.with("typed");
    let field = egui::TextEdit::singleline(&mut text).id(field_id).font(strong(13.5));
    let field = ui.put(Rect::from_min_size(rect.min, vec2(rect.width(), 22.0)), field);
    if field.lost_focus() {
        if !ui.input(|input| input.key_pressed(Key::Escape))
            && let Some(plain) = read(index, &text)
        {
            wishes.extend(Wish::once(index, plain));
        }
        ui.data_mut(|data| data.remove::<String>(id));
    } else {
        field.request_focus();
        ui.data_mut(|data| data.insert_temp(id, text));
    }
    true
}

/// A typed value: one out of range goes to the nearest end, junk is no value.
fn read(index: usize, text: &str) -> Option<f32> {
    let setting = &ALL[index];
    setting.parse(text).ok().or_else(|| {
        let number = text.trim().trim_end_matches(|c: char| c.is_alphabetic() || c == '°').trim();
        let number: f32 = number.replace(',', ".").replace('\u{2212}', "-").parse().ok()?;
        number.is_finite().then(|| setting.clamp(number))
    })
}
