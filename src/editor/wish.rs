//! What a hand in the window asks for. Drawing returns wishes; only the
//! framework's side fulfils them.

use super::export::Form;
use super::rolling::Span;
use crate::link::measuring::Test;
use crate::plot::Palette;

/// One thing asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wish {
    /// A hand takes the setting with this place in [`crate::settings::ALL`].
    Take(usize),
    /// It moves to this plain value.
    Put(usize, f32),
    /// The hand leaves it.
    Leave(usize),
    /// Clear the clip latch.
    ClearClip,
    /// Close the notice.
    CloseNotice,
    /// Show these colours.
    Show(Palette),
    /// Zoom, 1 for a hundred percent.
    Zoom(f32),
    /// Start measuring afresh.
    Restart,
    /// Average over this time, afresh.
    Average(Span),
    /// Allow test signals up to full scale.
    Unlock,
    /// Start this test signal at this level in dBFS.
    Start(Test, f64),
    /// Stop it.
    Silence,
    /// Keep what is shown as a file of this form.
    Keep(Form),
    /// Copy the sheet as text.
    Copy,
    /// Read the presets that there are.
    Browse,
    /// Save what is set under the name on the desk.
    SavePreset,
    /// Hear A and B on the same sound and make them equally loud.
    Match,
}

impl Wish {
    /// One move in one gesture.
    pub fn once(index: usize, plain: f32) -> [Wish; 3] {
        [Wish::Take(index), Wish::Put(index, plain), Wish::Leave(index)]
    }
}
