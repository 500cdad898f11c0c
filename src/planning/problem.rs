//! What is to be tuned, what a proposal is, and the figures both rest on.

use super::content::{BandContent, STANDS_DB};
use crate::analysis::bands::low_thirds;
use crate::curve::Curve;
use crate::settings::{Order, Settings};
use crate::units::{db_to_power, power_to_db};

/// A band counts as reached within this, dB.
pub const REACHED_DB: f64 = 1.5;
/// A band needs nothing within this of what is asked for, dB: then it stands.
pub const NEEDS_NOTHING_DB: f64 = STANDS_DB;
/// Lift that is never exceeded, dB (common practice, no source).
pub const MOST_LIFT_DB: f64 = 12.0;
/// A power less than anything that counts: −200 dB.
pub(super) const NOTHING: f64 = 1e-20;

/// The box behind the amplifier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Enclosure {
    /// A closed box, or one not told.
    Sealed,
    /// A ported box tuned to this frequency in Hz: below it the cone runs free.
    Ported(f64),
}

/// What is to be tuned.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// What the radio gives, dB re its mid band.
    pub given: Curve,
    /// What is left in each band; empty when unknown, then all counts as there.
    pub contents: Vec<BandContent>,
    /// What is asked for, dB re the mid band.
    pub target: Curve,
    /// Lowest frequency that matters, Hz.
    pub down_to_hz: f64,
    /// The box.
    pub enclosure: Enclosure,
    /// Whether new content may be made.
    pub octave: bool,
    /// Most lift of the low band, dB.
    pub most_lift_db: f64,
}

impl Problem {
    /// What a radio gives, to be made flat down to 31.5 Hz in a closed box.
    pub fn new(given: Curve, contents: Vec<BandContent>) -> Self {
        Self {
            given,
            contents,
            target: flat(),
            down_to_hz: 31.5,
            enclosure: Enclosure::Sealed,
            octave: true,
            most_lift_db: MOST_LIFT_DB,
        }
    }

    /// What is asked for at `hz`, dB.
    pub fn target_db(&self, hz: f64) -> f64 {
        self.target.at(hz).unwrap_or(0.0)
    }

    /// Whether every band that matters is as asked for already.
    pub fn needs_nothing(&self) -> bool {
        let near = |hz: f64| {
            // The band's own verdict where there is one: the diagnosis tells the same.
            let known = self.content(hz);
            let given = known.map_or(self.given.at(hz).unwrap_or(0.0), |c| c.response_db);
            let is_there = known.is_none_or(|c| c.content.is_there());
            is_there && (given - self.target_db(hz)).abs() <= NEEDS_NOTHING_DB
        };
        bands_hz().filter(|hz| *hz >= 0.99 * self.down_to_hz).all(near)
    }

    /// What is left of the band at `hz`, where it is known.
    pub fn content(&self, hz: f64) -> Option<&BandContent> {
        self.contents.iter().find(|c| (c.hz / hz).log2().abs() < 1.0 / 6.0)
    }
}

/// One band of a proposal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TunedBand {
    /// Exact mid frequency in Hz.
    pub hz: f64,
    /// What the radio gives, dB.
    pub given_db: f64,
    /// What comes out by the closed forms, dB.
    pub predicted_db: f64,
    /// What is asked for, dB.
    pub target_db: f64,
    /// Whether the octave part makes most of it.
    pub octave: bool,
}

/// Settings with what they do.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// The settings.
    pub settings: Settings,
    /// From 16 to 160 Hz.
    pub bands: Vec<TunedBand>,
    /// Lowest band from which on every band is reached, Hz; `None` when not even 125 Hz is.
    pub reach_hz: Option<f64>,
    /// Largest level over the mid band that a source with the radio's loss makes, dB.
    pub headroom_db: f64,
    /// Lift that a source without the loss gets, dB.
    pub full_lift_db: f64,
}

impl Proposal {
    /// Largest error within the reach, dB.
    pub fn error_db(&self) -> f64 {
        let within = |b: &&TunedBand| self.reach_hz.is_some_and(|reach| b.hz >= 0.99 * reach);
        self.bands
            .iter()
            .filter(within)
            .map(|b| (b.predicted_db - b.target_db).abs())
            .fold(0.0, f64::max)
    }
}

/// What the bands of [`bands_hz`] hold before low band and high-pass, dB re the mid band, as a
/// rendering told it.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    /// What the radio gives.
    pub given_db: Vec<f64>,
    /// What the octave part adds at a level of 0 dB.
    pub octave_db: Vec<f64>,
}

impl Heard {
    /// From renderings without and with the octave part, the latter at `level_db`. Powers of
    /// noise and of its halves add: neither knows the other's phase.
    pub fn new(given_db: Vec<f64>, both_db: &[f64], level_db: f64) -> Self {
        let added = |(given, both): (&f64, &f64)| {
            let power = db_to_power(*both) - db_to_power(*given);
            power_to_db(power.max(NOTHING)) - level_db
        };
        let octave_db = given_db.iter().zip(both_db).map(added).collect();
        Self { given_db, octave_db }
    }
}

/// The mid frequencies tuned, 16 to 160 Hz (IEC 61260-1, base 10).
pub fn bands_hz() -> impl Iterator<Item = f64> {
    low_thirds().skip(1).take(11)
}

/// Flat down to the bottom.
pub fn flat() -> Curve {
    Curve::new([(10.0, 0.0), (1000.0, 0.0)])
}

/// A gentle rise: 2 dB per octave from 160 Hz down to 40 Hz, flat below (common practice, no source).
pub fn gentle() -> Curve {
    Curve::new([(10.0, 4.0), (40.0, 4.0), (160.0, 0.0), (1000.0, 0.0)])
}

/// The high-pass that protects the box: for a ported box 0.8 of its tuning, steep; for a closed
/// box gentle at 18 Hz (common practice, no source).
pub fn protect(settings: &mut Settings, enclosure: Enclosure) {
    let (order, hz) = match enclosure {
        Enclosure::Sealed => (Order::Second, 18.0),
        Enclosure::Ported(tuning_hz) => (Order::Fourth, (0.8 * tuning_hz).clamp(8.0, 60.0)),
    };
    settings.high_pass_order = order;
    settings.high_pass_hz = hz as f32;
}
