//! A and B without their names: two figures to listen at, nothing that tells them apart, and
//! trials that are counted.

use crate::editor::controls::commands::turn;
use crate::editor::controls::input::ring;
use crate::editor::controls::pen::{Pen, Spot, slab};
use crate::editor::model::state::{FrameInput, WindowState};
use crate::plot::{Ink, Role};
use egui::{Pos2, Rect, Sense, WidgetInfo, vec2};

/// Shows both in `rect`, which takes the place of everything that could tell.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let centre = rect.center() - vec2(0.0, 40.0);
    listen(pen, centre, state, shown);
    if state.comparison.differs(&shown.settings) {
        answer(pen, centre + vec2(0.0, 74.0), state, shown);
    }
    let spot = Spot::new(centre.x, centre.y + 148.0, Role::Choice, Ink::Text).middle();
    if pen.word(spot, "say which is which", "say which is which", false) {
        let count = state.trials.words().unwrap_or_default();
        let [one, two] = [false, true].map(|second| state.comparison.letter(second));
        state.message = Some(format!("1 was {one}, 2 was {two}. {count}").trim_end().to_owned());
        state.comparison.reveal();
        state.trials = Default::default();
    }
}

/// 1 and 2: the one that is heard stands on a slab.
fn listen(pen: &mut Pen, centre: Pos2, state: &mut WindowState, shown: &FrameInput) {
    for (is_second, word, x) in [(false, "1", -60.0), (true, "2", 60.0)] {
        let chosen = state.comparison.is_second() == is_second;
        let ink = if chosen { Ink::Text } else { Ink::Second };
        let spot = Spot::new(centre.x + x, centre.y, Role::Figure, ink).middle();
        let room = spot.room(word).expand2(vec2(24.0, 16.0));
        let name = format!("listen to {word}");
        let response = pen.touch(room, &name, Sense::click());
        let role = egui::Role::RadioButton;
        response.widget_info(|| WidgetInfo::selected(role, true, chosen, &name));
        pen.write(spot, word);
        if chosen {
            let x = room.shrink2(vec2(8.0, 0.0)).x_range();
            slab(pen.painter(), x, room.max.y - 4.0, &pen.theme);
        }
        ring(pen.ui, &response, room, &pen.theme);
        if response.clicked() && !chosen {
            turn(pen, state, shown);
        }
    }
}

/// The question, its two answers and how many were given. Whether they were right is told at the
/// end: a hint in between would give the next answer away.
fn answer(pen: &mut Pen, centre: Pos2, state: &mut WindowState, shown: &FrameInput) {
    let trial = format!("trial {}: which of them is B?", state.trials.all + 1);
    pen.write(Spot::new(centre.x, centre.y, Role::Label, Ink::Second).middle(), &trial);
    for (is_second, words, x) in [(false, "1 is B", -60.0), (true, "2 is B", 60.0)] {
        let spot = Spot::new(centre.x + x, centre.y + 30.0, Role::Value, Ink::Text).middle();
        if pen.word(spot, words, words, false) {
            state.trials.answer(state.comparison.letter(is_second) == "B");
            // Names and what is heard are both tossed anew: without the second coin one answer
            // would follow from the one before.
            if state.comparison.toss() {
                turn(pen, state, shown);
            }
        }
    }
}
