//! Fractional-octave bands by IEC 61260-1, base 10, from an averaged spectrum.

/// One band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Nominal frequency in Hz, as printed (ISO 266), e.g. 31.5.
    pub nominal_hz: f64,
    /// Exact mid frequency in Hz.
    pub centre_hz: f64,
    /// Lower edge in Hz.
    pub from_hz: f64,
    /// Upper edge in Hz.
    pub to_hz: f64,
    /// Level in dBFS (AES17).
    pub level_db: f64,
    /// Standard deviation of the level in dB for random noise, 4.343/√(B·T).
    pub sd_db: f64,
}
