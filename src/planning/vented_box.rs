//! A driver in a vented (ported) box: its response, and how far the cone moves below the tuning.
//!
//! The linear small-signal model: R. H. Small, "Vented-Box Loudspeaker Systems", JAES 21, 1973
//! (from memory). With T = 1/ω, s the driver and b the box:
//! D(s) = s⁴Tb²Ts² + s³(Tb²Ts/Qts + TbTs²/QL) + s²((1+α)Tb² + TbTs/(QL·Qts) + Ts²) + s(Tb/QL + Ts/Qts) + 1,
//! response s⁴Tb²Ts²/D, excursion (s²Tb² + s·Tb/QL + 1)/D re that of a steady voltage.

use std::f64::consts::{FRAC_1_SQRT_2, SQRT_2};

use crate::units::power_to_db;

/// A vented box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VentedBox {
    /// Tuning of box and port in Hz.
    pub tuning_hz: f64,
    /// Free-air resonance of the driver in Hz.
    pub driver_hz: f64,
    /// Total quality of the driver.
    pub qts: f64,
    /// Vas over the volume of the box.
    pub compliance_ratio: f64,
    /// Quality of the leakage; infinite for a tight box, 7 is typical (common practice, no source).
    pub leakage_q: f64,
}

impl VentedBox {
    /// The maximally flat alignment of fourth order without leakage at a tuning: what is assumed when
    /// only the tuning is known. All four poles of a Butterworth filter need α = √2 and
    /// 1/Qts = √(4 + 2√2).
    pub fn maximally_flat(tuning_hz: f64) -> Self {
        Self {
            tuning_hz,
            driver_hz: tuning_hz,
            qts: 1.0 / (4.0 + 2.0 * SQRT_2).sqrt(),
            compliance_ratio: SQRT_2,
            leakage_q: f64::INFINITY,
        }
    }

    /// Level in dB at `hz` re far above the tuning.
    pub fn response_db(&self, hz: f64) -> f64 {
        let (box_turn, driver_turn) = self.turns(hz);
        power_to_db((box_turn * driver_turn).powi(4) / self.denominator(hz))
    }

    /// Excursion in dB at `hz` re that of the same voltage held steady.
    pub fn excursion_db(&self, hz: f64) -> f64 {
        let (turn, _) = self.turns(hz);
        let numerator = (1.0 - turn * turn).powi(2) + (turn / self.leakage_q).powi(2);
        power_to_db(numerator / self.denominator(hz))
    }

    /// How much further in dB the cone moves at `hz` than it does at most from the tuning up, for the
    /// same voltage. `protected_db` is the response of what stands before the amplifier, e.g. a
    /// high-pass.
    pub fn unloading_db(&self, hz: f64, protected_db: impl Fn(f64) -> f64) -> f64 {
        // Two octaves up hold the largest excursion above the tuning; 48 steps an octave.
        let above = (0..=96).map(|i| self.tuning_hz * (f64::from(i) / 48.0).exp2());
        let most = above.map(|hz| self.excursion_db(hz)).fold(f64::MIN, f64::max);
        self.excursion_db(hz) + protected_db(hz) - most
    }

    /// The frequency below the tuning, in Hz, from which down the cone moves further than anywhere above.
    pub fn unloads_below_hz(&self) -> f64 {
        // A thousandth of an octave apart: finer than a box is built.
        let steps = (1..=2000).map(|i| self.tuning_hz * (-f64::from(i) / 1000.0).exp2());
        let mut steps = steps.filter(|hz| self.unloading_db(*hz, |_| 0.0) > 0.0);
        steps.next().unwrap_or(self.tuning_hz * FRAC_1_SQRT_2)
    }

    /// ω·Tb and ω·Ts.
    fn turns(&self, hz: f64) -> (f64, f64) {
        (hz / self.tuning_hz, hz / self.driver_hz)
    }

    /// |D(jω)|².
    fn denominator(&self, hz: f64) -> f64 {
        let (b, s) = self.turns(hz);
        let (qt, ql) = (self.qts, self.leakage_q);
        let second = (1.0 + self.compliance_ratio) * b * b + b * s / (ql * qt) + s * s;
        let real = (b * s).powi(2) - second + 1.0;
        let imaginary = b / ql + s / qt - (b * b * s / qt + b * s * s / ql);
        real * real + imaginary * imaginary
    }
}
