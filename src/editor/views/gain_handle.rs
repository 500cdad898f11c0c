//! The gain of the low band as a standing dimension in the sheet: drag its head up and down.

use crate::editor::controls::input::{dragged, keyed, ring};
use crate::editor::controls::number::describe;
use crate::editor::controls::pen::{LEAST, Pen, Spot};
use crate::editor::model::dial::{self, Move};
use crate::figures::difference;
use crate::plot::axis::Frame;
use crate::plot::{Ink, Role};
use crate::settings::Id;
use egui::{CursorIcon, Pos2, Rect, Sense, StrokeKind, vec2};

/// Its name.
pub const NAME: &str = "low band gain, grip";

/// Shows the dimension at the low band's centre, standing on `base_db`.
pub fn dimension(pen: &mut Pen, frame: &Frame, origin: Pos2, base_db: f64) {
    let settings = pen.settings();
    let gain = settings.low_band_gain_db;
    let held = |db: f64| {
        let (x, y) = frame.held(settings.low_band_centre_hz.into(), db);
        origin + vec2(x as f32, y as f32)
    };
    let (foot, head) = (held(base_db), held(base_db + f64::from(gain)));
    let id = Id::low_band_gain_db;
    let name = NAME;
    let room = Rect::from_center_size(head, LEAST);
    let response = pen.touch(room, name, Sense::click_and_drag());
    describe(&response, name, gain, &id.setting().show(gain));
    let ink = if gain == 0.0 { Ink::Second } else { Ink::Low };
    let (colour, sheet) = (pen.theme.colour(ink), pen.theme.colour(Ink::Sheet));
    let painter = pen.painter();
    painter.line_segment([foot, head], (1.2, colour));
    let slash = vec2(3.5, -3.5);
    painter.line_segment([foot - slash, foot + slash], (1.6, colour));
    let square = Rect::from_center_size(head, vec2(8.4, 8.4));
    let lit = response.hovered() || response.dragged();
    painter.rect_filled(square, 0.0, if lit { colour } else { sheet });
    painter.rect_stroke(square, 0.0, (1.5, colour), StrokeKind::Inside);
    if lit {
        pen.ui.ctx().set_cursor_icon(CursorIcon::ResizeVertical);
        let words = format!("{} dB", difference(gain.into()));
        let mut spot = Spot::new(head.x, head.y - 9.0, Role::Label, ink).middle();
        if spot.room(&words).min.y < origin.y + frame.rect.y as f32 {
            spot.at.y = head.y + 20.0;
        }
        pen.painter().rect_filled(spot.room(&words).expand(2.0), 0.0, sheet);
        pen.write(spot, &words);
    }
    ring(pen.ui, &response, square.expand(1.0), &pen.theme);
    if response.double_clicked() {
        pen.gestures.set(id, id.setting().default());
        return;
    }
    let per_point = (frame.db.top_db - frame.db.bottom_db) / frame.rect.height;
    let travel = vec2(0.0, -per_point as f32);
    let put =
        dragged(pen.ui, &response, gain, travel).map(|gain| Move::Drag(dial::round(id, gain)));
    let step = keyed(pen.ui, &response, &id, gain).map(Move::Step);
    pen.gestures.follow(id, put.or(step));
}
