//! A driver in a closed box, and its low end equalised from (f0, Q0) to (fp, Qp).
//!
//! The linear small-signal model: a second-order high-pass. R. H. Small, "Closed-Box Loudspeaker
//! Systems", JAES 20 and 21, 1972 and 1973 (from memory). Levels are those of a piston on the floor of a
//! large room or in the open, at 1 m: a car adds its cabin, which nobody can compute from this.

use std::f64::consts::{PI, SQRT_2};

use crate::units::{db_to_power, gain_to_db, power_to_db};

/// Density of air in kg/m³ at 20 °C and 1013 hPa.
const DENSITY: f64 = 1.2041;

/// Speed of sound in m/s at 20 °C.
const SOUND: f64 = 343.2;

/// Reference of sound pressure levels, Pa (ISO 1683).
const REFERENCE_PA: f64 = 20e-6;

/// A second-order high-pass: what a closed box is, or is to become.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alignment {
    /// Resonance in Hz.
    pub hz: f64,
    /// Total quality at the resonance.
    pub q: f64,
}

/// A driver by its data sheet, as far as it is known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Driver {
    /// Electrical quality at the free-air resonance.
    pub qes: Option<f64>,
    /// Free-air resonance in Hz.
    pub fs_hz: Option<f64>,
    /// Volume of air as stiff as the suspension, in litres.
    pub vas_l: Option<f64>,
    /// Area of the cone in cm².
    pub sd_cm2: Option<f64>,
    /// Linear excursion one way, in mm.
    pub xmax_mm: Option<f64>,
    /// Power that it, or its amplifier, can stand: the lower of both, in W.
    pub power_w: Option<f64>,
}

impl Alignment {
    /// The alignment of a driver (`fs_hz`, `qts`, `vas_l` in litres) in a box of `box_l` litres:
    /// with α = Vas/Vb both resonance and quality rise by √(1 + α).
    pub fn of_box(fs_hz: f64, qts: f64, vas_l: f64, box_l: f64) -> Self {
        let rise = (1.0 + vas_l / box_l).sqrt();
        Self { hz: fs_hz * rise, q: qts * rise }
    }

    /// Level in dB re far above the resonance.
    pub fn response_db(&self, hz: f64) -> f64 {
        let x = (hz / self.hz).powi(2);
        power_to_db(x * x / ((1.0 - x).powi(2) + x / self.q.powi(2)))
    }

    /// Where it is 3 dB down, in Hz.
    pub fn f3_hz(&self) -> f64 {
        let bend = 1.0 / self.q.powi(2) - 2.0;
        self.hz * (0.5 * (bend + bend.hypot(2.0))).sqrt()
    }

    /// Frequency in Hz and height in dB of its peak; `None` for Q ≤ 1/√2, which has none.
    pub fn peak(&self) -> Option<(f64, f64)> {
        if self.q <= 0.5 * SQRT_2 {
            return None;
        }
        let square = self.q.powi(2);
        let hz = self.hz / (1.0 - 0.5 / square).sqrt();
        Some((hz, gain_to_db(square / (square - 0.25).sqrt())))
    }

    /// Gain in dB at `hz` of the filter that makes `self` into `to`:
    /// H(s) = (s² + s·ω0/Q0 + ω0²)/(s² + s·ωp/Qp + ωp²).
    pub fn gain_to_db(&self, to: &Alignment, hz: f64) -> f64 {
        to.response_db(hz) - self.response_db(hz)
    }

    /// The same far below both resonances: 40·log10(f0/fp).
    pub fn dc_gain_to_db(&self, to: &Alignment) -> f64 {
        2.0 * gain_to_db(self.hz / to.hz)
    }
}

