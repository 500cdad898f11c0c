//! The foot: what is under the pointer, or else how it was measured and how far it has settled; on
//! the right time, help, colours and zoom.

use crate::editor::bars::averaging;
use crate::editor::bars::help;
use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::controls::row::{self, Word};
use crate::editor::layout::{ZoomStep, next_zoom};
use crate::editor::model::action::Action;
use crate::editor::model::state::{FrameInput, Open, View, WindowState};
use crate::plot::{Ink, Palette, Role};
use crate::report::conditions::in_short;
use egui::{Pos2, Rect};

/// Between two groups of words, in points.
const GAP: f32 = 14.0;

/// Shows the foot in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    let y = rect.max.y - 6.0;
    let now = pen.ui.input(|input| input.time);
    let look = look_words(state);
    let look_width = row::width(look.iter().map(String::as_str), Role::Note, LOOK_GAP);
    let time_end = rect.max.x - look_width - GAP;
    let left = time_end - averaging::words(now, state).1 - GAP;
    averaging::show(pen, Pos2::new(time_end, y), state);
    show_look(pen, Pos2::new(rect.max.x, y), &look, state);
    told(pen, Rect::from_min_max(rect.min, Pos2::new(left, y)), state, shown);
}

/// What is under the pointer or has the focus; else how it was measured.
fn told(pen: &mut Pen, rect: Rect, state: &WindowState, shown: &FrameInput) {
    let note = Spot::new(rect.min.x, rect.max.y, Role::Note, Ink::Second);
    let room = rect.width();
    if let Some(words) = pen.pointed.name().and_then(help::words) {
        pen.write(Spot { ink: Ink::Text, ..note }, &fitting(&words, Role::Note, room.into()));
        return;
    }
    if state.view == View::Plan {
        let told = shown.plan.plan.map_or("", |plan| plan.measured.as_str());
        if Role::Note.width(told) as f32 <= room {
            pen.write(note, told);
        }
        return;
    }
    let Some(run) = shown.run() else { return };
    let caution = shown.caution(state.view);
    let settled = caution.map(String::from).or_else(|| shown.settled(state.view));
    let end = Spot { at: Pos2::new(rect.max.x, rect.max.y), ..note }.end();
    let right = pen.write(end, &settled.unwrap_or_default()).width();
    let told = [shown.how(state.view, true), shown.how(state.view, false), Some(in_short(run))];
    let told = told.into_iter().flatten();
    let fits = |words: &String| Role::Note.width(words) as f32 + right + 16.0 < room;
    if let Some(words) = told.into_iter().find(fits) {
        pen.write(note, &words);
    }
}

/// Between two words about the look, in points.
const LOOK_GAP: f32 = 10.0;

/// Help, the colours, and the zoom between its signs.
fn look_words(state: &WindowState) -> [String; 5] {
    let colours = match state.palette {
        Palette::Day => "day",
        Palette::Night => "night",
        Palette::HighContrast => "contrast",
    };
    let percent = format!("{:.0} %", 100.0 * state.zoom_shown);
    ["help".into(), colours.into(), "\u{2212}".into(), percent, "+".into()]
}

fn show_look(pen: &mut Pen, end: Pos2, words: &[String; 5], state: &mut WindowState) {
    let is_open = state.open == Open::Help;
    let names = ["help", "colours", "zoom out", "natural zoom", "zoom in"];
    let row: Vec<Word> = words
        .iter()
        .zip(names)
        .map(|(words, name)| Word::new(words, name, Role::Note, is_open && name == "help"))
        .collect();
    let now = state.zoom_shown;
    let zoom = |step| Action::Zoom(next_zoom(now, step));
    let action = match row::ending_at(pen, end, LOOK_GAP, &row).0.map(|at| names[at]) {
        Some("help") => {
            state.toggle(Open::Help);
            return;
        }
        Some("colours") => Action::Show(match state.palette {
            Palette::Day => Palette::Night,
            Palette::Night => Palette::HighContrast,
            Palette::HighContrast => Palette::Day,
        }),
        Some("zoom out") => zoom(ZoomStep::Smaller),
        Some("natural zoom") => zoom(ZoomStep::Natural),
        Some("zoom in") => zoom(ZoomStep::Larger),
        _ => return,
    };
    pen.gestures.actions.push(action);
}
