//! Keys that work from anywhere in the window; each has a word to click as well, as hosts may
//! keep keys for themselves.

use super::blind::turn;
use super::desk::{Desk, Open, Shown, View};
use super::head::browse;
use super::pen::Pen;
use super::steps::Which;
use super::stillness::{freeze, hold};
use super::wish::Wish;
use crate::settings::{Choice, Hear};
use egui::{Key, TextEdit};

/// Does what the keys of this frame ask for.
pub fn follow(pen: &mut Pen, desk: &mut Desk, shown: &Shown) {
    let ctx = pen.ui.ctx().clone();
    let pressed = |key| ctx.input(|input| input.key_pressed(key));
    if pressed(Key::Escape) {
        if shown.sounds_s.is_some() {
            pen.hand.wishes.push(Wish::Silence);
        } else if desk.told.is_some() {
            desk.told = None;
        } else if shown.notice.is_some() {
            pen.hand.wishes.push(Wish::CloseNotice);
        } else {
            desk.open = Open::Nothing;
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
        if wanted.is_some_and(|second| second != desk.pair.is_second()) {
            turn(pen, desk, shown);
        }
        if pressed(Key::X) && !desk.pair.is_blind() {
            desk.pair.hide();
        }
        if let Some(at) = numbers.into_iter().position(pressed) {
            desk.view = View::ALL[at].0;
        }
        return;
    }
    if pressed(Key::F) {
        let now = pen.ui.input(|input| input.time);
        freeze(desk, now);
    }
    if pressed(Key::H) {
        hold(desk);
    }
    if pressed(Key::W) {
        desk.whole = !desk.whole;
    }
    if pressed(Key::T) {
        desk.toggle(Open::TestSignal);
    }
    if pressed(Key::P) {
        browse(pen, desk);
    }
    if pressed(Key::E) {
        desk.toggle(Open::Tray);
    }
    if pressed(Key::C) && desk.view == View::Spectrum {
        pen.ui.memory_mut(|memory| memory.request_focus(Pen::id("cursor")));
    }
    let wishes = [(Key::R, Wish::Restart), (Key::K, Wish::ClearClip)];
    let asked = wishes.into_iter().filter(|(key, _)| pressed(*key)).map(|(_, wish)| wish);
    let asked: Vec<_> = asked.collect();
    for (key, which, count) in
        [(Key::B, Which::of("bypass"), 2), (Key::L, Which::of("listen"), Hear::WORDS.len())]
    {
        if pressed(key) {
            let next = (pen.plain[which.0] as usize + 1) % count;
            pen.hand.set(which, next as f32);
        }
    }
    pen.hand.wishes.extend(asked);
}
