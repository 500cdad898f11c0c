//! Where one stands on the line: four posts to listen at, and what takes the place of the signal
//! at either end.

use crate::editor::controls::commands::step_back;
use crate::editor::controls::input::ring;
use crate::editor::controls::pen::{LEAST, Pen, Spot};
use crate::editor::model::state::{FrameInput, Open, WindowState};
use crate::plot::route::Route;
use crate::plot::{Ink, Role};
use crate::settings::Id;
use crate::settings::{Hear, Plain};
use egui::{Pos2, Rect, Sense, WidgetInfo, vec2};

/// The four posts to listen at, and the plate that says where one stands.
pub(super) fn show(pen: &mut Pen, route: &Route, rect: Rect) {
    let origin = rect.min;
    let id = Id::listen;
    let heard = Hear::from_plain(pen.value(id));
    let [leaves, _, up, joins] = route.branch().map(|(x, y)| origin + vec2(x as f32, y as f32));
    let end = origin + vec2(route.right as f32, route.y as f32);
    // Where nothing stands beneath the line and in the foot.
    let wire = Pos2::new(origin.x + route.x(0.22) as f32, rect.max.y - 8.0);
    let dry = Pos2::new(joins.x - 40.0, leaves.y);
    for (hear, at, name) in [
        (Hear::Dry, dry, "hear the dry part alone"),
        (Hear::Octave, up + 0.62 * (joins - up), "hear the octave part alone"),
        (Hear::Blend, end, "hear what comes out"),
        (Hear::Difference, wire, "hear the difference"),
    ] {
        let chosen = hear == heard;
        let rect = Rect::from_center_size(at, LEAST);
        let response = pen.touch(rect, name, Sense::click());
        let role = egui::Role::RadioButton;
        response.widget_info(|| WidgetInfo::selected(role, true, chosen, name));
        let radius = if hear == Hear::Blend { 5.0 } else { 3.8 };
        let ink = pen.theme.colour(Ink::Text);
        let fill = if chosen { ink } else { pen.theme.colour(Ink::Sheet) };
        pen.painter().circle(at, radius, fill, (1.5, ink));
        ring(pen.ui, &response, rect.shrink(7.0), &pen.theme);
        if response.clicked() && !chosen {
            pen.gestures.set(id, hear.to_plain());
        }
    }
    let label = Spot::new(wire.x + 8.0, wire.y + 3.5, Role::Note, Ink::Second);
    let behind = label.room("difference").expand(2.0);
    pen.painter().rect_filled(behind, 0.0, pen.theme.colour(Ink::Ground));
    pen.write(label, "difference");
    plate(pen, route, rect, heard);
}

/// The plate that says where one stands.
fn plate(pen: &mut Pen, route: &Route, rect: Rect, heard: Hear) {
    let words = match heard {
        Hear::Blend => "you hear this",
        Hear::Octave => "heard: octave part",
        Hear::Dry => "heard: dry part",
        Hear::Difference => "heard: difference",
    };
    let x = rect.min.x + route.right as f32;
    let y = rect.min.y + route.y as f32;
    let width = Role::Strong.width(words) as f32 + 10.0;
    let right = (x + 0.5 * width).min(rect.max.x);
    let spot = Spot::new(right - 5.0, y - 26.5, Role::Strong, Ink::Sheet).end();
    let room = spot.room(words).expand2(vec2(5.0, 2.5));
    pen.painter().rect_filled(room, 0.0, pen.theme.colour(Ink::Text));
    pen.painter().vline(x, room.max.y..=y - 5.0, (1.2, pen.theme.colour(Ink::Text)));
    pen.write(spot, words);
}

/// What was set last, to be taken back and done again; in the corner under the test signal.
fn steps_back(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    let (can_undo, can_redo) = state.history.can();
    let mut x = rect.min.x;
    for (words, can, is_again) in [("undo", can_undo, false), ("redo", can_redo, true)] {
        let spot = Spot::new(x, rect.min.y + 113.0, Role::Note, Ink::Second);
        if can && pen.word(spot, words, words, false) {
            step_back(pen, state, shown, is_again);
        }
        x += Role::Note.width("undo") as f32 + 10.0;
    }
}

/// What takes the place of the signal at either end: a test signal, and bypass.
pub(super) fn signal_and_bypass(
    pen: &mut Pen,
    rect: Rect,
    state: &mut WindowState,
    shown: &FrameInput,
) {
    let spot = |x, ink| Spot::new(x, rect.min.y + 89.0, Role::Strong, ink);
    let said = |on| if on { Ink::Text } else { Ink::Second };
    let is_open = state.open == Open::TestSignal || shown.sounds_s.is_some();
    let left = spot(rect.min.x, said(is_open));
    if pen.word(left, "test signal", "choose a test signal", is_open) {
        state.toggle(Open::TestSignal);
    }
    steps_back(pen, rect, state, shown);
    let on = pen.value(Id::bypass) >= 0.5;
    if pen.word(spot(rect.max.x, said(on)).end(), "bypass", "Bypass", on) {
        pen.gestures.set(Id::bypass, f32::from(!on));
    }
}
