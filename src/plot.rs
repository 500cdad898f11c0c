//! Pictures as data: axes, layers, labels and marks, without a painter.
//!
//! A picture is a [`Scene`]: a list of marks in pixels, each with its cause.
//! The report walks it to SVG, the window to its own shapes, and both show the
//! same. What is drawn and where the words stand is decided here; what it is
//! drawn from was decided in `measure` and `planning`.

pub mod axis;
pub mod bore;
pub mod columns;
pub mod full_scale;
pub mod key;
pub mod label;
pub mod lane;
pub mod language;
pub mod lettering;
pub mod limits;
pub mod line;
pub mod lines;
pub mod low_end;
pub mod oscillogram;
pub mod page;
pub mod responses;
pub mod route;
pub mod scene;
pub mod stairs;
pub mod stations;
pub mod swings;
pub mod table;
pub mod timeline;
pub mod tone;
pub mod traces;
pub mod waves;

pub use language::{Cause, Colour, Fill, Ink, Palette, Stroke};
pub use scene::{Anchor, Mark, Role, Scene};
