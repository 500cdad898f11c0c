//! Clipping of three kinds: at digital full scale, flat below it, between samples.

/// What was found clipped.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Clipping {
    /// Runs of samples held at digital full scale.
    pub digital_runs: u64,
    /// Runs of samples held flat at a level below full scale (clipped before a gain).
    pub flat_runs: u64,
    /// The level the flat runs are held at, dBFS; `None` when there are none.
    pub flat_dbfs: Option<f64>,
    /// True peaks above full scale between samples.
    pub inter_sample_overs: u64,
    /// Time of the first event in seconds.
    pub first_s: Option<f64>,
}
