//! Presets over the sheet: a table to choose from, a name to save under, and what was changed
//! since one was loaded.

use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::input::ring;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::controls::rows::{first_row, focused, turn_by_arrows};
use crate::editor::controls::text_field;
use crate::editor::model::action::Action;
use crate::editor::model::comparison::moves;
use crate::editor::model::state::{FrameInput, WindowState};
use crate::figures::true_minus;
use crate::plot::{Ink, Role};
use crate::presets::Preset;
use crate::settings::{ALL, Settings};
use egui::{Key, Rect, Response, Sense, WidgetInfo, pos2, vec2};

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
    let names: Vec<_> =
        state.library.entries.iter().map(|e| format!("preset {}", e.preset.name)).collect();
    let stop = tab_stop(pen, state, &names);
    let first = first_row(pen, rect, state.first_row, rows, &names);
    state.first_row = first;
    for (row, at) in (first..count.min(first + rows)).enumerate() {
        let y = rect.min.y + 8.0 + ROW * row as f32;
        let row = Rect::from_x_y_ranges(rect.x_range(), y..=y + ROW);
        let response = touch(pen, row, &names[at], at == stop);
        entry(pen, row, state, shown, (at, &response));
        turn_by_arrows(pen, &response, &names, at);
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
fn tab_stop(pen: &Pen, state: &WindowState, names: &[String]) -> usize {
    let loaded = state.loaded.as_ref().map(|loaded| format!("preset {}", loaded.name));
    let loaded = loaded.and_then(|loaded| names.iter().position(|name| *name == loaded));
    focused(pen, names).or(loaded).unwrap_or(0)
}

/// A row that can be clicked. Only while Tab is pressed it is not come to: the arrows and what reads
/// the window aloud go to every row.
fn touch(pen: &mut Pen, row: Rect, name: &str, is_stop: bool) -> Response {
    let is_passed = !is_stop && pen.ui.input(|input| input.key_pressed(Key::Tab));
    pen.touch(row, name, if is_passed { Sense::CLICK } else { Sense::click() })
}

/// One preset: its name, when to use it, how it differs from what is set.
fn entry(
    pen: &mut Pen,
    row: Rect,
    state: &mut WindowState,
    shown: &FrameInput,
    (at, response): (usize, &Response),
) {
    let entry = &state.library.entries[at];
    let known = format!("preset {}", entry.preset.name);
    let is_loaded = state.loaded.as_ref().is_some_and(|loaded| loaded.name == entry.preset.name);
    let role = egui::Role::ListItem;
    response.widget_info(|| WidgetInfo::selected(role, true, is_loaded, &known));
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
    ring(pen.ui, response, row.shrink(4.0), &pen.theme);
    let preset = entry.preset.clone();
    if response.clicked() {
        load(pen, state, shown, preset);
    }
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
