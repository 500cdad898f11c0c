//! The pictures: one file a view.

pub mod axis_handles;
pub mod bands;
pub mod blind;
pub mod cursor;
pub mod gain_handle;
pub mod partials;
pub mod plan;
pub mod presets;
pub mod scope;
pub mod spectrum;
