//! Octave-down bass for music hosts, with the measurements that prove it.
//!
//! One straight way for the data; the modules stand in its order, and each
//! names only modules above it.

pub mod numeric;
pub mod units;

pub mod curve;
pub mod figures;
pub mod settings;

pub mod signal;

pub mod dsp;
pub mod path;

pub mod analysis;
pub mod measure;

pub mod presets;

#[cfg(feature = "files")]
pub mod audio;

pub mod planning;

pub mod plot;
pub mod report;

pub mod lessons;
pub mod prove;

#[cfg(feature = "files")]
pub mod takes;

#[cfg(feature = "cli")]
pub mod cli;

#[cfg(feature = "live")]
pub mod link;
#[cfg(feature = "plugin")]
pub mod params;

#[cfg(feature = "window")]
pub mod editor;
#[cfg(feature = "plugin")]
pub mod plugin;
