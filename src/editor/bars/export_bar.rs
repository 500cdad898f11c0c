//! The tray under the sentence: keeps what is shown as a file, in a folder that it names.

use crate::editor::controls::fit_text::end_of;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::model::action::Action;
use crate::editor::model::action::Form;
use crate::editor::model::state::WindowState;
use crate::plot::{Ink, Role};
use egui::Rect;

/// Shows the tray in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, state: &WindowState) {
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let y = rect.center().y + 4.0;
    let mut x = rect.min.x + 8.0;
    x = pen.write(Spot::new(x, y, Role::Note, Ink::Second), "keep this view as").max.x + 10.0;
    for (form, words, ending) in Form::ALL {
        let words = format!("{words} {ending}");
        let spot = Spot::new(x, y, Role::Choice, Ink::Text);
        if pen.word(spot, &words, &format!("keep as {words}"), false) {
            pen.gestures.actions.push(Action::Keep(form));
        }
        x = spot.room(&words).max.x + 14.0;
    }
    let spot = Spot::new(x, y, Role::Choice, Ink::Text);
    if pen.word(spot, "all", "keep in every form", false) {
        pen.gestures.actions.push(Action::KeepAll);
    }
    x = spot.room("all").max.x + 14.0;
    let spot = Spot::new(x, y, Role::Choice, Ink::Text);
    if pen.word(spot, "copy the sheet", "copy the sheet", false) {
        pen.gestures.actions.push(Action::Copy);
    }
    let left = spot.room("copy the sheet").max.x + 16.0;
    let room = f64::from(rect.max.x - 8.0 - left);
    let folder = format!("in {}", state.folder.display());
    let end = Spot::new(rect.max.x - 8.0, y, Role::Note, Ink::Second).end();
    let words = end_of(&folder, Role::Note, room);
    if pen.word(end, &words, "open the folder", false) {
        pen.gestures.actions.push(Action::OpenFolder);
    }
}
