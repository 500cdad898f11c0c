//! The head: the words of the views, bypass, and the latch of full scale.

use super::desk::{Desk, Shown, View};
use super::hand::ring;
use super::pen::{Pen, Spot, slab};
use super::steps::Which;
use super::wish::Wish;
use crate::plot::{Ink, Role};
use egui::{Key, Modifiers, Rect, Sense, WidgetInfo, vec2};

/// Shows the head in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, desk: &mut Desk, shown: &Shown) {
    let y = rect.max.y - 12.0;
    let mut x = rect.min.x;
    for (view, words) in View::ALL {
        let chosen = desk.view == view;
        let (role, ink) =
            if chosen { (Role::Value, Ink::Text) } else { (Role::Choice, Ink::Second) };
        let spot = Spot::new(x, y, role, ink);
        let room = spot.room(words);
        let response = pen.touch(room.expand2(vec2(5.0, 7.0)), words, Sense::click());
        let button = egui::Role::Tab;
        response.widget_info(|| WidgetInfo::selected(button, true, chosen, words));
        pen.write(spot, words);
        if chosen {
            slab(pen.painter(), room.x_range(), y + 5.5, &pen.look);
        }
        ring(pen.ui, &response, room, &pen.look);
        if response.clicked() {
            desk.view = view;
        }
        turn_by_arrows(pen, &response, desk, view);
        x += Role::Value.width(words) as f32 + 18.0;
    }
    let is_open = desk.choosing || shown.sounds_s.is_some();
    let ink = if is_open { Ink::Text } else { Ink::Second };
    let spot = Spot::new(x + 6.0, y, Role::Choice, ink);
    if pen.word(spot, "test signal", "choose a test signal", is_open) {
        desk.choosing = !desk.choosing;
    }
    latch(pen, rect, y, shown);
    let bypass = Which::of("bypass");
    let on = pen.value(bypass) >= 0.5;
    let ink = if on { Ink::Text } else { Ink::Second };
    let spot = Spot::new(rect.max.x - 118.0, y, Role::Choice, ink).end();
    if pen.word(spot, "bypass", "Bypass", on) {
        pen.hand.set(bypass, f32::from(!on));
    }
}

/// Left and right arrows go from view to view while one of them has the focus.
fn turn_by_arrows(pen: &mut Pen, response: &egui::Response, desk: &mut Desk, view: View) {
    if !response.has_focus() {
        return;
    }
    super::hand::keep_arrows(pen.ui, response.id);
    // Used up, so that the next word, which has the focus then, does not turn on.
    let pressed = |key| pen.ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let step = match (pressed(Key::ArrowRight), pressed(Key::ArrowLeft)) {
        (true, false) => 1,
        (false, true) => View::ALL.len() - 1,
        _ => return,
    };
    let at = View::ALL.iter().position(|(v, _)| *v == view).unwrap_or_default();
    let (next, words) = View::ALL[(at + step) % View::ALL.len()];
    desk.view = next;
    let id = Pen::id(words);
    pen.ui.memory_mut(|memory| memory.request_focus(id));
}

/// What left full scale and how long ago; a click clears it.
fn latch(pen: &mut Pen, rect: Rect, y: f32, shown: &Shown) {
    if shown.overs == 0 {
        let spot = Spot::new(rect.max.x, y, Role::Note, Ink::Second).end();
        pen.write(spot, "nothing clipped");
        return;
    }
    let ago = shown.over_ago_s.map_or(String::new(), |s| format!(", {} ago", clock(s)));
    let words = format!("clipped {}\u{d7}{ago}", shown.overs);
    let spot = Spot::new(rect.max.x - 6.0, y, Role::Strong, Ink::Sheet).end();
    let room = spot.room(&words).expand2(vec2(6.0, 4.0));
    let response = pen.touch(room, "clipped", Sense::click());
    let name = format!("{words}: clear");
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, name.clone()));
    pen.painter().rect_filled(room, 0.0, pen.look.colour(Ink::Fault));
    pen.write(spot, &words);
    ring(pen.ui, &response, room, &pen.look);
    if response.clicked() {
        pen.hand.wishes.push(Wish::ClearClip);
    }
}

/// Minutes and seconds, `4:12`.
pub fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0) as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}
