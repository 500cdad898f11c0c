//! Words that hold time: freeze, hold, over what is averaged, restart.

use crate::editor::controls::commands::{freeze, hold};
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::model::action::Action;
use crate::editor::model::hold::Hold;
use crate::editor::model::state::WindowState;
use crate::figures::clock;
use crate::plot::Ink;
use egui::Pos2;

/// Distance of two words, in points.
const GAP: f32 = 10.0;

/// Shows the words so that they end at `spot`; returns where they begin.
pub fn show(pen: &mut Pen, spot: Spot, state: &mut WindowState) -> f32 {
    let mut right = spot.at.x;
    let mut word = |pen: &mut Pen, words: &str, name: &str, on: bool| {
        let ink = if on { Ink::Text } else { Ink::Second };
        let spot = Spot { at: Pos2::new(right, spot.at.y), ink, ..spot }.end();
        right = spot.room(words).min.x - GAP;
        pen.word(spot, words, name, false)
    };
    if word(pen, "restart", "restart the averages", false) {
        state.hold = state.hold.take().map(|_| Hold::default());
        pen.gestures.actions.push(Action::Restart);
    }
    if word(pen, state.span.words(), "over what is averaged", false) {
        state.span = state.span.next();
        pen.gestures.actions.push(Action::Average(state.span));
    }
    if word(pen, "hold", "hold highest and lowest", state.hold.is_some()) {
        hold(state);
    }
    let now = pen.ui.input(|input| input.time);
    let words = match state.frozen_s {
        Some(since) => format!("frozen {} ago", clock(now - since)),
        None => "freeze".into(),
    };
    if word(pen, &words, "freeze", state.frozen_s.is_some()) {
        freeze(state, now);
    }
    right + GAP
}
