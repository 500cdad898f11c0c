//! Keeps what is shown: as a file in the person's folder, or in the clipboard.

use crate::editor::export;
use crate::editor::files::write_new;
use crate::editor::model::action::Action;
use crate::editor::model::action::Form;
use crate::editor::model::state::{FrameInput, WindowState};

/// Keeps or copies what is shown; says what came of it.
pub(super) fn keep(
    action: Action,
    state: &WindowState,
    shown: &FrameInput,
    ctx: &egui::Context,
) -> Option<String> {
    match action {
        Action::Copy => {
            ctx.copy_text(export::words(shown));
            Some("The sheet is copied.".into())
        }
        Action::Keep(form) => Some(keep_as(form, state, shown).unwrap_or_else(|why| why)),
        Action::KeepAll => Some(export::keep_all(state, shown).unwrap_or_else(|why| why)),
        _ => None,
    }
}

fn keep_as(form: Form, state: &WindowState, shown: &FrameInput) -> Result<String, String> {
    let bytes = export::make(form, state, shown)?;
    let file =
        write_new::keep(&state.folder, &export::stem(form, state.view), form.ending(), &bytes)?;
    Ok(format!("Kept: {}", file.display()))
}
