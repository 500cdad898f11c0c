//! A and B without their names: two figures to listen at, and nothing that tells them apart.

use crate::editor::controls::commands::turn;
use crate::editor::controls::input::ring;
use crate::editor::controls::pen::{Pen, Spot, slab};
use crate::editor::model::state::{FrameInput, WindowState};
use crate::plot::{Ink, Role};
use egui::{Rect, Sense, WidgetInfo, vec2};

/// Shows both in `rect`, which takes the place of everything that could tell.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let centre = rect.center();
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
            slab(
                pen.painter(),
                room.shrink2(vec2(8.0, 0.0)).x_range(),
                room.max.y - 4.0,
                &pen.theme,
            );
        }
        ring(pen.ui, &response, room, &pen.theme);
        if response.clicked() && !chosen {
            turn(pen, state, shown);
        }
    }
    let spot = Spot::new(centre.x, centre.y + 64.0, Role::Choice, Ink::Text).middle();
    if pen.word(spot, "say which is which", "say which is which", false) {
        let words = format!(
            "1 was {}, 2 was {}.",
            state.comparison.letter(false),
            state.comparison.letter(true)
        );
        state.comparison.reveal();
        state.message = Some(words);
    }
}
