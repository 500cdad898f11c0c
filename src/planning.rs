//! From a capture to a decision: find the track in a recording, say what the
//! radio takes out, propose settings, tell what a device does.
//!
//! Pure: no files, no clock. The decisions are estimates with intervals, and
//! every verdict can be "undecided".

pub mod capture;
pub mod marker_search;
pub mod resample;
pub mod statistics;
