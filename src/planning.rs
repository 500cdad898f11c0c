//! From a capture to a decision: find the track in a recording, say what the
//! radio takes out, propose settings, tell what a device does.
//!
//! Pure: no files, no clock. The decisions are estimates with intervals, and
//! every verdict can be "undecided".

pub mod beside;
pub mod blocks;
pub mod capture;
pub mod channels;
pub mod clean;
pub mod clip_light;
pub mod closed_box;
pub mod content;
pub mod diagnose;
pub mod family;
pub mod gains;
pub mod hardware;
pub mod identify;
pub mod in_car;
pub mod marker_search;
pub mod nearest_band;
pub mod need;
pub mod noise;
mod places;
pub mod polarity;
pub mod problem;
pub mod rehearse;
pub mod resample;
pub mod response;
pub mod risks;
pub mod roll_off;
pub mod smooth;
pub mod sounding;
pub mod statistics;
pub mod take_reading;
pub mod take_summary;
pub mod tones;
pub mod tune;
pub mod vented_box;
pub mod volume;

mod banded;
mod fit;
mod hum;
mod solve;
mod steps;
