//! Keys that work from anywhere in the window; each has a word to click as well, as hosts may
//! keep keys for themselves.

use crate::editor::controls::commands::{browse, freeze, hold, step_back, turn};
use crate::editor::controls::pen::Pen;
use crate::editor::layout::{ZoomStep, next_zoom};
use crate::editor::model::action::Action;
use crate::editor::model::state::{FrameInput, Open, View, WindowState};
use crate::presets;
use crate::settings::Id;
use crate::settings::{Choice, Hear};
use egui::{Event, Key, Modifiers, TextEdit};

/// The keys that went down in a frame, each with what was held as it did: in a quick chord the
/// modifier is up again before the frame ends.
struct Keys(Vec<(Key, Modifiers)>);

impl Keys {
    fn of(ctx: &egui::Context) -> Self {
        let down = |event: &Event| match event {
            Event::Key { key, pressed: true, modifiers, .. } => Some((*key, *modifiers)),
            _ => None,
        };
        Self(ctx.input(|input| input.events.iter().filter_map(down).collect()))
    }

    /// A key by itself.
    fn alone(&self, key: Key) -> bool {
        self.0.iter().any(|(down, with)| *down == key && !(with.command || with.alt))
    }

    /// A key with Ctrl, Cmd or Alt.
    fn chord(&self, key: Key) -> bool {
        self.0.iter().any(|(down, with)| *down == key && (with.command || with.alt))
    }

    /// A key with Shift.
    fn is_shifted(&self, key: Key) -> bool {
        self.0.iter().any(|(down, with)| *down == key && with.shift)
    }
}

/// Does what the keys of this frame ask for.
pub fn follow(pen: &mut Pen, state: &mut WindowState, shown: &FrameInput) {
    let keys = Keys::of(pen.ui.ctx());
    if keys.alone(Key::Escape) {
        escape(pen, state, shown);
    }
    let focus = pen.ui.memory(|memory| memory.focused());
    let types = focus.is_some_and(|id| TextEdit::load_state(pen.ui.ctx(), id).is_some());
    if !types {
        chords(&keys, pen, state, shown);
        views(&keys, pen, state);
        settings(&keys, pen, shown);
    }
}

/// Ends what is nearest: a sound, a sentence, what is open.
fn escape(pen: &mut Pen, state: &mut WindowState, shown: &FrameInput) {
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

/// The keys of the views, from left to right.
const NUMBERS: [Key; 9] = [
    Key::Num1,
    Key::Num2,
    Key::Num3,
    Key::Num4,
    Key::Num5,
    Key::Num6,
    Key::Num7,
    Key::Num8,
    Key::Num9,
];

/// A and B, blind, the views, and the zoom.
fn chords(keys: &Keys, pen: &mut Pen, state: &mut WindowState, shown: &FrameInput) {
    let letters = [(Key::A, false), (Key::B, true)];
    let wanted = letters.into_iter().find(|(key, _)| keys.chord(*key)).map(|(_, second)| second);
    if wanted.is_some_and(|second| second != state.comparison.is_second()) {
        turn(pen, state, shown);
    }
    if keys.chord(Key::X) && !state.comparison.is_blind() {
        state.comparison.hide();
    }
    for (key, is_again) in [(Key::Z, keys.is_shifted(Key::Z)), (Key::Y, true)] {
        if keys.chord(key) {
            step_back(pen, state, shown, is_again);
        }
    }
    for (key, (view, _)) in NUMBERS.into_iter().zip(View::ALL) {
        if keys.chord(key) {
            state.view = view;
        }
    }
    let zooms = [
        (Key::Plus, ZoomStep::Larger),
        // Where plus needs Shift.
        (Key::Equals, ZoomStep::Larger),
        (Key::Minus, ZoomStep::Smaller),
        (Key::Num0, ZoomStep::Natural),
    ];
    for (_, step) in zooms.into_iter().filter(|(key, _)| keys.chord(*key)) {
        pen.gestures.actions.push(Action::Zoom(next_zoom(state.zoom_shown, step)));
    }
}

/// What is shown, and how.
fn views(keys: &Keys, pen: &mut Pen, state: &mut WindowState) {
    let pressed = |key| keys.alone(key);
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
    if pressed(Key::F1) {
        state.toggle(Open::Help);
    }
    if pressed(Key::F6) {
        next_region(pen, keys.is_shifted(Key::F6));
    }
    opens(keys, pen, state);
    if pressed(Key::C) && state.view == View::Spectrum {
        pen.ui.memory_mut(|memory| memory.request_focus(Pen::id("cursor")));
    }
}

/// What opens beside the view; the hand goes on in it.
fn opens(keys: &Keys, pen: &mut Pen, state: &mut WindowState) {
    let pressed = |key| keys.alone(key);
    let (before, mut on) = (state.open, None);
    if pressed(Key::T) {
        state.toggle(Open::TestSignal);
        on = Some("hold to start".to_owned());
    }
    if pressed(Key::V) {
        state.toggle(Open::Shelf);
        on = Some("name of the curve".to_owned());
    }
    if pressed(Key::E) {
        state.toggle(Open::Tray);
        on = Some("keep in every form".to_owned());
    }
    if pressed(Key::P) {
        browse(pen, state);
        let loaded = state.loaded.as_ref().map(|preset| preset.name.clone());
        let name = loaded.or_else(|| Some(presets::all().first()?.name.clone()));
        on = name.map(|name| format!("preset {name}"));
    }
    // It is shown from the next frame on, and has the focus then.
    if let Some(name) = on.filter(|_| state.open != before && state.open != Open::Nothing) {
        pen.ui.memory_mut(|memory| memory.request_focus(Pen::id(&name)));
    }
}

/// The first part of each region of the window, from top to bottom.
const REGIONS: [&str; 4] = ["Spectrum", "cursor", "Input trim", "help"];

/// Takes the focus to the next region, or to the one before.
fn next_region(pen: &Pen, is_back: bool) {
    let top = |name: &str| pen.ui.ctx().read_response(Pen::id(name)).map(|there| there.rect.min.y);
    let there: Vec<(&str, f32)> = REGIONS.iter().filter_map(|n| Some((*n, top(n)?))).collect();
    let focus = pen.ui.memory(|memory| memory.focused());
    let at = focus.and_then(|id| Some(pen.ui.ctx().read_response(id)?.rect.min.y + 1.0));
    // The region that holds the focus is the last one that begins above it.
    let now = at.and_then(|at| there.iter().rposition(|(_, top)| *top <= at));
    let next = match (now, is_back) {
        (None, _) => 0,
        (Some(now), false) => (now + 1) % there.len().max(1),
        (Some(now), true) => (now + there.len().max(1) - 1) % there.len().max(1),
    };
    if let Some((name, _)) = there.get(next) {
        pen.ui.memory_mut(|memory| memory.request_focus(Pen::id(name)));
    }
}

/// Bypass, the point one listens at, a fresh start.
fn settings(keys: &Keys, pen: &mut Pen, shown: &FrameInput) {
    let next = Action::Measure(shown.bench.measured.next());
    let actions = [(Key::R, Action::Restart), (Key::K, Action::ClearClip), (Key::M, next)];
    let asked = actions.into_iter().filter(|(key, _)| keys.alone(*key)).map(|(_, action)| action);
    for (key, id, count) in [(Key::B, Id::bypass, 2), (Key::L, Id::listen, Hear::WORDS.len())] {
        if keys.alone(key) {
            let next = (pen.plain[id.index()] as usize + 1) % count;
            pen.gestures.set(id, next as f32);
        }
    }
    pen.gestures.actions.extend(asked);
}
