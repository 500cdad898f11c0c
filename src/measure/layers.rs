//! Who added what: levels at the posts of the line, band by band.
//!
//! Every level is power per octave, in dB re the mean of 200 Hz to 1 kHz of
//! what arrived, so pink noise is flat and bands of any width compare. The
//! height of a layer is the dB its stage added; what a stage took away is a gap.

use crate::analysis::spectrum::Spectrum;
use crate::curve::Curve;
use crate::measure::Readings;
use crate::units::{SILENCE_DB, octaves, power_to_db};

/// Where 0 dB is taken from, in Hz.
pub const REFERENCE_HZ: (f64, f64) = (200.0, 1000.0);

/// A mid band below this, in dBFS per octave, is no programme to refer to: what a window leaves
/// of a lone tone, or a converter's own noise (16 bits leave about -103 dBFS an octave there).
const LEAST_REFERENCE_DBFS: f64 = -100.0;

/// Levels in one band at the posts of the line, dB re the reference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandLayers {
    /// Frequency the band is named by, in Hz.
    pub hz: f64,
    /// What arrives.
    pub given: f64,
    /// The dry part; equal to `given` when the line was not heard from inside.
    pub dry: f64,
    /// Dry and octave part together.
    pub blend: f64,
    /// After the low band.
    pub low_band: f64,
    /// What comes out; equal to `given` when only one signal was measured.
    pub out: f64,
}

/// Levels at the posts over many bands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layers {
    /// The bands, rising in frequency.
    pub bands: Vec<BandLayers>,
    /// True when the line was heard from inside.
    pub has_layers: bool,
    /// True when something came out.
    pub has_out: bool,
    /// What was added to what came out so that its mid band stands at 0 dB too: only where
    /// nothing is known of what lies between, dB.
    pub levelled_db: f64,
    /// True when what came out has no mid band to be levelled by.
    pub after_is_silent: bool,
}

impl BandLayers {
    /// What the octave part added, in dB.
    pub fn octave_added(&self) -> f64 {
        self.blend - self.dry
    }

    /// What the low band added, in dB.
    pub fn low_band_added(&self) -> f64 {
        self.low_band - self.blend
    }
}

impl Layers {
    /// The levels in bands given as (name, from, to), all in Hz; empty when less than -100 dBFS
    /// an octave stands between 200 Hz and 1 kHz to refer to.
    pub fn of(readings: &Readings, bands: impl IntoIterator<Item = (f64, f64, f64)>) -> Self {
        let before = &readings.before.spectrum;
        let reference = per_octave_db(before, REFERENCE_HZ.0, REFERENCE_HZ.1);
        if !reference.is_finite() || reference <= LEAST_REFERENCE_DBFS {
            return Self::default();
        }
        let inside = readings.strata.as_ref();
        let out = readings.after.as_ref();
        let (levelled_db, after_is_silent) = match out.filter(|_| inside.is_none()) {
            Some(side) => levelled(&side.spectrum, reference),
            None => (0.0, false),
        };
        let bands = bands.into_iter().map(|(hz, from, to)| {
            let level = |spectrum: &Spectrum| match per_octave_db(spectrum, from, to) {
                db if db.is_finite() => db.clamp(SILENCE_DB, -SILENCE_DB) - reference,
                _ => SILENCE_DB,
            };
            let given = level(before);
            let dry = inside.map_or(given, |strata| level(&strata.dry));
            let blend = inside.map_or(dry, |strata| level(&strata.blend));
            let low_band = inside.map_or(blend, |strata| level(&strata.low_band));
            let out = out.map_or(given, |side| level(&side.spectrum) + levelled_db);
            BandLayers { hz, given, dry, blend, low_band, out }
        });
        Self {
            bands: bands.collect(),
            has_layers: inside.is_some(),
            has_out: readings.after.is_some(),
            levelled_db,
            after_is_silent,
        }
    }

    /// The levels in the one-third-octave bands that were measured, `from_hz` to `to_hz` by name.
    pub fn thirds(readings: &Readings, from_hz: f64, to_hz: f64) -> Self {
        let bands = readings.before.bands.iter();
        let bands = bands.filter(|band| (from_hz..=to_hz).contains(&band.nominal_hz));
        Self::of(readings, bands.map(|band| (band.nominal_hz, band.from_hz, band.to_hz)))
    }

    /// The levels smoothed to 1/6 octave (IEC 61260-1, base 10) at `count` frequencies evenly
    /// spaced in octaves.
    pub fn smoothed(readings: &Readings, from_hz: f64, to_hz: f64, count: usize) -> Self {
        let half_band = 10f64.powf(0.3 / 12.0);
        let axis = Curve::sampled(from_hz, to_hz, count, |_| 0.0);
        Self::of(readings, axis.points().iter().map(|p| (p.0, p.0 / half_band, p.0 * half_band)))
    }

    /// The levels smoothed to 1/6 octave around one frequency; `None` as for an empty [`Layers::of`].
    pub fn smoothed_at(readings: &Readings, hz: f64) -> Option<BandLayers> {
        let half_band = 10f64.powf(0.3 / 12.0);
        Self::of(readings, [(hz, hz / half_band, hz * half_band)]).bands.first().copied()
    }

    /// True when trim or dry level part the dry part from what arrives, in any band.
    pub fn has_trim(&self) -> bool {
        self.bands.iter().any(|band| (band.dry - band.given).abs() > 0.1)
    }

    /// True when there is nothing to show.
    pub fn is_empty(&self) -> bool {
        self.bands.is_empty()
    }
}

/// What brings the mid band of `after` to `reference`, dB, and whether it has none.
fn levelled(after: &Spectrum, reference: f64) -> (f64, bool) {
    let own = per_octave_db(after, REFERENCE_HZ.0, REFERENCE_HZ.1);
    match own.is_finite() && own > SILENCE_DB.max(reference - SILENT_DB) {
        true => (reference - own, false),
        false => (0.0, true),
    }
}

/// A mid band this far below the other's is silence, dB.
const SILENT_DB: f64 = 140.0;

/// Power per octave between two frequencies, in dB.
fn per_octave_db(spectrum: &Spectrum, from_hz: f64, to_hz: f64) -> f64 {
    power_to_db(spectrum.power_between(from_hz, to_hz) / octaves(from_hz, to_hz))
}

/// What is asked for at `hz`; `None` outside the range of the target.
pub fn asked(target: Option<&Curve>, hz: f64) -> Option<f64> {
    let points = target?.points();
    let (first, last) = (points.first()?.0, points.last()?.0);
    // A nominal frequency may lie 1 % beside the exact one (ISO 266).
    (first * 0.98..=last * 1.02).contains(&hz).then(|| target?.at(hz)).flatten()
}
