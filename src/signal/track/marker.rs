//! The markers of the track: four chirps, up, down, up, down, whose three gaps
//! carry two numbers and a check.
//!
//! A chirp keeps its peak under a wrong clock (300 ppm cost 0.03 dB), up and
//! down move apart under it and so cancel in the mean, and one pair of
//! templates serves every number (linear chirps: Klauder et al., Bell Syst.
//! Tech. J. 39, 1960).

use std::f64::consts::TAU;

/// Length of one chirp in seconds.
pub const CHIRP_S: f64 = 0.2;

/// Lowest and highest frequency of a chirp in Hz.
pub const CHIRP_HZ: [f64; 2] = [600.0, 3600.0];

/// Peak level of a marker as a share of full scale.
pub const PEAK: f64 = 0.25;

/// Start to start of two chirps: this, in seconds, and [`GAP_STEP_S`] for each unit of the number.
pub const GAP_S: f64 = 0.3;

/// What one unit of a number adds to a gap, in seconds.
pub const GAP_STEP_S: f64 = 0.01;

/// A number in a gap is below this prime.
pub const BASE: u8 = 31;

/// Share of the chirp's ends that is faded with a raised cosine.
const FADE: f64 = 0.1;

/// The two numbers of a marker, each below [`BASE`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Marker {
    /// First number: what the track is.
    pub what: u8,
    /// Second number: which marker of it.
    pub which: u8,
}

impl Marker {
    /// The marker of three gap numbers, when their check holds.
    pub fn decode(numbers: [u8; 3]) -> Option<Self> {
        let marker = Self { what: numbers[0], which: numbers[1] };
        (marker.numbers() == numbers).then_some(marker)
    }

    /// Starts of the four chirps in seconds after the marker's start.
    pub fn starts_s(&self) -> [f64; 4] {
        let gaps = self.numbers().map(|n| GAP_S + GAP_STEP_S * f64::from(n));
        [0.0, gaps[0], gaps[0] + gaps[1], gaps[0] + gaps[1] + gaps[2]]
    }

    /// Mean middle of the four chirps in seconds after the marker's start.
    pub fn centroid_s(&self) -> f64 {
        self.starts_s().iter().sum::<f64>() / 4.0 + CHIRP_S / 2.0
    }

    /// Length in seconds, at most 2.0.
    pub fn seconds(&self) -> f64 {
        self.starts_s()[3] + CHIRP_S
    }

    /// The marker's wave at `t_s` seconds after its start, peak 1.
    pub fn at(&self, t_s: f64) -> f64 {
        let starts = self.starts_s();
        let Some(i) = (0..4).rev().find(|&i| t_s >= starts[i]) else { return 0.0 };
        chirp(t_s - starts[i], i % 2 == 0).0
    }

    fn numbers(&self) -> [u8; 3] {
        let (a, b) = (u16::from(self.what), u16::from(self.which));
        [self.what, self.which, ((2 * a + 3 * b + 11) % u16::from(BASE)) as u8]
    }
}

/// A rising or falling chirp `t_s` seconds after its start: real and imaginary part.
pub fn chirp(t_s: f64, rising: bool) -> (f64, f64) {
    if !(0.0..CHIRP_S).contains(&t_s) {
        return (0.0, 0.0);
    }
    let edge = (t_s.min(CHIRP_S - t_s) / (FADE * CHIRP_S)).min(1.0);
    let fade = 0.5 - 0.5 * libm::cos(TAU * edge / 2.0);
    let slope = (CHIRP_HZ[1] - CHIRP_HZ[0]) / CHIRP_S;
    let turns = match rising {
        true => CHIRP_HZ[0] * t_s + slope * t_s * t_s / 2.0,
        false => CHIRP_HZ[1] * t_s - slope * t_s * t_s / 2.0,
    };
    let (sin, cos) = libm::sincos(TAU * turns);
    (fade * cos, fade * sin)
}
