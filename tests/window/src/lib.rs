//! What the window's tests share: invented readings, a harness, a painter without a screen.

mod plan;
mod readings;
mod stage;
mod words;

pub use plan::plan;
pub use readings::{absurd, clipped, level_pink, nothing, now, pink, silence, tone, tone_with};
pub use stage::{STEP_S, Soft, Stage, picture, press, stage};
pub use words::{Words, overlaps, words, words_at};
