//! What sounds now, beside the averages: the level at both ends and the latest wave.

use crate::analysis::scope::Scope;
use crate::plot::oscillogram::Stretch;

/// The level at one end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meter {
    /// r.m.s. over the latest moment, dBFS by AES17, all channels.
    pub rms_dbfs: f64,
    /// The highest sample of the latest seconds, dBFS.
    pub peak_dbfs: f64,
    /// The level with the time weightings F and S of IEC 61672-1, dBFS by AES17.
    pub weighted_dbfs: [f64; 2],
}

/// What sounds now.
#[derive(Clone, Debug, PartialEq)]
pub struct Now {
    /// Rises with every look at it.
    pub number: u64,
    /// Where it arrives.
    pub before: Meter,
    /// Where it comes out.
    pub after: Meter,
    /// The latest wave, from where the bass of what arrives rises through zero.
    pub wave: Stretch,
    /// The latest wave of a tone, standing still, while a tone is known.
    pub scope: Option<Scope>,
    /// Whether the settings changed in the wave that is shown.
    pub is_moving: bool,
}
