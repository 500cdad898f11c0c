//! Measuring beside the window, in a thread of its own.

pub mod analyser_thread;
pub mod desk;
pub mod ear;
pub mod finding_thread;
pub mod live;
pub mod loudness_match;
pub mod patch;
pub mod rolling;
pub mod work;
