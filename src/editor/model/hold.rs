//! Highest and lowest of what came out, band by band, since a hand asked for them.

use crate::measure::Readings;
use crate::measure::layers::{BandLayers, Layers};
use crate::plot::Ink;
use std::borrow::Cow;

/// Where the bands lie, in Hz, and how many there are: twelve an octave.
const BANDS: (f64, f64, usize) = (16.0, 20_000.0, 125);

/// One band: its frequency in Hz, its lowest and its highest level.
#[derive(Clone, Copy, Debug)]
pub struct Held {
    /// Frequency in Hz.
    pub hz: f64,
    /// Lowest level.
    pub lowest: f64,
    /// Highest level.
    pub highest: f64,
}

/// The highest and the lowest level of each band, dB re the reference of the strata.
#[derive(Clone, Debug, Default)]
pub struct Hold {
    /// The bands, rising in frequency.
    pub bands: Vec<Held>,
    reading: Option<u64>,
}

impl Hold {
    /// Takes a reading in, once.
    pub fn take(&mut self, reading: u64, readings: &Readings) {
        if self.reading.replace(reading) == Some(reading) {
            return;
        }
        let now = Layers::smoothed(readings, BANDS.0, BANDS.1, BANDS.2).bands;
        if self.bands.len() != now.len() {
            let new = |band: &BandLayers| Held { hz: band.hz, lowest: band.out, highest: band.out };
            self.bands = now.iter().map(new).collect();
        }
        for (held, band) in self.bands.iter_mut().zip(&now) {
            held.lowest = held.lowest.min(band.out);
            held.highest = held.highest.max(band.out);
        }
    }

    /// The lowest and the highest level near a frequency.
    pub fn at(&self, hz: f64) -> Option<[(Cow<'static, str>, Ink, f64); 2]> {
        let off = |band: &&Held| (band.hz / hz).ln().abs();
        let band = self.bands.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some([
            ("highest".into(), Ink::Second, band.highest),
            ("lowest".into(), Ink::Second, band.lowest),
        ])
    }
}