impl Driver {
    /// Level in dB SPL at 1 m in half space for 1 W into the nominal load, far above the resonance:
    /// from the reference efficiency η0 = 4π²·fs³·Vas/(c³·Qes) (Small 1972, from memory). `None` when a
    /// value is missing.
    pub fn one_watt_db(&self) -> Option<f64> {
        let (fs_hz, vas_l, qes) = (self.fs_hz?, self.vas_l?, self.qes?);
        let efficiency = 4.0 * PI.powi(2) * fs_hz.powi(3) * vas_l / 1000.0 / (SOUND.powi(3) * qes);
        // Intensity of one acoustic watt over a half sphere of 1 m.
        let pressure = (efficiency * DENSITY * SOUND / (2.0 * PI)).sqrt();
        Some(gain_to_db(pressure / REFERENCE_PA))
    }

    /// Highest level in dB SPL that the excursion allows at `hz`, for a sine. `None` when area or
    /// excursion are missing.
    pub fn excursion_limit_db(&self, hz: f64) -> Option<f64> {
        Some(piston_db(self.sd_cm2?, self.xmax_mm?, hz))
    }

    /// Highest level in dB SPL that the power allows at `hz` in a box, for a sine.
    pub fn power_limit_db(&self, alignment: &Alignment, hz: f64) -> Option<f64> {
        Some(self.one_watt_db()? + power_to_db(self.power_w?) + alignment.response_db(hz))
    }

    /// The lower of both limits, as far as they are known, and whether it is the excursion.
    pub fn limit_db(&self, alignment: &Alignment, hz: f64) -> Option<(f64, bool)> {
        match (self.excursion_limit_db(hz), self.power_limit_db(alignment, hz)) {
            (Some(excursion), Some(power)) => Some((excursion.min(power), excursion <= power)),
            (excursion, power) => excursion.map(|db| (db, true)).or(power.map(|db| (db, false))),
        }
    }

    /// Peak excursion in mm, one way, of a sine of `level_db` dB SPL at `hz`.
    pub fn excursion_mm(&self, level_db: f64, hz: f64) -> Option<f64> {
        let sd_cm2 = self.sd_cm2?;
        Some(10f64.powf((level_db - piston_db(sd_cm2, 1.0, hz)) / 20.0))
    }

    /// Power in W into the nominal load that a sine of `level_db` dB SPL at `hz` takes in a box.
    pub fn power_w(&self, alignment: &Alignment, level_db: f64, hz: f64) -> Option<f64> {
        Some(db_to_power(level_db - self.one_watt_db()? - alignment.response_db(hz)))
    }
}

/// Level in dB SPL at 1 m in half space of a piston of `sd_cm2` that moves `peak_mm` one way:
/// p = ρ·ω²·Sd·x/(√2·2π·r).
pub fn piston_db(sd_cm2: f64, peak_mm: f64, hz: f64) -> f64 {
    let volume = sd_cm2 * 1e-4 * peak_mm * 1e-3;
    let pressure = DENSITY * (2.0 * PI * hz).powi(2) * volume / (SQRT_2 * 2.0 * PI);
    gain_to_db(pressure / REFERENCE_PA)
}

/// The highest level of the flat part, and what ends it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loudest {
    /// Level far above the resonance, dB SPL at 1 m in half space.
    pub level_db: f64,
    /// The frequency that ends it, in Hz.
    pub hz: f64,
    /// Whether it is the excursion (else the power) that ends it.
    pub by_excursion: bool,
}

/// How loud `driver` in `from` can play a sine of every frequency from `down_to_hz` up to 200 Hz when
/// the response is `to`. An equaliser moves neither limit: it changes what is asked of them.
pub fn loudest(
    driver: &Driver,
    from: &Alignment,
    to: &Alignment,
    down_to_hz: f64,
) -> Option<Loudest> {
    // 200 steps: less than 0.02 octave apart.
    let steps = (0..=200).map(|i| down_to_hz * (200.0 / down_to_hz).powf(f64::from(i) / 200.0));
    let at = |hz: f64| {
        let (limit, by_excursion) = driver.limit_db(from, hz)?;
        Some(Loudest { level_db: limit - to.response_db(hz), hz, by_excursion })
    };
    steps.filter_map(at).min_by(|a, b| a.level_db.total_cmp(&b.level_db))
}
