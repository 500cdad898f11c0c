//! Gestures on the settings: everything a hand does is one gesture of the host: take, put, leave.

use crate::editor::model::action::Action;
use crate::editor::model::dial::Move;
use crate::settings::Id;
use egui::Ui;

/// What the hand holds now, and what it has asked for and not yet seen come back.
#[derive(Clone, Debug, Default)]
pub struct Gestures {
    held: Option<Id>,
    /// Where the held setting was put last.
    pub put: Option<(Id, f32)>,
    /// Wishes of this frame, in order.
    pub actions: Vec<Action>,
}

impl Gestures {
    /// Takes a setting, unless it is in the hand already.
    pub fn take(&mut self, id: Id) {
        if self.held != Some(id) {
            self.leave();
            self.held = Some(id);
            self.actions.push(Action::Take(id));
        }
    }

    /// Moves the setting in the hand.
    pub fn put(&mut self, id: Id, plain: f32) {
        self.take(id);
        self.put = Some((id, plain));
        self.actions.push(Action::Put(id, plain));
    }

    /// Lets go of whatever is held.
    pub fn leave(&mut self) {
        if let Some(id) = self.held.take() {
            self.put = None;
            self.actions.push(Action::Leave(id));
        }
    }

    /// One move in one gesture.
    pub fn set(&mut self, id: Id, plain: f32) {
        self.leave();
        self.actions.extend(Action::once(id, plain));
    }

    /// Ends a frame: when no button is down any more, nothing is held. It holds even when
    /// the thing that was dragged is no longer on the screen.
    pub fn end_frame(&mut self, ui: &Ui) {
        if !ui.input(|input| input.pointer.any_down()) {
            self.leave();
        }
    }

    /// Follows the keys and drags of a number that stands for a setting.
    pub fn follow(&mut self, id: Id, moved: Option<Move>) {
        match moved {
            Some(Move::Drag(plain)) => self.put(id, plain),
            Some(Move::Step(plain)) => self.set(id, plain),
            None => {}
        }
    }
}
