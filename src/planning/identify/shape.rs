//! What a device does to the bass in our own terms: one low band and one high-pass.

use crate::dsp::high_pass::HighPass;
use crate::dsp::low_band::LowBand;
use crate::settings::Order;

/// Sample rate the closed forms are read at, Hz.
const RATE_HZ: f64 = 48_000.0;

/// A low band and a high-pass in double precision: differences of them are taken.
#[derive(Clone, Copy)]
pub(super) struct Shape {
    /// Centre in Hz, width in octaves, gain in dB.
    band: [f64; 3],
    order: Order,
    corner_hz: f64,
}

impl Shape {
    /// From the unknowns: level, gain, logarithms of centre, width and, with a high-pass, corner.
    pub(super) fn at(x: &[f64], order: Order) -> Self {
        let band = [x[2].exp(), x[3].exp(), x[1]];
        Self { band, order, corner_hz: x.get(4).map_or(20.0, |hz| hz.exp()) }
    }

    /// Level at `hz`, dB.
    pub(super) fn level_db(&self, hz: f64) -> f64 {
        let fall = HighPass::shape_db(self.order, self.corner_hz, hz, RATE_HZ);
        LowBand::shape_db(self.band, hz, RATE_HZ) + fall
    }
}
