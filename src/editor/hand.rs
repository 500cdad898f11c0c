//! A hand on a setting: keys, drags, and what it asks of the host.
//!
//! Arrows move one step (Shift: a tenth), Page Up and Down four steps, Home and
//! End go to the ends, Delete to the default. Everything a hand does is one
//! gesture of the host: take, put, leave.

use super::steps::Which;
use super::wish::Wish;
use egui::{EventFilter, Id, Key, Response, Stroke, StrokeKind, Ui, Vec2};

/// What the hand holds now, and what it has asked for and not yet seen come back.
#[derive(Clone, Debug, Default)]
pub struct Hand {
    held: Option<Which>,
    /// Where the held setting was put last.
    pub put: Option<(Which, f32)>,
    /// Wishes of this frame, in order.
    pub wishes: Vec<Wish>,
}

impl Hand {
    /// Takes a setting, unless it is in the hand already.
    pub fn take(&mut self, which: Which) {
        if self.held != Some(which) {
            self.leave();
            self.held = Some(which);
            self.wishes.push(Wish::Take(which.0));
        }
    }

    /// Moves the setting in the hand.
    pub fn put(&mut self, which: Which, plain: f32) {
        self.take(which);
        self.put = Some((which, plain));
        self.wishes.push(Wish::Put(which.0, plain));
    }

    /// Lets go of whatever is held.
    pub fn leave(&mut self) {
        if let Some(which) = self.held.take() {
            self.put = None;
            self.wishes.push(Wish::Leave(which.0));
        }
    }

    /// One move in one gesture.
    pub fn set(&mut self, which: Which, plain: f32) {
        self.leave();
        self.wishes.extend(Wish::once(which.0, plain));
    }

    /// Ends a frame: when no button is down any more, nothing is held. It holds even when
    /// the thing that was dragged is no longer on the screen.
    pub fn end_frame(&mut self, ui: &Ui) {
        if !ui.input(|input| input.pointer.any_down()) {
            self.leave();
        }
    }

    /// Follows the keys and drags of a number that stands for a setting.
    pub fn follow(&mut self, which: Which, moved: Option<Move>) {
        match moved {
            Some(Move::Drag(plain)) => self.put(which, plain),
            Some(Move::Step(plain)) => self.set(which, plain),
            None => {}
        }
    }
}

/// How a number was moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Move {
    /// To this value in a drag that goes on.
    Drag(f32),
    /// To this value at once.
    Step(f32),
}

/// A number that a hand can move.
pub trait Dial {
    /// Where a value stands between the ends of its range, 0 to 1.
    fn place(&self, plain: f32) -> f32;
    /// The value at a place.
    fn value(&self, place: f32) -> f32;
    /// The value a number of steps away.
    fn step(&self, plain: f32, steps: f32) -> f32;
    /// The value it had before anyone moved it.
    fn default(&self) -> f32;
    /// A value as words to type over.
    fn show(&self, plain: f32) -> String;
    /// A typed value; one out of range goes to the nearest end, junk is no value.
    fn read(&self, text: &str) -> Option<f32>;
}

/// Where a drag has brought a place that was at `from`: `travel` is how far it moves for one
/// point to the right and down; Shift makes it ten times finer, without a jump.
pub fn dragged(ui: &Ui, response: &Response, from: f32, travel: Vec2) -> Option<f32> {
    let key = response.id.with("place");
    if response.drag_started() {
        ui.data_mut(|data| data.insert_temp(key, from));
        response.request_focus();
    }
    let moved = travel.dot(response.drag_delta());
    if !response.dragged() || moved == 0.0 {
        return None;
    }
    let fine = if ui.input(|input| input.modifiers.shift) { 0.1 } else { 1.0 };
    let before = ui.data(|data| data.get_temp::<f32>(key)).unwrap_or(from);
    let place = before + fine * moved;
    ui.data_mut(|data| data.insert_temp(key, place));
    Some(place)
}

/// What the keys of a number that has the focus make of its value.
pub fn keyed(ui: &Ui, response: &Response, dial: &dyn Dial, plain: f32) -> Option<f32> {
    if response.clicked() {
        response.request_focus();
    }
    if !response.has_focus() {
        return None;
    }
    keep_arrows(ui, response.id);
    let fine = if ui.input(|input| input.modifiers.shift) { 0.1 } else { 1.0 };
    let moves: [(Key, &dyn Fn() -> f32); 9] = [
        (Key::ArrowRight, &|| dial.step(plain, fine)),
        (Key::ArrowUp, &|| dial.step(plain, fine)),
        (Key::ArrowLeft, &|| dial.step(plain, -fine)),
        (Key::ArrowDown, &|| dial.step(plain, -fine)),
        (Key::PageUp, &|| dial.step(plain, 4.0)),
        (Key::PageDown, &|| dial.step(plain, -4.0)),
        (Key::Home, &|| dial.value(0.0)),
        (Key::End, &|| dial.value(1.0)),
        (Key::Delete, &|| dial.default()),
    ];
    let pressed = |key: &Key| ui.input(|input| input.key_pressed(*key));
    moves.iter().find(|(key, _)| pressed(key)).map(|(_, to)| to())
}

/// Keeps the arrows from moving the focus while this has it.
pub fn keep_arrows(ui: &Ui, id: Id) {
    let filter =
        EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
}

/// The ring around what has the focus: ink, outside a gap, visible on every fill.
pub fn ring(ui: &Ui, response: &Response, rect: egui::Rect, look: &super::look::Look) {
    if response.has_focus() {
        let gap = Stroke::new(2.0, look.colour(crate::plot::Ink::Sheet));
        let ink = Stroke::new(1.8, look.colour(crate::plot::Ink::Text));
        ui.painter().rect_stroke(rect.expand(1.0), 0.0, gap, StrokeKind::Outside);
        ui.painter().rect_stroke(rect.expand(3.0), 0.0, ink, StrokeKind::Outside);
    }
}
