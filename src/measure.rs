//! All analysers on both sides of the line, and what they read.
//!
//! A [`Measure`] listens to the running line, or is given one signal or a pair; the
//! readings are the same. Memory is bounded whatever the length.

pub mod layers;
mod meter;
mod meters;
mod side;
mod spectra;
mod tail;
mod traces;

pub use meter::Measure;

use crate::analysis::{
    bands::Band, clipping::Clipping, level::Level, partials::Partials, scope::Scope,
    spectrum::Spectrum, transfer::Transfer,
};

/// What is asked of a measurement.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ask {
    /// The tone whose lines are wanted, in Hz; `None` looks for one.
    pub tone_hz: Option<f64>,
    /// What each stage of the line adds.
    pub strata: bool,
    /// Lines beside the tone of what comes out alone: nobody reads the others.
    pub lines_after_only: bool,
    /// The transfer function from before to after.
    pub transfer: bool,
    /// The signal repeats every 2 s: its bands are read without scatter. Skip its first
    /// period, so that the line has settled.
    pub periodic: bool,
    /// Seconds at the start that are not measured.
    pub skip_s: f64,
}

/// What was measured at one post.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// Level over the whole signal.
    pub level: Level,
    /// Averaged spectrum, mean power of the channels.
    pub spectrum: Spectrum,
    /// One-third-octave bands from 12.5 Hz up.
    pub bands: Vec<Band>,
    /// Clipping.
    pub clipping: Clipping,
    /// Lines beside the tone, when a tone was named or found.
    pub partials: Option<Partials>,
}

/// Which stage added what, as power spectra along the line: bin by bin, AES17 power.
#[derive(Clone, Debug, PartialEq)]
pub struct Strata {
    /// Dry part.
    pub dry: Spectrum,
    /// Octave part alone.
    pub octave: Spectrum,
    /// Dry and octave part together.
    pub blend: Spectrum,
    /// After the low band.
    pub low_band: Spectrum,
}

/// Everything that was measured on one run of the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    /// Sample rate in Hz.
    pub sample_rate_hz: f64,
    /// Number of channels, 1 or 2.
    pub channels: usize,
    /// Length in seconds.
    pub seconds: f64,
    /// What arrived.
    pub before: Side,
    /// What came out; `None` when only one signal was measured.
    pub after: Option<Side>,
    /// What each stage added; `None` when the line was not heard from inside.
    pub strata: Option<Strata>,
    /// Waveforms over whole periods of the subharmonic, when a tone was named or found.
    pub scope: Option<Scope>,
    /// Transfer function from before to after; says nothing where the octave part lies.
    pub transfer: Option<Transfer>,
}
