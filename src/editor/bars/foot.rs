//! The foot: how it was measured, how far it has settled, colours and zoom.

use crate::editor::bars::averaging;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::layout::{ZoomStep, next_zoom};
use crate::editor::model::action::Action;
use crate::editor::model::state::{FrameInput, View, WindowState};
use crate::editor::paint::scale;
use crate::plot::{Ink, Palette, Role};
use crate::report::conditions::{how, in_short, settled};
use egui::Rect;

/// Shows the foot in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    let y = rect.max.y - 6.0;
    let note = |x: f32| Spot::new(x, y, Role::Note, Ink::Second);
    let left = zoom(pen, rect, note(rect.max.x)) - 12.0;
    let left = colours(pen, note(left).end(), state) - 14.0;
    let left = averaging::show(pen, note(left), state) - 14.0;
    let room = left - rect.min.x;
    if state.view == View::Plan {
        let told = shown.plan.plan.map_or("", |plan| plan.measured.as_str());
        if Role::Note.width(told) as f32 <= room {
            pen.write(note(rect.min.x), told);
        }
        return;
    }
    let Some(run) = shown.run() else { return };
    let settled = settled(run);
    let right = pen.write(note(left).end(), &settled).width();
    let told = [how(run, true), how(run, false), in_short(run)];
    let fits = |words: &&String| Role::Note.width(words) as f32 + right + 16.0 < room;
    if let Some(words) = told.iter().find(fits) {
        pen.write(note(rect.min.x), words);
    }
}

/// The colours as one word; it goes round. Returns where it begins.
fn colours(pen: &mut Pen, spot: Spot, state: &WindowState) -> f32 {
    let (words, next) = match state.palette {
        Palette::Day => ("day", Palette::Night),
        Palette::Night => ("night", Palette::HighContrast),
        Palette::HighContrast => ("contrast", Palette::Day),
    };
    if pen.word(spot, words, "colours", false) {
        pen.gestures.actions.push(Action::Show(next));
    }
    spot.room(words).min.x
}

/// Smaller, the zoom now, larger; returns where they begin.
fn zoom(pen: &mut Pen, rect: Rect, spot: Spot) -> f32 {
    let now = scale::now(pen.ui.ctx());
    let right = Spot { at: egui::Pos2::new(rect.max.x, spot.at.y), ..spot }.end();
    let larger = pen.word(right, "+", "zoom in", false);
    let percent = format!("{:.0} %", 100.0 * now);
    let middle = Spot { at: egui::Pos2::new(rect.max.x - 12.0, spot.at.y), ..right };
    let width = pen.write(middle, &percent).width();
    let left = Spot { at: egui::Pos2::new(rect.max.x - 18.0 - width, spot.at.y), ..right };
    let smaller = pen.word(left, "\u{2212}", "zoom out", false);
    let asked = [(larger, ZoomStep::Larger), (smaller, ZoomStep::Smaller)];
    for (_, step) in asked.into_iter().filter(|(asked, _)| *asked) {
        pen.gestures.actions.push(Action::Zoom(next_zoom(now, step)));
    }
    left.room("\u{2212}").min.x
}
