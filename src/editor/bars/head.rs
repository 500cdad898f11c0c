//! The head: the words of the views, the preset, A and B, and the latch of full scale.

use crate::editor::controls::commands::browse;
use crate::editor::controls::commands::turn;
use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::input::ring;
use crate::editor::controls::pen::{Pen, Spot, slab};
use crate::editor::model::action::Action;
use crate::editor::model::comparison::moves;
use crate::editor::model::state::{FrameInput, Open, View, WindowState};
use crate::figures::clock;
use crate::plot::{Ink, Role};
use egui::{Key, Modifiers, Rect, Sense, WidgetInfo, vec2};

/// Shows the head in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    let y = rect.max.y - 12.0;
    let mut x = rect.min.x;
    for (view, words) in View::ALL {
        let chosen = state.view == view;
        let (role, ink) =
            if chosen { (Role::Value, Ink::Text) } else { (Role::Choice, Ink::Second) };
        let spot = Spot::new(x, y, role, ink);
        let room = spot.room(words);
        let response = pen.touch(room.expand2(vec2(5.0, 7.0)), words, Sense::click());
        let button = egui::Role::Tab;
        response.widget_info(|| WidgetInfo::selected(button, true, chosen, words));
        pen.write(spot, words);
        if chosen {
            slab(pen.painter(), room.x_range(), y + 5.5, &pen.theme);
        }
        ring(pen.ui, &response, room, &pen.theme);
        if response.clicked() {
            state.view = view;
        }
        turn_by_arrows(pen, &response, state, view);
        x += Role::Value.width(words) as f32 + 18.0;
    }
    let latch = latch(pen, rect, y, shown);
    let pair = pair(pen, latch - 16.0, y, state, shown);
    // The name of a preset could tell which of the two is heard.
    if !state.comparison.is_blind() {
        named(pen, (x - 4.0, pair - 16.0), y, state, shown);
    }
}

/// A and B, equally loud, without their names; returns where they begin.
fn pair(pen: &mut Pen, right: f32, y: f32, state: &mut WindowState, shown: &FrameInput) -> f32 {
    let word = |x: f32, chosen: bool| {
        let role = if chosen { Role::Value } else { Role::Choice };
        Spot::new(x, y, role, if chosen { Ink::Text } else { Ink::Second }).end()
    };
    let is_blind = state.comparison.is_blind();
    let mut x = right;
    if !is_blind {
        let spot = word(x, false);
        if pen.word(spot, "blind", "compare without names", false) {
            state.comparison.hide();
        }
        x = spot.room("blind").min.x - 12.0;
        if state.comparison.differs(&shown.settings) {
            let spot = word(x, false);
            if pen.word(spot, "match", "make A and B equally loud", false) {
                pen.gestures.actions.push(Action::Match);
            }
            x = spot.room("match").min.x - 12.0;
        }
    }
    let words = if is_blind { ["2", "1"] } else { ["B", "A"] };
    for (words, is_second) in words.into_iter().zip([true, false]) {
        let chosen = state.comparison.is_second() == is_second;
        let spot = word(x, chosen);
        if pen.word(spot, words, &format!("set {words}"), chosen) && !chosen {
            turn(pen, state, shown);
        }
        x = spot.room(words).min.x - 10.0;
    }
    x + 10.0
}

/// The preset, and the tray; between the views and A and B.
fn named(
    pen: &mut Pen,
    (left, right): (f32, f32),
    y: f32,
    state: &mut WindowState,
    shown: &FrameInput,
) {
    let is_open = state.open == Open::Tray;
    let ink = |on| if on { Ink::Text } else { Ink::Second };
    let spot = Spot::new(right, y, Role::Choice, ink(is_open)).end();
    if pen.word(spot, "export", "keep this view", is_open) {
        state.toggle(Open::Tray);
    }
    let right = spot.room("export").min.x - 14.0;
    let words = match &state.loaded {
        None => "presets".to_owned(),
        Some(loaded) => match moves(&loaded.settings, &shown.settings).next() {
            None => loaded.name.clone(),
            Some(_) => format!("{}, changed", loaded.name),
        },
    };
    let is_open = state.open == Open::Presets;
    let words = fitting(&words, Role::Choice, f64::from(right - left - 14.0));
    let spot = Spot::new(right, y, Role::Choice, ink(is_open)).end();
    if pen.word(spot, &words, "presets", is_open) {
        browse(pen, state);
    }
}

/// Left and right arrows go from view to view while one of them has the focus.
fn turn_by_arrows(pen: &mut Pen, response: &egui::Response, state: &mut WindowState, view: View) {
    if !response.has_focus() {
        return;
    }
    crate::editor::controls::input::keep_arrows(pen.ui, response.id);
    // Used up, so that the next word, which has the focus then, does not turn on.
    let pressed = |key| pen.ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let step = match (pressed(Key::ArrowRight), pressed(Key::ArrowLeft)) {
        (true, false) => 1,
        (false, true) => View::ALL.len() - 1,
        _ => return,
    };
    let at = View::ALL.iter().position(|(v, _)| *v == view).unwrap_or_default();
    let (next, words) = View::ALL[(at + step) % View::ALL.len()];
    state.view = next;
    let id = Pen::id(words);
    pen.ui.memory_mut(|memory| memory.request_focus(id));
}

/// What left full scale and how long ago; a click clears it. Returns where it begins.
fn latch(pen: &mut Pen, rect: Rect, y: f32, shown: &FrameInput) -> f32 {
    if shown.overs == 0 {
        let spot = Spot::new(rect.max.x, y, Role::Note, Ink::Second).end();
        return pen.write(spot, "nothing clipped").min.x;
    }
    let ago = shown.over_ago_s.map_or(String::new(), |s| format!(", {} ago", clock(s)));
    let words = format!("clipped {}\u{d7}{ago}", shown.overs);
    let spot = Spot::new(rect.max.x - 6.0, y, Role::Strong, Ink::Sheet).end();
    let room = spot.room(&words).expand2(vec2(6.0, 4.0));
    let response = pen.touch(room, "clipped", Sense::click());
    let name = format!("{words}: clear");
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, name.clone()));
    pen.painter().rect_filled(room, 0.0, pen.theme.colour(Ink::Fault));
    pen.write(spot, &words);
    ring(pen.ui, &response, room, &pen.theme);
    if response.clicked() {
        pen.gestures.actions.push(Action::ClearClip);
    }
    room.min.x
}
