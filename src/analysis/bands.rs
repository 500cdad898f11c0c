//! Fractional-octave bands by IEC 61260-1:2014, base 10, from an averaged spectrum.
//!
//! Bins on an edge are shared between the two bands; that alone lets bands from
//! 2 s blocks keep the class 1 limits wherever bandwidth × 2 s is 5 or more: thirds
//! from 12.5 Hz, sixths from 25 Hz, twelfths from 50 Hz, twenty-fourths from 100 Hz.

use super::spectrum::Spectrum;
use crate::units::{db_to_power, power_to_db};

/// The octave ratio of base-10 bands, 10^(3/10).
const OCTAVE_RATIO: f64 = 1.995_262_314_968_879_5;
/// Lower edge of the lowest band in Hz: that of the 12.5 Hz third and the 16 Hz octave.
const LOWEST_HZ: f64 = 11.220_184_543_019_634;
/// Upper edge of the highest band in Hz: that of the 20 kHz third.
const HIGHEST_HZ: f64 = 22_387.211_385_683_4;
/// Rounding left to the edges when a band is counted as inside.
const ROUNDING: f64 = 1e-9;
/// Standard deviation in dB of a level whose power varies by 100 %, 10/ln 10.
const DB_PER_UNIT: f64 = 4.342_944_819_032_518;

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
    /// Standard deviation of the level in dB for random noise, 4.343/√(B·T)
    /// (Bendat & Piersol, *Random Data*).
    pub sd_db: f64,
}

/// How an octave is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fraction {
    /// Octaves.
    One,
    /// Thirds of an octave.
    Third,
    /// Sixths.
    Sixth,
    /// Twelfths.
    Twelfth,
    /// Twenty-fourths.
    TwentyFourth,
}

/// Exact mid frequencies of the thirds from 12.5 Hz to 1 kHz. Bands are found by them, so they have
/// to be the same to the last bit wherever they are made.
pub fn low_thirds() -> impl Iterator<Item = f64> {
    (11..=30).map(|k| db_to_power(f64::from(k)))
}

/// Lower and upper edge in Hz of the third around its mid frequency.
pub fn third_edges(hz: f64) -> (f64, f64) {
    (hz * db_to_power(-0.5), hz * db_to_power(0.5))
}

/// The bands of `spectrum` from 11.2 Hz up, as far as they lie wholly inside it.
pub fn bands(spectrum: &Spectrum, fraction: Fraction) -> Vec<Band> {
    let top_hz = spectrum.top_hz().min(HIGHEST_HZ) * (1.0 + ROUNDING);
    let all = (fraction.index_at(LOWEST_HZ)..).map(|x| fraction.band(x));
    all.skip_while(|band| band.from_hz < LOWEST_HZ * (1.0 - ROUNDING))
        .take_while(|band| band.to_hz <= top_hz)
        .map(|band| fill(band, spectrum))
        .collect()
}

/// The band with its level in `spectrum`.
fn fill(band: Band, spectrum: &Spectrum) -> Band {
    let width_hz = band.to_hz - band.from_hz;
    Band {
        level_db: power_to_db(spectrum.power_between(band.from_hz, band.to_hz)),
        sd_db: DB_PER_UNIT / (width_hz * spectrum.equivalent_s()).sqrt(),
        ..band
    }
}

impl Fraction {
    /// Bands in an octave.
    pub fn per_octave(self) -> u32 {
        match self {
            Self::One => 1,
            Self::Third => 3,
            Self::Sixth => 6,
            Self::Twelfth => 12,
            Self::TwentyFourth => 24,
        }
    }

    /// Band number `index`, counted from the one at (odd fractions) or just above
    /// (even fractions) 1 kHz, without a level (IEC 61260-1, 5.4 and 5.5).
    fn band(self, index: i32) -> Band {
        let per_octave = f64::from(self.per_octave());
        let at = |steps: f64| 1000.0 * db_to_power(3.0 * steps / per_octave);
        let middle = f64::from(index) + self.shift();
        let centre_hz = at(middle);
        Band {
            nominal_hz: self.nominal_hz(centre_hz),
            centre_hz,
            from_hz: at(middle - 0.5),
            to_hz: at(middle + 0.5),
            level_db: crate::units::SILENCE_DB,
            sd_db: f64::INFINITY,
        }
    }

    /// Number of a band at or below `hz`.
    fn index_at(self, hz: f64) -> i32 {
        let octaves = (hz / 1000.0).ln() / OCTAVE_RATIO.ln();
        (octaves * f64::from(self.per_octave())).floor() as i32 - 1
    }

    /// Even fractions have an edge, not a centre, at 1 kHz.
    fn shift(self) -> f64 {
        if self.per_octave().is_multiple_of(2) { 0.5 } else { 0.0 }
    }

    /// The printed name of a mid frequency: ISO 266 for octaves and thirds; else three
    /// digits, or two where the first is 5 or more (IEC 61260-1, annex E).
    pub fn nominal_hz(self, centre_hz: f64) -> f64 {
        const PREFERRED: [f64; 10] = [1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0];
        let decade = 10f64.powf(centre_hz.log10().floor());
        if self.per_octave() <= 3 {
            let tenth = (10.0 * centre_hz.log10()).round() as usize;
            return round_to(PREFERRED[tenth % 10] * 10f64.powi((tenth / 10) as i32), 0.01);
        }
        let digit = if centre_hz / decade < 5.0 { decade / 100.0 } else { decade / 10.0 };
        round_to(centre_hz, digit)
    }
}

/// `value` as the nearest multiple of `step`, a power of ten, free of rounding dust.
fn round_to(value: f64, step: f64) -> f64 {
    let inverse = (1.0 / step).round();
    if inverse >= 1.0 { (value * inverse).round() / inverse } else { (value / step).round() * step }
}
