//! A fault in the drawing stays in the window: it must never end the host that plays the music.

use egui::{Align2, FontId, Ui};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// What stands in the window's place when it could not be drawn.
pub const WORDS: &str = "This could not be drawn; the sound goes on. Choose another view or size.";

/// Draws, or says in words that it could not; `None` then. The next frame tries again.
pub fn guarded<T>(ui: &mut Ui, draw: impl FnOnce(&mut Ui) -> T) -> Option<T> {
    let page = ui.ctx().content_rect();
    // What a broken frame leaves behind is plain memory of the window, drawn anew each time.
    let drawn = catch_unwind(AssertUnwindSafe(|| draw(ui)));
    if drawn.is_err() {
        let visuals = ui.visuals();
        let (ground, ink) = (visuals.panel_fill, visuals.text_color());
        ui.painter().rect_filled(page, 0.0, ground);
        ui.painter().text(page.center(), Align2::CENTER_CENTER, WORDS, FontId::default(), ink);
    }
    drawn.ok()
}
