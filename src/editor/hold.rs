//! Highest and lowest of what came out, band by band, since a hand asked for them.

use super::look::Look;
use super::paint;
use crate::measure::Readings;
use crate::plot::axis::Frame;
use crate::plot::strata::{Standing, Strata};
use crate::plot::{Cause, Ink};
use egui::{Painter, Pos2, vec2};

/// Where the bands lie, in Hz, and how many there are: twelve an octave.
const BANDS: (f64, f64, usize) = (16.0, 20_000.0, 125);

/// One band: its frequency in Hz, its lowest and its highest level.
#[derive(Clone, Copy, Debug)]
struct Held {
    hz: f64,
    lowest: f64,
    highest: f64,
}

/// The highest and the lowest level of each band, dB re the reference of the strata.
#[derive(Clone, Debug, Default)]
pub struct Hold {
    bands: Vec<Held>,
    reading: Option<u64>,
}

impl Hold {
    /// Takes a reading in, once.
    pub fn take(&mut self, reading: u64, readings: &Readings) {
        if self.reading.replace(reading) == Some(reading) {
            return;
        }
        let now = Strata::smoothed(readings, BANDS.0, BANDS.1, BANDS.2).bands;
        if self.bands.len() != now.len() {
            let new = |band: &Standing| Held { hz: band.hz, lowest: band.out, highest: band.out };
            self.bands = now.iter().map(new).collect();
        }
        for (held, band) in self.bands.iter_mut().zip(&now) {
            held.lowest = held.lowest.min(band.out);
            held.highest = held.highest.max(band.out);
        }
    }

    /// Draws both as thin lines over the picture.
    pub fn draw(&self, painter: &Painter, frame: &Frame, origin: Pos2, look: &Look) {
        for is_highest in [false, true] {
            let points = self.bands.iter().filter_map(|band| {
                let level = if is_highest { band.highest } else { band.lowest };
                let (x, y) = frame.at(band.hz, level);
                let rect = frame.rect;
                let inside =
                    (rect.x..=rect.right()).contains(&x) && (rect.y..=rect.bottom()).contains(&y);
                inside.then(|| origin + vec2(x as f32, y as f32))
            });
            paint::line(painter, Cause::Difference, 1.2, points.collect(), look);
        }
    }

    /// The lowest and the highest level near a frequency.
    pub fn at(&self, hz: f64) -> Option<[(&'static str, Ink, f64); 2]> {
        let off = |band: &&Held| (band.hz / hz).ln().abs();
        let band = self.bands.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some([("highest", Ink::Second, band.highest), ("lowest", Ink::Second, band.lowest)])
    }
}
