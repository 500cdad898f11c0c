//! Presets over the sheet: a table to choose from, a name to save under, and what was changed
//! since one was loaded.

use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::input::{keep_arrows, ring};
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::controls::text_field;
use crate::editor::model::action::Action;
use crate::editor::model::comparison::moves;
use crate::editor::model::state::{FrameInput, WindowState};
use crate::figures::true_minus;
use crate::plot::{Ink, Role};
use crate::presets::Preset;
use crate::settings::{ALL, Settings};
use egui::{Key, Rect, Sense, WidgetInfo, pos2, vec2};

/// Height of a row, in points.
const ROW: f32 = 24.0;

/// Room under the table: what was changed, and the name to save under.
const FOOT: f32 = 56.0;

/// Where the columns begin, in points.
const WHEN: f32 = 190.0;

/// Shows the presets in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let count = state.library.entries.len();
    let rows = (((rect.height() - FOOT - 8.0) / ROW) as usize).clamp(1, count.max(1));
    let stop = tab_stop(pen, state);
    let first = first_row(pen, rect, state, rows);
    for (row, at) in (first..count.min(first + rows)).enumerate() {
        let y = rect.min.y + 8.0 + ROW * row as f32;
        entry(pen, Rect::from_x_y_ranges(rect.x_range(), y..=y + ROW), state, shown, (at, stop));
    }
    let y = rect.max.y - FOOT + 10.0;
    if rows < count {
        let words = format!("{} to {} of {count}", first + 1, count.min(first + rows));
        pen.write(Spot::new(rect.max.x - 10.0, y + 4.0, Role::Note, Ink::Second).end(), &words);
    }
    pen.painter().hline(rect.x_range(), y - 14.0, pen.theme.rule());
    let room = f64::from(rect.width() - 130.0);
    let words = fitting(&changes(state, &shown.settings), Role::Note, room);
    pen.write(Spot::new(rect.min.x + 10.0, y + 4.0, Role::Note, Ink::Second), &words);
    save(pen, rect, state);
}

/// The row that Tab comes to, as the others are reached by the arrows: the one that has the focus,
/// else the one that was loaded, else the first.
fn tab_stop(pen: &Pen, state: &WindowState) -> usize {
    let focus = pen.ui.memory(|memory| memory.focused());
    let entries = &state.library.entries;
    let focused = (0..entries.len()).find(|at| focus == Some(Pen::id(&row_name(state, *at))));
    let loaded = state.loaded.as_ref();
    let loaded = loaded.and_then(|l| entries.iter().position(|e| e.preset.name == l.name));
    focused.or(loaded).unwrap_or(0)
}

/// The first row shown: the wheel moves it, and the row that has the focus is always shown.
fn first_row(pen: &Pen, rect: Rect, state: &mut WindowState, rows: usize) -> usize {
    let count = state.library.entries.len();
    let over = pen.ui.rect_contains_pointer(rect);
    let wheel = pen.ui.input(|input| input.smooth_scroll_delta().y);
    if over && wheel != 0.0 {
        let up = wheel > 0.0;
        state.first_row = if up { state.first_row.saturating_sub(1) } else { state.first_row + 1 };
    }
    let focus = pen.ui.memory(|memory| memory.focused());
    let focused = (0..count).find(|at| focus == Some(Pen::id(&row_name(state, *at))));
    if let Some(at) = focused {
        state.first_row = state.first_row.clamp((at + 1).saturating_sub(rows), at);
    }
    state.first_row = state.first_row.min(count - rows.min(count));
    state.first_row
}

/// The name by which a row is known.
fn row_name(state: &WindowState, at: usize) -> String {
    state
        .library
        .entries
        .get(at)
        .map_or(String::new(), |entry| format!("preset {}", entry.preset.name))
}

