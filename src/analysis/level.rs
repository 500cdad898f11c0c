//! Peak, r.m.s., true peak and loudness of a whole signal.

/// The level of a signal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Highest sample of any channel, dBFS.
    pub peak_dbfs: f64,
    /// r.m.s. level over all channels, dBFS by AES17 (full-scale sine = 0 dBFS).
    pub rms_dbfs: f64,
    /// True peak by ITU-R BS.1770, dBTP.
    pub true_peak_dbtp: f64,
    /// Integrated loudness by ITU-R BS.1770, LUFS; `None` when nothing passes its gate.
    pub loudness_lufs: Option<f64>,
    /// Mean value, as a share of full scale.
    pub dc: f64,
}
