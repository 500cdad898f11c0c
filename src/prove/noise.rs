//! Pink noise through the line: what was added where, and whether it clips.

use crate::measure::{Ask, Readings};
use crate::prove::{RATE_HZ, SEED, measured};
use crate::report::{Limit, Proof};
use crate::settings::Settings;
use crate::signal::{Kind, Pink, Source};

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
