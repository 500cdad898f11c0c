//! Keeps what is shown: as a file in the person's folder, or in the clipboard.

use super::desk::{Desk, Shown};
use super::export::{self, Form};
use super::shelf;
use super::wish::Wish;

/// Keeps or copies what is shown; says what came of it.
pub(super) fn keep(wish: Wish, desk: &Desk, shown: &Shown, ctx: &egui::Context) -> Option<String> {
    match wish {
        Wish::Copy => {
            ctx.copy_text(export::words(shown));
            Some("The sheet is copied.".into())
        }
        Wish::Keep(form) => Some(keep_as(form, desk, shown).unwrap_or_else(|why| why)),
        _ => None,
    }
}

fn keep_as(form: Form, desk: &Desk, shown: &Shown) -> Result<String, String> {
    let bytes = export::make(form, desk, shown)?;
    let file = shelf::keep(&desk.shelf, &export::stem(form, desk.view), form.ending(), &bytes)?;
    Ok(format!("Kept: {}", file.display()))
}
