//! Is it clean? The same tones and the same noise through the line, for any
//! settings, and what comes out held against limits.
//!
//! Nothing here knows how the stages work: the tones are measured like those
//! of a strange device, and only closed-form responses say what to expect.

mod methods;
mod noise;
mod rest;
mod tones;

use crate::curve::Curve;
use crate::measure::{Ask, Measure, Readings};
use crate::path::{Listen, Path};
use crate::report::{Provenance, Run, Sheet, Table};
use crate::settings::Settings;

/// Sample rate of the proof in Hz.
const RATE_HZ: f64 = 48_000.0;

/// Seed of the noise.
const SEED: u64 = 7;

/// Samples handed on at a time; nothing depends on it.
const BLOCK: usize = 4_096;

/// Runs the whole proof: tones, pink noise, and coming to rest.
///
/// # Errors
/// One sentence when a test signal cannot be made.
pub fn prove(settings: &Settings) -> Result<Sheet, String> {
    let tones = tones::runs(settings)?;
    let noise = noise::run(settings)?;
    let mut sheet = Sheet::new("the line, on generated tones and noise");
    sheet.settings = Some(*settings);
    sheet.proofs = tones::proofs(&tones, settings);
    sheet.proofs.extend(noise::proofs(&noise));
    sheet.proofs.push(rest::proof(settings)?);
    sheet.tables = vec![tones::table(&tones)];
    sheet.runs = vec![Run::new(noise::NAME, noise)];
    sheet.runs.extend(tones::shown(tones));
    sheet.provenance = Provenance { seed: Some(SEED), ..Provenance::default() };
    Ok(sheet)
}

/// All methods beside each other and the lines of the octave part alone, as tables to add to a proof.
///
/// # Errors
/// As [`prove`].
pub fn methods(settings: &Settings) -> Result<Vec<Table>, String> {
    methods::tables(settings)
}

/// The whole proof, and what the settings do on a radio that was measured: `given` is what it gives,
/// dB re its mid band. The noise is then the radio's, held against a flat target.
///
/// # Errors
/// As [`prove`].
pub fn prove_on(settings: &Settings, given: &Curve, radio: &str) -> Result<Sheet, String> {
    let mut sheet = prove(settings)?;
    let heard = noise::on_radio(settings, given);
    sheet.subject = format!("the settings on {radio}");
    sheet.proofs.extend(noise::proofs_on_radio(&heard));
    sheet.runs[0] = Run::new("pink noise as the radio gives it", heard);
    sheet.original = Some(Curve::new([(16.0, 0.0), (1_000.0, 0.0)]));
    sheet.target = Some(Curve::new([(25.0, 0.0), (200.0, 0.0)]));
    sheet.admit("whether the radio still gives what it gave when it was measured");
    Ok(sheet)
}

/// Plays `seconds` of `source` through a fresh line and measures what `ask` asks.
fn measured(
    mut source: impl Iterator<Item = f64>,
    settings: &Settings,
    seconds: f64,
    ask: &Ask,
) -> Readings {
    let mut path = Path::new(RATE_HZ, 1);
    path.set(settings);
    let mut measure = Measure::new(RATE_HZ, 1, ask);
    play(&mut source, &mut path, seconds, &mut measure);
    measure.reading()
}

/// Plays `seconds` of `source` through `path`.
fn play(
    source: &mut impl Iterator<Item = f64>,
    path: &mut Path,
    seconds: f64,
    listener: &mut impl Listen,
) {
    let mut left = crate::units::seconds_to_samples(seconds, RATE_HZ);
    let mut block = [0f32; BLOCK];
    while left > 0 {
        let block = &mut block[..left.min(BLOCK)];
        block.iter_mut().for_each(|x| *x = source.next().unwrap_or(0.0) as f32);
        path.process(&mut [block], listener);
        left -= block.len();
    }
}
