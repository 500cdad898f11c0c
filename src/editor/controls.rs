//! What a hand holds: numbers, handles, words to click, keys and the pen they are drawn with.

pub mod commands;
pub mod fit_text;
pub mod handle;
pub mod input;
pub mod number;
pub mod pen;
pub mod row;
pub mod rows;
pub mod text_field;
