//! What a person keeps: one sheet, written as text, as JSON or as one HTML file.
//!
//! A [`Sheet`] holds what is known; a section that has no data is left out.
//! Nothing here reads a clock, so the same sheet always gives the same bytes.

mod car;
mod closed_box;
mod comparing;
pub mod conditions;
pub mod csv;
mod device;
mod diagnosis;
mod figure;
mod finding;
mod found;
mod gains;
mod glossary;
mod hand_over;
mod hardware;
mod html;
#[cfg(feature = "files")]
mod json;
mod known;
mod needed;
mod picture;
mod plan;
mod proof;
mod sentence;
mod sheet;
mod steps;
mod svg;
mod text;
mod tuning;
mod wording;

pub use car::car;
pub use closed_box::{BoxTold, closed_box};
pub use device::{device, positions};
pub use diagnosis::diagnosis;
pub use figure::{Figure, Figures};
pub use finding::{beyond_full_scale, finding};
pub use found::Found;
pub use gains::{GainsTold, gains};
pub use glossary::GLOSSARY;
pub use hand_over::{Job, hand_over};
pub use hardware::hardware;
pub use html::{TrackSheet, body, html, look, pictures, textures, track_sheet, underlined};
#[cfg(feature = "files")]
pub use json::json;
pub use picture::Picture;
pub use plan::{Plan, Proposed};
pub use proof::{Limit, Proof};
pub use sentence::{Said, Sentence};
use sheet::QUIET_DB;

pub use sheet::{CAUTIONS, Input, Provenance, Run, Sheet, Sound, Table, UNKNOWN};
pub use svg::{colours, inline, svg};
pub use text::text;
pub use tuning::{each_channel, risks, tuning};
