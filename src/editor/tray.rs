//! The tray under the sentence: keeps what is shown as a file, in a folder that it names.

use super::desk::Desk;
use super::export::Form;
use super::pen::{Pen, Spot};
use super::wish::Wish;
use crate::plot::{Ink, Role};
use egui::Rect;

/// Height of the tray, in points.
pub const HEIGHT: f32 = 26.0;

/// Shows the tray in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, desk: &Desk) {
    pen.painter().rect_filled(rect, 0.0, pen.look.colour(Ink::Sheet));
    let y = rect.center().y + 4.0;
    let mut x = rect.min.x + 8.0;
    x = pen.write(Spot::new(x, y, Role::Note, Ink::Second), "keep this view as").max.x + 10.0;
    for (form, words, ending) in Form::ALL {
        let words = format!("{words} {ending}");
        let spot = Spot::new(x, y, Role::Choice, Ink::Text);
        if pen.word(spot, &words, &format!("keep as {words}"), false) {
            pen.hand.wishes.push(Wish::Keep(form));
        }
        x = spot.room(&words).max.x + 14.0;
    }
    let spot = Spot::new(x, y, Role::Choice, Ink::Text);
    if pen.word(spot, "copy the sheet", "copy the sheet", false) {
        pen.hand.wishes.push(Wish::Copy);
    }
    let left = spot.room("copy the sheet").max.x + 16.0;
    let room = f64::from(rect.max.x - 8.0 - left);
    let folder = format!("in {}", desk.shelf.display());
    let end = Spot::new(rect.max.x - 8.0, y, Role::Note, Ink::Second).end();
    pen.write(end, &end_of(&folder, Role::Note, room));
}

/// As much of the end of some words as fits.
pub fn end_of(words: &str, role: Role, width: f64) -> String {
    if role.width(words) <= width {
        return words.into();
    }
    let mut starts = words.char_indices().map(|(at, _)| at);
    let fits = |at: &usize| role.width(&format!("\u{2026}{}", &words[*at..])) <= width;
    starts.find(fits).map_or(String::new(), |at| format!("\u{2026}{}", &words[at..]))
}
