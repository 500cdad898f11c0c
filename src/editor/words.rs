//! A choice between words; the chosen one stands on a slab on piles.

use super::look::{Look, medium, strong};
use super::wish::Wish;
use crate::plot::Ink;
use crate::settings::{ALL, Kind};
use egui::{Align2, Painter, Pos2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, vec2};

/// Height of a choice with its name.
pub const HEIGHT: f32 = 40.0;

/// Shows the choice or switch `ALL[index]` at `plain` in `rect`.
pub fn show(
    ui: &mut Ui,
    rect: Rect,
    index: usize,
    plain: f32,
    look: &Look,
    wishes: &mut Vec<Wish>,
) {
    let setting = &ALL[index];
    let words = match setting.kind {
        Kind::Choice { words, .. } => words,
        _ => &["off", "on"],
    };
    let second = look.colour(Ink::Second);
    let top = Pos2::new(rect.min.x, rect.min.y + 14.0);
    ui.painter().text(top, Align2::LEFT_BOTTOM, setting.name, medium(12.0), second);
    let mut x = rect.min.x;
    for (value, word) in words.iter().enumerate() {
        let place = Pos2::new(x, rect.min.y + 16.0);
        let chosen = plain as usize == value;
        let name = format!("{} {word}", setting.name);
        let (clicked, width) = self::word(ui, place, word, &name, chosen, look);
        if clicked && !chosen {
            wishes.extend(Wish::once(index, value as f32));
        }
        x += width + 12.0;
    }
}

/// One word to click, with its slab when chosen; whether it was clicked and how wide it is.
pub fn word(
    ui: &mut Ui,
    place: Pos2,
    word: &str,
    name: &str,
    chosen: bool,
    look: &Look,
) -> (bool, f32) {
    let (font, ink) = if chosen { (strong(13.5), Ink::Text) } else { (medium(13.5), Ink::Second) };
    let galley = ui.painter().layout_no_wrap(word.to_owned(), font, look.colour(ink));
    let rect = Rect::from_min_size(place, vec2(galley.size().x, 24.0));
    let response = ui.interact(rect, ui.scope_id().with(name), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, chosen, name));
    let width = galley.size().x;
    ui.painter().galley(place, galley, look.colour(ink));
    if chosen {
        slab(ui.painter(), place.x..=place.x + width, place.y + 18.0, look);
    }
    if response.has_focus() {
        let ring = Stroke::new(1.8, look.colour(Ink::Text));
        ui.painter().rect_stroke(rect.expand(3.0), 0.0, ring, egui::StrokeKind::Outside);
    }
    (response.clicked(), width)
}

/// A bar of 2.4 px on piles of 4 px every 9 px.
fn slab(painter: &Painter, x: std::ops::RangeInclusive<f32>, y: f32, look: &Look) {
    let ink = look.colour(Ink::Text);
    painter.hline(x.clone(), y, Stroke::new(2.4, ink));
    let mut pile = *x.start() + 1.0;
    while pile <= *x.end() {
        painter.vline(pile, y..=y + 4.0, Stroke::new(1.2, ink));
        pile += 9.0;
    }
}