/// One preset: its name, when to use it, how it differs from what is set.
fn entry(
    pen: &mut Pen,
    row: Rect,
    state: &mut WindowState,
    shown: &FrameInput,
    (at, stop): (usize, usize),
) {
    let name = row_name(state, at);
    let entry = &state.library.entries[at];
    // Only while Tab is pressed: the arrows and what reads the window aloud go to every row.
    let is_passed = at != stop && pen.ui.input(|input| input.key_pressed(Key::Tab));
    let sense = if is_passed { Sense::CLICK } else { Sense::click() };
    let response = pen.touch(row, &name, sense);
    let is_loaded = state.loaded.as_ref().is_some_and(|loaded| loaded.name == entry.preset.name);
    let role = egui::Role::ListItem;
    response.widget_info(|| WidgetInfo::selected(role, true, is_loaded, &name));
    if response.hovered() {
        pen.painter().rect_filled(row, 0.0, pen.theme.colour(Ink::GivenWash));
    }
    let y = row.max.y - 8.0;
    let (role, ink) = if is_loaded { (Role::Value, Ink::Text) } else { (Role::Choice, Ink::Text) };
    let words = fitting(&entry.preset.name, role, f64::from(WHEN - 20.0));
    pen.write(Spot::new(row.min.x + 10.0, y, role, ink), &words);
    let differs = moves(&shown.settings, &entry.preset.settings).count();
    let differs = match differs {
        0 => "is set".to_owned(),
        1 => "1 setting differs".to_owned(),
        count => format!("{count} settings differ"),
    };
    let end = Spot::new(row.max.x - 10.0, y, Role::Note, Ink::Second).end();
    let left = pen.write(end, &differs).min.x;
    let own = if entry.file.is_some() { "yours. " } else { "" };
    let when = format!("{own}{}", entry.preset.when);
    let room = f64::from(left - 14.0 - row.min.x - WHEN);
    let words = fitting(&when, Role::Note, room);
    pen.write(Spot::new(row.min.x + WHEN, y, Role::Note, Ink::Second), &words);
    ring(pen.ui, &response, row.shrink(4.0), &pen.theme);
    let preset = entry.preset.clone();
    if response.clicked() {
        load(pen, state, shown, preset);
    }
    turn_by_arrows(pen, &response, state, at);
}

/// Up and down arrows go from row to row.
fn turn_by_arrows(pen: &mut Pen, response: &egui::Response, state: &WindowState, at: usize) {
    if !response.has_focus() {
        return;
    }
    keep_arrows(pen.ui, response.id);
    let count = state.library.entries.len();
    let pressed = |key| pen.ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, key));
    let to = match (pressed(Key::ArrowDown), pressed(Key::ArrowUp)) {
        (true, false) => (at + 1).min(count - 1),
        (false, true) => at.saturating_sub(1),
        _ => return,
    };
    pen.ui.memory_mut(|memory| memory.request_focus(Pen::id(&row_name(state, to))));
}

/// Sets a preset by the host's gestures, so that the host can take it back.
fn load(pen: &mut Pen, state: &mut WindowState, shown: &FrameInput, preset: Preset) {
    for (id, plain) in moves(&shown.settings, &preset.settings) {
        pen.gestures.set(id, plain);
    }
    let notices = preset.notices();
    state.message = (!notices.is_empty()).then(|| notices.join("; ") + ".");
    state.loaded = Some(preset);
}

/// What was changed since a preset was loaded, in words.
pub fn changes(state: &WindowState, now: &Settings) -> String {
    let Some(loaded) = &state.loaded else {
        return match state.library.faults.first() {
            Some(fault) => fault.clone(),
            None => "No preset was chosen yet.".into(),
        };
    };
    let plain = loaded.settings.to_plain();
    let words = moves(&loaded.settings, now).map(|(id, to)| {
        let setting = &ALL[id.index()];
        let [from, to] = [plain[id.index()], to].map(|plain| true_minus(&setting.show(plain)));
        format!("{} {from} is now {to}", setting.name.to_lowercase())
    });
    let words: Vec<String> = words.collect();
    match words.is_empty() {
        true => format!("As in \u{201c}{}\u{201d}.", loaded.name),
        false => format!("Changed since \u{201c}{}\u{201d}: {}.", loaded.name, words.join(", ")),
    }
}

/// The name to save under, and the word that does it.
fn save(pen: &mut Pen, rect: Rect, state: &mut WindowState) {
    let y = rect.max.y - 12.0;
    let label = Spot::new(rect.min.x + 10.0, y, Role::Note, Ink::Second);
    let left = pen.write(label, "save what is set as").max.x + 8.0;
    let place = Rect::from_min_size(pos2(left, y - 15.0), vec2(170.0, 21.0));
    let entered = text_field::show(pen, place, "name of the preset", &mut state.saving);
    let spot = Spot::new(place.max.x + 10.0, y, Role::Choice, Ink::Text);
    if pen.word(spot, "save", "save the preset", false) || entered {
        pen.gestures.actions.push(Action::SavePreset);
    }
    let left = spot.room("save").max.x + 14.0;
    let folder = crate::editor::files::preset_library::folder(&state.folder);
    let room = f64::from(rect.max.x - 10.0 - left);
    let words = crate::editor::controls::fit_text::end_of(
        &format!("in {}", folder.display()),
        Role::Note,
        room,
    );
    pen.write(Spot::new(left, y, Role::Note, Ink::Second), &words);
}
