//! Two strands on one scale: what the radio gives and what comes out.

use super::look::{Look, medium, strong};
use super::wish::Wish;
use crate::plot::{Cause, Ink};
use crate::units::gain_to_db;
use egui::{Align2, Pos2, Rect, Role, Sense, Ui, WidgetInfo};

/// Height of the strands with their scale.
pub const HEIGHT: f32 = 58.0;

/// Lowest level on the scale, dBFS.
const LOWEST_DBFS: f32 = -60.0;

/// How fast a strand falls back, dB per second.
const FALL_DB_PER_S: f32 = 12.0;

/// A level that rises at once and falls slowly.
#[derive(Clone, Copy, Debug)]
pub struct Strand {
    shown_dbfs: f32,
}

impl Default for Strand {
    fn default() -> Self {
        Self { shown_dbfs: LOWEST_DBFS }
    }
}

impl Strand {
    /// Takes the highest samples since the last call, full scale 1, `seconds` ago.
    pub fn push(&mut self, peaks: [f32; 2], seconds: f32) {
        let peak = gain_to_db(f64::from(peaks[0].max(peaks[1]))) as f32;
        self.shown_dbfs = peak.max(self.shown_dbfs - FALL_DB_PER_S * seconds).max(LOWEST_DBFS);
    }

    /// The level shown, dBFS.
    pub fn dbfs(&self) -> f32 {
        self.shown_dbfs
    }
}

/// Shows both strands in `rect`, with the clip plate when the latch counted `overs`.
pub fn show(
    ui: &mut Ui,
    rect: Rect,
    strands: [Strand; 2],
    overs: u32,
    look: &Look,
    wishes: &mut Vec<Wish>,
) {
    let (ink, second) = (look.colour(Ink::Text), look.colour(Ink::Second));
    let scale = rect.min.x + 84.0..=rect.max.x - 84.0;
    let x = |dbfs: f32| {
        let share = ((dbfs - LOWEST_DBFS) / -LOWEST_DBFS).clamp(0.0, 1.0);
        scale.start() + share * (scale.end() - scale.start())
    };
    let painter = ui.painter().clone();
    for dbfs in [-60, -48, -36, -24, -18, -12, -6, 0] {
        let at = x(dbfs as f32);
        painter.vline(at, rect.min.y..=rect.min.y + 40.0, look.rule());
        let text = if dbfs == 0 { "0 dBFS".into() } else { format!("\u{2212}{}", -dbfs) };
        let place = Pos2::new(at, rect.max.y);
        painter.text(place, Align2::CENTER_BOTTOM, text, medium(10.0), second);
    }
    let rows = [("radio gives", Cause::Given, 11.0), ("comes out", Cause::Out, 29.0)];
    for ((name, cause, down), strand) in rows.into_iter().zip(strands) {
        let y = rect.min.y + down;
        let name_at = Pos2::new(rect.min.x, y);
        painter.text(name_at, Align2::LEFT_CENTER, name, medium(12.0), second);
        painter.hline(*scale.start()..=x(strand.dbfs()), y, look.stroke(cause));
        let text = match strand.dbfs() {
            quiet if quiet <= LOWEST_DBFS => "\u{2212}\u{221e}".to_owned(),
            dbfs => format!("{dbfs:.1}").replace('-', "\u{2212}"),
        };
        let text_at = Pos2::new(rect.max.x, y);
        painter.text(text_at, Align2::RIGHT_CENTER, text, strong(13.5), ink);
    }
    if overs > 0 {
        plate(ui, Pos2::new(rect.max.x - 84.0, rect.min.y), overs, look, wishes);
    }
}

/// The plate that says how often the output left full scale; a click clears it.
fn plate(ui: &mut Ui, right_bottom: Pos2, overs: u32, look: &Look, wishes: &mut Vec<Wish>) {
    let words = format!("over full scale {overs}\u{d7}");
    let paint = look.colour(Ink::Fault);
    let galley = ui.painter().layout_no_wrap(words.clone(), strong(12.0), look.colour(Ink::Sheet));
    let size = galley.size() + egui::vec2(12.0, 4.0);
    let rect = Rect::from_min_size(right_bottom - size, size);
    let response = ui.interact(rect, ui.scope_id().with("clip"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, words.clone()));
    ui.painter().rect_filled(rect, 0.0, paint);
    ui.painter().galley(rect.min + egui::vec2(6.0, 2.0), galley, paint);
    if response.clicked() {
        wishes.push(Wish::ClearClip);
    }
}
