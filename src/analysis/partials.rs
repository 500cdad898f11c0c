//! What stands beside a tone: below it (the effect) and above it (distortion), never mixed.

/// One line beside a tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Frequency in Hz.
    pub hz: f64,
    /// Multiple of the tone's frequency: 0.5, 1, 1.5, 2, 1/3 ...
    pub order: f64,
    /// Level in dB re the tone in the same signal.
    pub re_tone_db: f64,
    /// Level in dBFS (AES17).
    pub dbfs: f64,
    /// Phase in degrees of a cosine at the start of the analysed stretch.
    pub phase_deg: f64,
    /// Whether the line lies so near a multiple of 50 or 60 Hz that mains hum
    /// could stand in its place.
    pub near_mains: bool,
}

/// The lines of a tone.
#[derive(Clone, Debug, PartialEq)]
pub struct Partials {
    /// Frequency of the tone in Hz, as fitted.
    pub tone_hz: f64,
    /// Level of the tone, dBFS (AES17).
    pub tone_dbfs: f64,
    /// Lines at 1/2, 1/3, 2/3, 1/4, 3/4 of the tone.
    pub below: Vec<Line>,
    /// Harmonics 2..
    pub above: Vec<Line>,
    /// Odd halves above the tone: 1.5, 2.5 ... They belong to neither figure.
    pub odd_halves: Vec<Line>,
    /// r.m.s. sum of the lines below, as a share of the tone.
    pub below_ratio: f64,
    /// Harmonic distortion re the fundamental (THD_F), as a share of the tone.
    pub thd_f: f64,
    /// Highest harmonic counted.
    pub thd_orders: usize,
    /// Frequency of the highest harmonic counted in Hz: the bandwidth of `thd_f`.
    pub thd_to_hz: f64,
    /// What is neither tone nor line, r.m.s., dBFS (AES17).
    pub noise_dbfs: f64,
    /// Mean value, as a share of full scale.
    pub dc: f64,
}
