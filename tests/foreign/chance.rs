//! Chance for the foreign gear: PCG-XSH-RR (O'Neill, HMC-CS-2014-0905) and Box and Muller's normal
//! (Ann. Math. Stat. 29, 1958).

use std::f64::consts::TAU;

/// A stream of chance.
pub(crate) struct Chance {
    state: u64,
    spare: Option<f64>,
}

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        let mut chance = Self { state: seed.wrapping_add(0x1405_7B7E_F767_814F), spare: None };
        for _ in 0..4 {
            chance.bits();
        }
        chance
    }

    fn bits(&mut self) -> u32 {
        let old = self.state;
        self.state =
            old.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(0xDA3E_39CB_94B9_5BDB);
        let mixed = (((old >> 18) ^ old) >> 27) as u32;
        mixed.rotate_right((old >> 59) as u32)
    }

    /// Even from `low` to `high`.
    pub(crate) fn even(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (f64::from(self.bits()) + 0.5) / 4_294_967_296.0
    }

    /// Near `middle`, within a share: even over log frequency.
    pub(crate) fn near(&mut self, middle: f64, share: f64) -> f64 {
        middle * self.even(-share, share).exp()
    }

    /// Normal, variance 1.
    pub(crate) fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let radius = (-2.0 * self.even(0.0, 1.0).ln()).sqrt();
        let (sin, cos) = (TAU * self.even(0.0, 1.0)).sin_cos();
        self.spare = Some(radius * sin);
        radius * cos
    }
}
