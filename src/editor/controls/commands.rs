//! What a word and a key both ask for: turn to the other of a pair, open the presets, freeze, hold.

use crate::editor::controls::pen::Pen;
use crate::editor::model::action::Action;
use crate::editor::model::hold::Hold;
use crate::editor::model::state::{FrameInput, Open, WindowState};

/// Turns to the other of the pair, by the host's gestures.
pub fn turn(pen: &mut Pen, state: &mut WindowState, shown: &FrameInput) {
    for (id, plain) in state.comparison.turn(shown.settings) {
        pen.gestures.set(id, plain);
    }
    state.is_undoing = true;
}

/// Takes the latest step of a hand back, or does again what was taken back.
pub fn step_back(pen: &mut Pen, state: &mut WindowState, shown: &FrameInput, is_again: bool) {
    let step = match is_again {
        false => state.history.undo(&shown.settings),
        true => state.history.redo(&shown.settings),
    };
    for (id, plain) in step {
        pen.gestures.set(id, plain);
    }
    state.is_undoing = true;
}

/// Opens the presets, read afresh, or closes them.
pub fn browse(pen: &mut Pen, state: &mut WindowState) {
    state.toggle(Open::Presets);
    if state.open == Open::Presets {
        pen.gestures.actions.push(Action::Browse);
    }
}

/// Opens the captures of the folder, looked for afresh, or closes them.
pub fn look_for_captures(pen: &mut Pen, state: &mut WindowState) {
    state.toggle(Open::Captures);
    if state.open == Open::Captures {
        pen.gestures.actions.push(Action::LookForCaptures);
    }
}

/// Stops everything, or lets it go on; `now` in seconds.
pub fn freeze(state: &mut WindowState, now: f64) {
    state.frozen_s = if state.frozen_s.is_some() { None } else { Some(now) };
}

/// Begins to hold the highest and lowest, or lets them go.
pub fn hold(state: &mut WindowState) {
    state.hold = if state.hold.is_some() { None } else { Some(Hold::default()) };
}
