//! The head: the words of the views, the preset, A and B, and the latch of full scale.

use crate::editor::controls::commands::browse;
use crate::editor::controls::commands::turn;
use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::input::ring;
use crate::editor::controls::pen::{Pen, Spot, slab};
use crate::editor::controls::row::{self, Word};
use crate::editor::model::action::Action;
use crate::editor::model::comparison::moves;
use crate::editor::model::state::{FrameInput, Open, View, WindowState};
use crate::figures::{clock, short};
use crate::plot::{Ink, Role};
use egui::{Key, Modifiers, Pos2, Rect, Sense, WidgetInfo, vec2};

/// Between two words on the right, in points.
const GAP: f32 = 11.0;

/// Room for A, B, blind, and match where both differ, in points.
fn pair_width(differs: bool) -> f32 {
    let words = ["A", "B", "blind", "match"];
    let words = &words[..if differs { 4 } else { 3 }];
    // As wide as the chosen one of them.
    row::width(words.iter().copied(), Role::Value, GAP)
}

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
    let latched = latched(shown);
    let right = rect.max.x - Role::Strong.width(&latched) as f32 - 28.0;
    // The name of a preset could tell which of the two is heard. What stands left comes first by
    // Tab, so the room for A and B is kept free for them.
    if !state.comparison.is_blind() {
        let kept = pair_width(state.comparison.differs(&shown.settings));
        named(pen, (x - 4.0, right - kept - 16.0), y, state, shown);
    }
    pair(pen, right, y, state, shown);
    latch(pen, rect, y, &latched, shown);
}

/// A and B, equally loud, without their names.
fn pair(pen: &mut Pen, right: f32, y: f32, state: &mut WindowState, shown: &FrameInput) {
    let is_blind = state.comparison.is_blind();
    let letters = if is_blind { ["1", "2"] } else { ["A", "B"] };
    let names = letters.map(|letter| format!("set {letter}"));
    let mut row = Vec::new();
    for (i, (words, name)) in letters.into_iter().zip(&names).enumerate() {
        let chosen = state.comparison.is_second() == (i == 1);
        let role = if chosen { Role::Value } else { Role::Choice };
        row.push(Word { chosen, ..Word::new(words, name, role, chosen) });
    }
    let word = |words, name| Word::new(words, name, Role::Choice, false);
    if !is_blind && state.comparison.differs(&shown.settings) {
        row.push(word("match", "make A and B equally loud"));
    }
    if !is_blind {
        row.push(word("blind", "compare without names"));
    }
    let (clicked, _) = row::ending_at(pen, Pos2::new(right, y), GAP, &row);
    match clicked.map(|at| row[at].words) {
        Some("match") => pen.gestures.actions.push(Action::Match),
        Some("blind") => state.comparison.hide(),
        Some(letter) if (letter == letters[1]) != state.comparison.is_second() => {
            turn(pen, state, shown);
        }
        _ => {}
    }
}

/// The preset, the shelf and the tray; between the views and A and B.
fn named(
    pen: &mut Pen,
    (left, right): (f32, f32),
    y: f32,
    state: &mut WindowState,
    shown: &FrameInput,
) {
    let words = match &state.loaded {
        None => "presets".to_owned(),
        Some(loaded) => match moves(&loaded.settings, &shown.settings).next() {
            None => loaded.name.clone(),
            Some(_) => format!("{}, changed", loaded.name),
        },
    };
    let others = ["curves", "export"];
    let taken: f64 = others.iter().map(|words| Role::Choice.width(words) + 12.0).sum();
    let words = fitting(&words, Role::Choice, f64::from(right - left) - taken - 14.0);
    let trays = [Open::Presets, Open::Shelf, Open::Tray];
    let names = ["presets", "curves and target", "keep this view"];
    let said = [words.as_str(), others[0], others[1]];
    let row = [0, 1, 2].map(|i| {
        let chosen = state.open == trays[i];
        Word { chosen, ..Word::new(said[i], names[i], Role::Choice, chosen) }
    });
    match row::ending_at(pen, Pos2::new(right, y), 12.0, &row).0 {
        Some(0) => browse(pen, state),
        Some(at) => state.toggle(trays[at]),
        None => {}
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

/// A time that is added up of single samples: `0.2 ms`, `38 ms`, `1.2 s`, `75 s`.
fn lasting(seconds: f64) -> String {
    match seconds {
        s if s < 0.01 => format!("{} ms", short(1000.0 * s, 1)),
        s if s < 1.0 => format!("{} ms", short(1000.0 * s, 0)),
        s if s < 10.0 => format!("{} s", short(s, 1)),
        s => format!("{} s", short(s, 0)),
    }
}

/// How long what came out was beyond full scale, and how long ago.
fn latched(shown: &FrameInput) -> String {
    if shown.over_s == 0.0 {
        return "nothing clipped".into();
    }
    let ago = shown.over_ago_s.map_or(String::new(), |s| format!(", {} ago", clock(s)));
    format!("clipped {}{ago}", lasting(shown.over_s))
}

/// Shows that, on a plate that a click clears.
fn latch(pen: &mut Pen, rect: Rect, y: f32, words: &str, shown: &FrameInput) {
    if shown.over_s == 0.0 {
        pen.write(Spot::new(rect.max.x, y, Role::Note, Ink::Second).end(), words);
        return;
    }
    let spot = Spot::new(rect.max.x - 6.0, y, Role::Strong, Ink::Sheet).end();
    let room = spot.room(words).expand2(vec2(6.0, 4.0));
    let response = pen.touch(room, "clipped", Sense::click());
    let name = format!("{words}: clear");
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, name.clone()));
    pen.painter().rect_filled(room, 0.0, pen.theme.colour(Ink::Fault));
    pen.write(spot, words);
    ring(pen.ui, &response, room, &pen.theme);
    if response.clicked() {
        pen.gestures.actions.push(Action::ClearClip);
    }
}
