//! The analysers: pure, off the audio thread, without input or output.
//!
//! Levels are dBFS by AES17 (a full-scale sine is 0 dBFS, peak and r.m.s.).

pub mod alignment;
pub mod averager;
pub mod bands;
pub(crate) mod blocks;
pub mod clipping;
pub mod full_scale;
pub mod level;
pub mod partials;
pub mod scope;
pub mod spectrum;
pub mod time_weighting;
pub mod tone_fit;
pub mod transfer;
pub mod weighting;
pub mod window;
