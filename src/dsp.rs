//! The stages of the line, in f64, and their order.
//!
//! Only `new` allocates; everything else here may run on an audio thread.
//! A linear stage owns its closed-form response.

pub mod ceiling;
pub mod chain;
pub mod closed_box;
pub mod high_pass;
pub mod low_band;
pub mod octave;
pub mod sections;
pub mod shape;

mod glide;
mod lanes;
mod svf;
mod tick;
