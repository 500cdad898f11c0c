//! The captures of the folder over the sheet: some are chosen, and read in place of what is heard.

use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::input::ring;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::controls::rows::{first_row, turn_by_arrows};
use crate::editor::model::action::Action;
use crate::editor::model::bench::name;
use crate::editor::model::state::{FrameInput, Open, WindowState};
use crate::plot::{Ink, Role};
use egui::{Rect, Sense, WidgetInfo};

/// Height of a row, in points.
const ROW: f32 = 24.0;

/// Room under the table, in points.
const FOOT: f32 = 30.0;

/// Said where there is nothing to choose.
const NONE: &str = "No WAV or FLAC file but the track lies in the folder:";

/// Shows them in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let count = state.captures.files.len();
    let rows = (((rect.height() - FOOT - 8.0) / ROW) as usize).clamp(1, count.max(1));
    let known: Vec<_> =
        state.captures.files.iter().map(|path| format!("capture {}", name(path))).collect();
    let first = first_row(pen, rect, state.captures.first_row, rows, &known);
    state.captures.first_row = first;
    for (row, at) in (first..count.min(first + rows)).enumerate() {
        let y = rect.min.y + 8.0 + ROW * row as f32;
        entry(pen, Rect::from_x_y_ranges(rect.x_range(), y..=y + ROW), state, &known, at);
    }
    let y = rect.max.y - 10.0;
    let note = Spot::new(rect.min.x + 10.0, y, Role::Note, Ink::Second);
    let folder = state.folder.display();
    let words = match (count, rows < count) {
        (0, _) => format!("{NONE} {folder}"),
        (_, true) => format!("{} to {} of {count} in {folder}", first + 1, count.min(first + rows)),
        _ => format!("in {folder}"),
    };
    pen.write(note, &fitting(&words, Role::Note, f64::from(rect.width() - 240.0)));
    read(pen, rect, y, state, shown);
}

/// The word that reads what is chosen.
fn read(pen: &mut Pen, rect: Rect, y: f32, state: &mut WindowState, shown: &FrameInput) {
    let chosen = state.captures.chosen.len();
    let end = Spot::new(rect.max.x - 10.0, y, Role::Value, Ink::Text).end();
    let words = match (shown.bench.progress, chosen) {
        (Some(share), _) => format!("reading, {:.0} %", 100.0 * share),
        (None, 0) => "choose one or more".into(),
        (None, 1) => "read 1 capture".into(),
        (None, many) => format!("read {many} captures"),
    };
    if chosen == 0 || shown.bench.progress.is_some() {
        pen.write(Spot { ink: Ink::Second, ..end }, &words);
    } else if pen.word(end, &words, "read the captures", false) {
        pen.gestures.actions.push(Action::ReadCaptures);
        state.open = Open::Nothing;
    }
}

/// One file, chosen or not.
fn entry(pen: &mut Pen, row: Rect, state: &mut WindowState, known: &[String], at: usize) {
    let place = state.captures.chosen.iter().position(|chosen| *chosen == at);
    let response = pen.touch(row, &known[at], Sense::click());
    let role = egui::Role::CheckBox;
    response.widget_info(|| WidgetInfo::selected(role, true, place.is_some(), &known[at]));
    if response.hovered() {
        pen.painter().rect_filled(row, 0.0, pen.theme.colour(Ink::GivenWash));
    }
    let y = row.max.y - 8.0;
    if let Some(place) = place {
        let number = (place + 1).to_string();
        pen.write(Spot::new(row.min.x + 10.0, y, Role::Strong, Ink::Text), &number);
    }
    let file = state.captures.files[at].file_name().unwrap_or_default().to_string_lossy();
    let role = if place.is_some() { Role::Value } else { Role::Choice };
    let words = fitting(&file, role, f64::from(row.width() - 50.0));
    pen.write(Spot::new(row.min.x + 34.0, y, role, Ink::Text), &words);
    ring(pen.ui, &response, row.shrink(4.0), &pen.theme);
    if response.clicked() {
        state.captures.turn(at);
    }
    turn_by_arrows(pen, &response, known, at);
}
