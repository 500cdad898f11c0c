//! A trace that stands still: triggered on the subharmonic's period.

/// Aligned stretches of the waveform, each over the same whole number of periods.
#[derive(Clone, Debug, PartialEq)]
pub struct Scope {
    /// Length of the stretch in seconds.
    pub span_s: f64,
    /// Period of the subharmonic it is locked to, in seconds.
    pub period_s: f64,
    /// Whether the octave part gave the trigger; without one the dry part does.
    pub locked_to_octave: bool,
    /// The dry part.
    pub dry: Vec<f64>,
    /// The octave part.
    pub octave: Vec<f64>,
    /// What comes out.
    pub out: Vec<f64>,
}
