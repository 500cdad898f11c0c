//! Pink noise through the line: what was added where, and whether it clips.

use crate::curve::Curve;
use crate::measure::{Ask, Measure, Readings};
use crate::planning::rehearse::Rehearsal;
use crate::prove::{RATE_HZ, SEED, measured};
use crate::report::{Limit, Proof};
use crate::settings::Settings;
use crate::signal::{Kind, Pink, Source};
use crate::units::db_to_gain;

/// Level of the noise in dBFS r.m.s.: programme with some headroom (common practice, no source).
const LEVEL_DBFS: f64 = -20.0;

/// What the run is called.
pub(super) const NAME: &str = "pink noise, −20 dBFS r.m.s.";

/// The noise repeats after this many seconds, and is measured for as long:
/// its own levels are then exact, whatever the window.
const PERIOD_S: f64 = 8.0;

/// Time for filters and octave part to settle, in seconds.
const SETTLE_S: f64 = 2.0;

/// Runs the noise and measures it.
///
/// # Errors
/// One sentence when the noise cannot be made.
pub(super) fn run(settings: &Settings) -> Result<Readings, String> {
    let pink = Pink { level_dbfs: LEVEL_DBFS, period_s: PERIOD_S, ..Pink::default() };
    let source = Source::new(&Kind::Pink(pink), RATE_HZ, SEED)?;
    let ask = Ask { strata: true, skip_s: SETTLE_S, ..Ask::default() };
    Ok(measured(source, settings, SETTLE_S + PERIOD_S, &ask))
}

/// What must hold for the noise.
pub(super) fn proofs(readings: &Readings) -> Vec<Proof> {
    let out = readings.after.as_ref().unwrap_or(&readings.before);
    let clipped = out.clipping.digital_runs + out.clipping.flat_runs;
    vec![
        Proof::new("true peak of the noise", out.level.true_peak_dbtp, "dBTP", Limit::AtMost(0.0)),
        Proof::new("stretches clipped in the noise", clipped as f64, "", Limit::AtMost(0.0))
            .decimals(0),
    ]
}

/// Level of a third-octave band of the mid range when pink noise of [`LEVEL_DBFS`] fills thirty of
/// them, dBFS.
const MID_BAND_DBFS: f64 = LEVEL_DBFS - 14.77;

/// The noise as a radio gives it, its mid band where programme has it: one period settles, the
/// next is measured.
pub(super) fn on_radio(settings: &Settings, given: &Curve) -> Readings {
    let radio = Rehearsal::new(given);
    let noise: Vec<f64> = radio.noise().iter().map(|x| f64::from(*x)).collect();
    let gain = db_to_gain(MID_BAND_DBFS - mid_band_dbfs(&noise));
    let period_s = noise.len() as f64 / RATE_HZ;
    let ask = Ask { strata: true, skip_s: period_s, ..Ask::default() };
    let source = noise.iter().cycle().map(|x| gain * x);
    measured(source, settings, 2.0 * period_s, &ask)
}

/// Mean level of the third-octave bands from 250 Hz to 1 kHz.
fn mid_band_dbfs(noise: &[f64]) -> f64 {
    let mut measure = Measure::new(RATE_HZ, 1, &Ask::default());
    measure.push(&[noise]);
    let readings = measure.reading();
    let mid = readings.before.bands.iter().filter(|b| (250.0..=1000.0).contains(&b.nominal_hz));
    let levels: Vec<f64> = mid.map(|band| band.level_db).collect();
    levels.iter().sum::<f64>() / levels.len().max(1) as f64
}

/// What must hold for the radio's noise.
pub(super) fn proofs_on_radio(readings: &Readings) -> Vec<Proof> {
    let out = readings.after.as_ref().unwrap_or(&readings.before);
    let peak = out.level.true_peak_dbtp;
    vec![Proof::new("true peak of the radio's noise", peak, "dBTP", Limit::AtMost(0.0))]
}
