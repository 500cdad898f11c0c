//! A and B without their names: two figures to listen at, and nothing that tells them apart.

use super::desk::{Desk, Shown};
use super::hand::ring;
use super::pen::{Pen, Spot, slab};
use crate::plot::{Ink, Role};
use egui::{Rect, Sense, WidgetInfo, vec2};

/// Shows both in `rect`, which takes the place of everything that could tell.
pub fn show(pen: &mut Pen, rect: Rect, desk: &mut Desk, shown: &Shown) {
    pen.painter().rect_filled(rect, 0.0, pen.look.colour(Ink::Sheet));
    let centre = rect.center();
    for (is_second, word, x) in [(false, "1", -60.0), (true, "2", 60.0)] {
        let chosen = desk.pair.is_second() == is_second;
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
                &pen.look,
            );
        }
        ring(pen.ui, &response, room, &pen.look);
        if response.clicked() && !chosen {
            turn(pen, desk, shown);
        }
    }
    let spot = Spot::new(centre.x, centre.y + 64.0, Role::Choice, Ink::Text).middle();
    if pen.word(spot, "say which is which", "say which is which", false) {
        let words = format!("1 was {}, 2 was {}.", desk.pair.letter(false), desk.pair.letter(true));
        desk.pair.reveal();
        desk.told = Some(words);
    }
}

/// Turns to the other of the pair, by the host's gestures.
pub fn turn(pen: &mut Pen, desk: &mut Desk, shown: &Shown) {
    for (which, plain) in desk.pair.turn(shown.settings) {
        pen.hand.set(which, plain);
    }
}
