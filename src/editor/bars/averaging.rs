//! Words that hold time: freeze, hold, over what is averaged, restart.

use crate::editor::controls::commands::{freeze, hold};
use crate::editor::controls::pen::Pen;
use crate::editor::controls::row::{self, Word};
use crate::editor::model::action::Action;
use crate::editor::model::hold::Hold;
use crate::editor::model::state::WindowState;
use crate::figures::clock;
use crate::plot::Role;
use egui::Pos2;

/// Distance of two words, in points.
const GAP: f32 = 10.0;

/// What the words say, and how wide they are together.
pub fn words(now: f64, state: &WindowState) -> ([String; 4], f32) {
    let frozen = match state.frozen_s {
        Some(since) => format!("frozen {} ago", clock(now - since)),
        None => "freeze".into(),
    };
    let words = [frozen, "hold".into(), state.span.words().into(), "restart".into()];
    let width = row::width(words.iter().map(String::as_str), Role::Note, GAP);
    (words, width)
}

/// Shows the words so that they end at `end`.
pub fn show(pen: &mut Pen, end: Pos2, state: &mut WindowState) {
    let now = pen.ui.input(|input| input.time);
    let (words, _) = words(now, state);
    let names = [
        ("freeze", state.frozen_s.is_some()),
        ("hold highest and lowest", state.hold.is_some()),
        ("over what is averaged", false),
        ("restart the averages", false),
    ];
    let row: Vec<Word> = words
        .iter()
        .zip(names)
        .map(|(words, (name, is_on))| Word::new(words, name, Role::Note, is_on))
        .collect();
    match row::ending_at(pen, end, GAP, &row).0 {
        Some(0) => freeze(state, now),
        Some(1) => hold(state),
        Some(2) => {
            state.span = state.span.next();
            pen.gestures.actions.push(Action::Average(state.span));
        }
        Some(_) => {
            state.hold = state.hold.take().map(|_| Hold::default());
            pen.gestures.actions.push(Action::Restart);
        }
        None => {}
    }
}
