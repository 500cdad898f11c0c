//! Keys that work from anywhere in the window; each has a word to click as well, as hosts may
//! keep keys for themselves.

use crate::editor::controls::commands::browse;
use crate::editor::controls::commands::turn;
use crate::editor::controls::commands::{freeze, hold};
use crate::editor::controls::pen::Pen;
use crate::editor::model::action::Action;
use crate::editor::model::state::{FrameInput, Open, View, WindowState};
use crate::settings::Id;
use crate::settings::{Choice, Hear};
use egui::{Key, TextEdit};

/// Does what the keys of this frame ask for.
pub fn follow(pen: &mut Pen, state: &mut WindowState, shown: &FrameInput) {
    let ctx = pen.ui.ctx().clone();
    let pressed = |key| ctx.input(|input| input.key_pressed(key));
    if pressed(Key::Escape) {
        if shown.sounds_s.is_some() {
            pen.gestures.actions.push(Action::Silence);
        } else if state.message.is_some() {
            state.message = None;
        } else if shown.notice.is_some() {
            pen.gestures.actions.push(Action::CloseNotice);
        } else {
            state.open = Open::Nothing;
        }
    }
    let focus = pen.ui.memory(|memory| memory.focused());
    let types = focus.is_some_and(|id| TextEdit::load_state(pen.ui.ctx(), id).is_some());
    if types {
        return;
    }
    let command = pen.ui.input(|input| input.modifiers.command || input.modifiers.alt);
    if command {
        let numbers = [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5];
        let letters = [(Key::A, false), (Key::B, true)];
        let wanted = letters.into_iter().find(|(key, _)| pressed(*key)).map(|(_, second)| second);
        if wanted.is_some_and(|second| second != state.comparison.is_second()) {
            turn(pen, state, shown);
        }
        if pressed(Key::X) && !state.comparison.is_blind() {
            state.comparison.hide();
        }
        if let Some(at) = numbers.into_iter().position(pressed) {
            state.view = View::ALL[at].0;
        }
        return;
    }
    if pressed(Key::F) {
        let now = pen.ui.input(|input| input.time);
        freeze(state, now);
    }
    if pressed(Key::H) {
        hold(state);
    }
    if pressed(Key::W) {
        state.whole = !state.whole;
    }
    if pressed(Key::T) {
        state.toggle(Open::TestSignal);
    }
    if pressed(Key::P) {
        browse(pen, state);
    }
    if pressed(Key::E) {
        state.toggle(Open::Tray);
    }
    if pressed(Key::C) && state.view == View::Spectrum {
        pen.ui.memory_mut(|memory| memory.request_focus(Pen::id("cursor")));
    }
    let actions = [(Key::R, Action::Restart), (Key::K, Action::ClearClip)];
    let asked = actions.into_iter().filter(|(key, _)| pressed(*key)).map(|(_, action)| action);
    let asked: Vec<_> = asked.collect();
    for (key, id, count) in [(Key::B, Id::bypass, 2), (Key::L, Id::listen, Hear::WORDS.len())] {
        if pressed(key) {
            let next = (pen.plain[id.index()] as usize + 1) % count;
            pen.gestures.set(id, next as f32);
        }
    }
    pen.gestures.actions.extend(asked);
}
