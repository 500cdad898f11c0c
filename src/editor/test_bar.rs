//! Measuring mode by hand: choose, set the level, hold to start, one click for silence.
//!
//! Nothing here starts by itself: "start" must be held for a second, and Esc
//! is silence from anywhere in the window.

use super::look::{Look, medium, strong};
use super::wish::Wish;
use super::words;
use crate::link::measuring::{MOST_DBFS, Test};
use crate::plot::Ink;
use egui::{Align2, Id, Key, Pos2, Rect, Role, Sense, Ui, WidgetInfo, vec2};

/// Height of the bar.
pub const HEIGHT: f32 = 30.0;

/// How long "start" must be held, in seconds.
const HOLD_S: f32 = 1.0;

/// What is chosen, and what sounds.
#[derive(Clone, Copy, Debug)]
pub struct Measuring {
    /// The signal chosen.
    pub test: Test,
    /// Its level, dBFS.
    pub level_dbfs: f64,
    /// Seconds until it ends; `None` while nothing sounds.
    pub left_s: Option<f32>,
    /// Whether levels above [`MOST_DBFS`] are allowed.
    pub unlocked: bool,
}

impl Default for Measuring {
    fn default() -> Self {
        Self { test: Test::Tone(40.0), level_dbfs: -20.0, left_s: None, unlocked: false }
    }
}

impl Measuring {
    /// Level one step of 1 dB up or down, within what is allowed.
    pub fn stepped(&self, by_db: f64) -> f64 {
        let most = if self.unlocked { 0.0 } else { MOST_DBFS };
        (self.level_dbfs + by_db).clamp(-60.0, most)
    }
}

/// The signals to choose from.
const TESTS: [(&str, Test); 6] = [
    ("tone 30 Hz", Test::Tone(30.0)),
    ("tone 40 Hz", Test::Tone(40.0)),
    ("tone 60 Hz", Test::Tone(60.0)),
    ("pink noise", Test::Pink),
    ("sweep", Test::Sweep),
    ("kick", Test::Kick),
];

/// Shows the bar in `rect`.
pub fn show(ui: &mut Ui, rect: Rect, now: &Measuring, look: &Look, wishes: &mut Vec<Wish>) {
    if ui.input(|input| input.key_pressed(Key::Escape)) && now.left_s.is_some() {
        wishes.push(Wish::Silence);
    }
    match now.left_s {
        Some(left_s) => sounding(ui, rect, now, left_s, look, wishes),
        None => choosing(ui, rect, now, look, wishes),
    }
}

/// While a signal sounds: what, how loud, how long yet, and the way to silence.
fn sounding(
    ui: &mut Ui,
    rect: Rect,
    now: &Measuring,
    left_s: f32,
    look: &Look,
    wishes: &mut Vec<Wish>,
) {
    ui.painter().rect_filled(rect, 0.0, look.colour(Ink::Text));
    let name = TESTS.iter().find(|(_, test)| *test == now.test).map_or("", |(name, _)| name);
    let words = format!(
        "{name} at {} dBFS sounds in place of the input, {left_s:.0} s left",
        signed(now.level_dbfs)
    );
    let place = Pos2::new(rect.min.x + 10.0, rect.center().y);
    ui.painter().text(place, Align2::LEFT_CENTER, words, strong(13.5), look.colour(Ink::Sheet));
    let button = Rect::from_min_max(Pos2::new(rect.max.x - 90.0, rect.min.y), rect.max);
    let response = ui.interact(button, ui.scope_id().with("silence"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, "silence"));
    ui.painter().rect_filled(button.shrink(4.0), 0.0, look.colour(Ink::Sheet));
    let ink = look.colour(Ink::Text);
    ui.painter().text(button.center(), Align2::CENTER_CENTER, "silence", strong(13.5), ink);
    if response.clicked() {
        wishes.push(Wish::Silence);
    }
}

/// While nothing sounds: the choice.
fn choosing(ui: &mut Ui, rect: Rect, now: &Measuring, look: &Look, wishes: &mut Vec<Wish>) {
    let second = look.colour(Ink::Second);
    let middle = Pos2::new(rect.min.x, rect.center().y);
    let words = ui.painter().text(middle, Align2::LEFT_CENTER, "test signal", medium(12.0), second);
    let mut x = words.max.x + 12.0;
    for (name, test) in TESTS {
        let place = Pos2::new(x, rect.min.y + 5.0);
        let (clicked, width) = words::word(ui, place, name, name, now.test == test, look);
        if clicked {
            wishes.push(Wish::Choose(test));
        }
        x += width + 10.0;
    }
    x += 8.0;
    for (name, by_db) in [("softer", -1.0), ("louder", 1.0)] {
        let place = Pos2::new(x, rect.min.y + 5.0);
        let (clicked, width) = words::word(ui, place, name, name, false, look);
        if clicked {
            wishes.push(Wish::Level(now.stepped(by_db)));
        }
        x += width + 10.0;
    }
    let level = format!("{} dBFS", signed(now.level_dbfs));
    let at = Pos2::new(x, rect.center().y);
    let ink = look.colour(Ink::Text);
    let level = ui.painter().text(at, Align2::LEFT_CENTER, level, strong(13.5), ink);
    if !now.unlocked {
        let place = Pos2::new(level.max.x + 10.0, rect.min.y + 5.0);
        let (clicked, _) = words::word(ui, place, "unlock", "unlock levels", false, look);
        if clicked {
            wishes.push(Wish::Unlock);
        }
    }
    hold(ui, rect, look, wishes);
}

/// "hold to start": fills while it is held, starts when it is full.
fn hold(ui: &mut Ui, rect: Rect, look: &Look, wishes: &mut Vec<Wish>) {
    let button = Rect::from_min_size(Pos2::new(rect.max.x - 96.0, rect.min.y), vec2(96.0, 26.0));
    let id = ui.scope_id().with("hold to start");
    let response = ui.interact(button, id, Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, "hold to start"));
    let by_key = response.has_focus() && ui.input(|input| input.key_down(Key::Enter));
    let held = held_s(ui, id, response.is_pointer_button_down_on() || by_key);
    let mut filled = button;
    filled.set_width(button.width() * (held / HOLD_S).min(1.0));
    ui.painter().rect_filled(filled, 0.0, look.colour(Ink::GivenWash));
    let ink = look.colour(Ink::Text);
    let line = egui::Stroke::new(1.0, ink);
    ui.painter().rect_stroke(button, 0.0, line, egui::StrokeKind::Inside);
    let centre = button.center();
    ui.painter().text(centre, Align2::CENTER_CENTER, "hold to start", strong(12.0), ink);
    if held >= HOLD_S {
        ui.data_mut(|data| data.insert_temp(id, f32::NEG_INFINITY));
        wishes.push(Wish::Start);
    }
}

/// For how long it has been held, in seconds.
fn held_s(ui: &Ui, id: Id, down: bool) -> f32 {
    let before = ui.data(|data| data.get_temp::<f32>(id)).unwrap_or(0.0);
    let held = if down { before + ui.input(|input| input.stable_dt) } else { 0.0 };
    ui.data_mut(|data| data.insert_temp(id, held));
    held
}

/// A level with its sign.
fn signed(dbfs: f64) -> String {
    format!("{dbfs:.0}").replace('-', "\u{2212}")
}
