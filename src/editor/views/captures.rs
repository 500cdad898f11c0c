//! The captures of the folder over the sheet: some are chosen, and read in place of what is heard.

use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::input::{keep_arrows, ring};
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::model::action::Action;
use crate::editor::model::bench::name;
use crate::editor::model::state::{FrameInput, Open, WindowState};
use crate::plot::{Ink, Role};
use egui::{Key, Rect, Sense, WidgetInfo};

/// Height of a row, in points.
const ROW: f32 = 21.0;

/// Room under the table, in points.
const FOOT: f32 = 30.0;

/// Said where there is nothing to choose.
const NONE: &str = "No WAV or FLAC file but the track lies in the folder:";

/// Shows them in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let count = state.captures.files.len();
    let rows = (((rect.height() - FOOT - 8.0) / ROW) as usize).clamp(1, count.max(1));
    let first = first_row(pen, rect, state, rows);
    for (row, at) in (first..count.min(first + rows)).enumerate() {
        let y = rect.min.y + 8.0 + ROW * row as f32;
        entry(pen, Rect::from_x_y_ranges(rect.x_range(), y..=y + ROW), state, at);
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

fn row_name(state: &WindowState, at: usize) -> String {
    state.captures.files.get(at).map_or(String::new(), |path| format!("capture {}", name(path)))
}

/// The first row shown: the wheel moves it, and the row that has the focus is always shown.
fn first_row(pen: &Pen, rect: Rect, state: &mut WindowState, rows: usize) -> usize {
    let count = state.captures.files.len();
    let wheel = pen.ui.input(|input| input.smooth_scroll_delta().y);
    let mut first = state.captures.first_row;
    if pen.ui.rect_contains_pointer(rect) && wheel != 0.0 {
        first = if wheel > 0.0 { first.saturating_sub(1) } else { first + 1 };
    }
    let focus = pen.ui.memory(|memory| memory.focused());
    if let Some(at) = (0..count).find(|at| focus == Some(Pen::id(&row_name(state, *at)))) {
        first = first.clamp((at + 1).saturating_sub(rows), at);
    }
    state.captures.first_row = first.min(count - rows.min(count));
    state.captures.first_row
}

/// One file, chosen or not.
fn entry(pen: &mut Pen, row: Rect, state: &mut WindowState, at: usize) {
    let known = row_name(state, at);
    let place = state.captures.chosen.iter().position(|chosen| *chosen == at);
    let response = pen.touch(row, &known, Sense::click());
    let role = egui::Role::CheckBox;
    response.widget_info(|| WidgetInfo::selected(role, true, place.is_some(), &known));
    if response.hovered() {
        pen.painter().rect_filled(row, 0.0, pen.theme.colour(Ink::GivenWash));
    }
    let y = row.max.y - 6.5;
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
    turn_by_arrows(pen, &response, state, at);
}

/// Up and down arrows go from row to row.
fn turn_by_arrows(pen: &mut Pen, response: &egui::Response, state: &WindowState, at: usize) {
    if !response.has_focus() {
        return;
    }
    keep_arrows(pen.ui, response.id);
    let count = state.captures.files.len();
    let pressed = |key| pen.ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, key));
    let to = match (pressed(Key::ArrowDown), pressed(Key::ArrowUp)) {
        (true, false) => (at + 1).min(count - 1),
        (false, true) => at.saturating_sub(1),
        _ => return,
    };
    pen.ui.memory_mut(|memory| memory.request_focus(Pen::id(&row_name(state, to))));
}
