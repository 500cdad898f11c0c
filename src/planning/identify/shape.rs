//! What a device does to the bass in our own terms: one low band and one high-pass.

use crate::dsp::high_pass::HighPass;
use crate::dsp::low_band::LowBand;
use crate::dsp::shape::Shape;
use crate::settings::Order;
use crate::units::power_to_db;

/// Sample rate the closed forms are read at, Hz.
const RATE_HZ: f64 = 48_000.0;

/// A low band and a high-pass in double precision: differences of them are taken.
#[derive(Clone, Copy)]
pub(super) struct Modelled {
    band: Shape,
    fall: Shape,
}

impl Modelled {
    /// From the unknowns: level, gain, logarithms of centre, width and, with a high-pass, corner.
    pub(super) fn at(x: &[f64], order: Order) -> Self {
        let band = LowBand::shape([x[2].exp(), x[3].exp(), x[1]], RATE_HZ);
        let corner_hz = x.get(4).map_or(20.0, |hz| hz.exp());
        Self { band, fall: HighPass::shape(order, corner_hz, RATE_HZ) }
    }

    /// Level at `hz`, dB.
    pub(super) fn level_db(&self, hz: f64) -> f64 {
        power_to_db(self.band.power(hz) * self.fall.power(hz))
    }
}
