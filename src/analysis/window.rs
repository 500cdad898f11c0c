//! Windows for spectra, in their periodic form.

/// A window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Window {
    /// No weighting: right for signals that repeat exactly in the block.
    Rectangular,
    /// Hann: the default for noise and music.
    Hann,
    /// Four-term Blackman-Harris (-92 dB side lobes): for lines.
    BlackmanHarris,
}
