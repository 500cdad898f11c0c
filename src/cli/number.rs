//! Numbers on the command line, read as `--set` reads them: with or without their unit, decimal
//! point or comma, `k` for thousands of hertz.

use crate::settings::read_number;

/// A frequency in Hz: `40`, `40hz`, `40,5`, `0.04 kHz`.
pub(super) fn hz(text: &str) -> Result<f64, String> {
    read_number(text, &["hz"], true).ok_or_else(|| "takes a frequency, e.g. 40 or 40.5 Hz".into())
}

/// Decibels: `-6`, `-6 dB`, `-6,5dBFS`.
pub(super) fn db(text: &str) -> Result<f64, String> {
    read_number(text, &["dbfs", "db"], false)
        .ok_or_else(|| "takes decibels, e.g. -6 or -6.5 dB".into())
}

/// A time in seconds: `2`, `0,5 s`, `20 ms`.
pub(super) fn seconds(text: &str) -> Result<f64, String> {
    let thousandths = read_number(text, &["ms"], false).filter(|_| text.trim_end().ends_with("ms"));
    thousandths
        .map(|ms| ms / 1000.0)
        .or_else(|| read_number(text, &["seconds", "s"], false))
        .ok_or_else(|| "takes seconds, e.g. 2 or 0.5 s".into())
}

/// A number without a unit: `6.5`, `6,5`.
pub(super) fn plain(text: &str) -> Result<f64, String> {
    read_number(text, &[], false).ok_or_else(|| "takes a number, e.g. 6.5".into())
}

/// A volume in litres.
pub(super) fn litres(text: &str) -> Result<f64, String> {
    with_unit(text, &["litres", "l"], "litres, e.g. 40 or 28.3 l")
}

/// An area in square centimetres.
pub(super) fn square_cm(text: &str) -> Result<f64, String> {
    with_unit(text, &["cm2", "cm\u{b2}"], "square centimetres, e.g. 500 or 500 cm2")
}

/// A length in millimetres.
pub(super) fn mm(text: &str) -> Result<f64, String> {
    with_unit(text, &["mm"], "millimetres, e.g. 12 or 12.5 mm")
}

/// A power in watts.
pub(super) fn watts(text: &str) -> Result<f64, String> {
    with_unit(text, &["w"], "watts, e.g. 400 or 400 W")
}

/// A resistance in ohms.
pub(super) fn ohms(text: &str) -> Result<f64, String> {
    with_unit(text, &["ohms", "ohm", "\u{3c9}"], "ohms, e.g. 4 or 4 ohm")
}

/// A voltage in volts.
pub(super) fn volts(text: &str) -> Result<f64, String> {
    with_unit(text, &["v"], "volts, e.g. 2.4 or 2.4 V")
}

fn with_unit(text: &str, spelled: &[&str], example: &str) -> Result<f64, String> {
    read_number(text, spelled, false).ok_or_else(|| format!("takes {example}"))
}

/// A sample rate, a whole number of Hz: `48000`, `48 kHz`, `44,1k`.
pub(super) fn rate(text: &str) -> Result<u32, String> {
    let whole =
        |hz: &f64| (hz - hz.round()).abs() < 1e-6 && (1.0..=f64::from(u32::MAX)).contains(hz);
    let hz = read_number(text, &["hz"], true).filter(whole);
    hz.map(|hz| hz.round() as u32).ok_or_else(|| "takes a whole number of Hz, e.g. 48000".into())
}
