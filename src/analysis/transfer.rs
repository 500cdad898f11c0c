//! Transfer function of two channels, with coherence and confidence, latency compensated first.

/// One frequency of a transfer function.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TransferPoint {
    /// Frequency in Hz.
    pub hz: f64,
    /// Gain in dB.
    pub gain_db: f64,
    /// Phase in degrees, delay taken out.
    pub phase_deg: f64,
    /// Coherence 0..1 (magnitude squared).
    pub coherence: f64,
    /// Standard deviation of the gain in dB.
    pub sd_db: f64,
}

/// A transfer function from one signal to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Transfer {
    /// Delay of the second signal behind the first that was taken out, in seconds.
    pub delay_s: f64,
    /// Points rising in frequency.
    pub points: Vec<TransferPoint>,
    /// Effective number of independent averages.
    pub averages: f64,
}
