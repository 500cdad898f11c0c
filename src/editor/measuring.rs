//! Measuring beside the window, in a thread of its own.

pub mod analyser_thread;
pub mod live;
pub mod loudness_match;
pub mod rolling;
