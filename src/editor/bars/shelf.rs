//! The tray of what is laid beside the measurement: what is asked for, and the kept curves.

use crate::curve::Curve;
use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::controls::text_field;
use crate::editor::files::curve_file;
use crate::editor::model::shelf::edge;
use crate::editor::model::state::{FrameInput, WindowState};
use crate::editor::model::target::Asked;
use crate::plot::low_end::Beside;
use crate::plot::{Ink, Role};
use egui::{Rect, vec2};

/// Room for the name of a curve, in points.
const NAME: f64 = 78.0;

/// Said while nothing is kept.
const HINT: &str = "Keep what comes out now, change something, and see both; \
                    or load a table of the folder by its name.";

/// Shows the tray in `rect`, in two rows.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let (left, half) = (rect.min.x + 8.0, 0.5 * rect.height());
    let x = choose_target(pen, left, rect.min.y + 0.5 * half + 4.0, state);
    keep(pen, x + 18.0, rect.min.y + 0.5 * half + 4.0, state, shown);
    let y = rect.min.y + 1.5 * half + 3.0;
    match state.shelf.traces.is_empty() {
        true => {
            let words = fitting(HINT, Role::Note, f64::from(rect.width() - 16.0));
            pen.write(Spot::new(left, y, Role::Note, Ink::Second), &words);
        }
        false => traces(pen, left, y, state),
    }
}

/// What is asked for; returns where the words end.
fn choose_target(pen: &mut Pen, left: f32, y: f32, state: &mut WindowState) -> f32 {
    let mut x = pen.write(Spot::new(left, y, Role::Note, Ink::Second), "target").max.x + 10.0;
    for (asked, words) in Asked::ALL {
        let chosen = state.target.asked == asked;
        let spot = Spot::new(x, y, Role::Choice, if chosen { Ink::Text } else { Ink::Second });
        if pen.word(spot, words, &format!("target {words}"), chosen) {
            state.target.asked = asked;
            state.beside += 1;
        }
        x = spot.room(words).max.x + 11.0;
    }
    x
}

/// The name of the next curve, and the word that keeps it.
fn keep(pen: &mut Pen, left: f32, y: f32, state: &mut WindowState, shown: &FrameInput) {
    let left = pen.write(Spot::new(left, y, Role::Note, Ink::Second), "curve").max.x + 8.0;
    let place = Rect::from_min_size(egui::pos2(left, y - 14.0), vec2(110.0, 20.0));
    let entered = text_field::show(pen, place, "name of the curve", &mut state.naming);
    let spot = Spot::new(place.max.x + 10.0, y, Role::Choice, Ink::Text);
    let load = Spot::new(spot.room("keep").max.x + 12.0, y, Role::Choice, Ink::Text);
    if pen.word(spot, "keep", "keep the curve", false) || entered {
        let settings = shown.sheet.settings.unwrap_or(shown.settings);
        let up_db = Beside::default().with(Some(&settings)).drawn_up_db();
        let run = shown.run().filter(|run| !run.is_tone());
        let curve = run.map(|run| edge(&run.readings, up_db)).unwrap_or_default();
        put(state, Ok(curve));
    }
    if pen.word(load, "load", "load a curve", false) {
        let curve = curve_file::read(&state.folder, &state.naming);
        put(state, curve);
    }
}

/// Puts a curve on the shelf under the name that was typed, or says why not.
fn put(state: &mut WindowState, curve: Result<Curve, String>) {
    match curve.and_then(|curve| state.shelf.keep(&state.naming, curve)) {
        Ok(()) => state.naming.clear(),
        Err(why) => state.message = Some(why),
    }
    state.beside += 1;
}

/// The kept curves: shown or not, as the one that differences are taken from, let go.
fn traces(pen: &mut Pen, left: f32, y: f32, state: &mut WindowState) {
    let mut x = left;
    let mut gone = None;
    for at in 0..state.shelf.traces.len() {
        let trace = &mut state.shelf.traces[at];
        let name = trace.name.clone();
        let words = fitting(&name, Role::Choice, NAME);
        let ink = |is_on| if is_on { Ink::Text } else { Ink::Second };
        let spot = Spot::new(x, y, Role::Choice, ink(trace.is_shown));
        if pen.word(spot, &words, &format!("show {name}"), trace.is_shown) {
            trace.is_shown = !trace.is_shown;
            state.beside += 1;
        }
        x = spot.room(&words).max.x + 9.0;
        let is_from = state.shelf.from == Some(at);
        let spot = Spot::new(x, y, Role::Note, ink(is_from));
        if pen.word(spot, "minus", &format!("difference from {name}"), is_from) {
            state.shelf.from = (!is_from).then_some(at);
            state.beside += 1;
        }
        x = spot.room("minus").max.x + 9.0;
        let spot = Spot::new(x, y, Role::Note, Ink::Second);
        if pen.word(spot, "let go", &format!("let go of {name}"), false) {
            gone = Some(at);
        }
        x = spot.room("let go").max.x + 18.0;
    }
    if let Some(at) = gone {
        state.shelf.let_go(at);
        state.beside += 1;
    }
}
