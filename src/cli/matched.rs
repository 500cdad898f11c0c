//! `render --match`: dry part, octave part and blend as three files of equal loudness (ITU-R BS.1770), so
//! that listening compares sound and not level.

use std::path::{Path, PathBuf};

use crate::audio::encode::{Format, Spec};
use crate::cli::audio_file::{Writer, open};
use crate::cli::failure::{Code, Failure};
use crate::cli::through::through;
use crate::cli::{places, remark};
use crate::measure::{Ask, Measure};
use crate::settings::{Choice, Hear, Settings};
use crate::units::db_to_gain;

/// Highest true peak of the loudest of the three, dBTP (EBU R 128, from memory).
const MOST_DBTP: f64 = -1.0;

/// What can be heard from the line, in the order of the files.
const PARTS: [Hear; 3] = [Hear::Dry, Hear::Octave, Hear::Blend];

/// One part as it comes out: loudness in LUFS and true peak in dBTP.
struct Heard {
    part: Hear,
    lufs: f64,
    dbtp: f64,
}

/// Writes the parts beside `output`: `out.wav` becomes `out-dry.wav`, `out-octave.wav` and
/// `out-blend.wav`.
///
/// # Errors
/// A file cannot be read or written, or the input is silent.
pub(super) fn write(
    input: &Path,
    output: &Path,
    settings: &Settings,
    (format, seed, force): (Format, u64, bool),
) -> Result<(), Failure> {
    if [input, output].contains(&Path::new("-")) {
        return Err(Failure::usage(
            "--match reads the input several times and writes three files: give names",
        ));
    }
    let places = PARTS.map(|part| beside(output, part));
    let named = places.each_ref().map(|path| ("--match", Some(path.as_path())));
    places::apart(&named, &[input])?;
    let heard: Vec<Heard> = PARTS
        .into_iter()
        .map(|part| hear(input, settings, part))
        .collect::<Result<Vec<_>, _>>()?
        .into_iter()
        .flatten()
        .collect();
    let Some(lufs) = common_lufs(&heard) else {
        return Err(Failure::new(
            Code::Impossible,
            "the input is silent: there is nothing to match",
        ));
    };
    for Heard { part, lufs: own, .. } in &heard {
        let gain_db = lufs - own;
        let path = beside(output, *part);
        let reader = open(input)?;
        let spec = Spec {
            sample_rate_hz: reader.sample_rate_hz(),
            channels: reader.channels(),
            format,
            seed,
            frames: reader.frames(),
        };
        let mut writer = Writer::create(&path, force, spec)?;
        let gain = db_to_gain(gain_db) as f32;
        through(reader, &Settings { listen: *part, ..*settings }, &mut (), |block| {
            block.iter_mut().flatten().for_each(|x| *x *= gain);
            writer.write(block)
        })?;
        writer.finish()?;
        remark(&format!("{}: {lufs:.1} LUFS, {gain_db:+.1} dB", path.display()));
    }
    Ok(())
}

/// Loudness and peak of one part; `None` when it is too quiet to have a loudness.
fn hear(input: &Path, settings: &Settings, part: Hear) -> Result<Option<Heard>, Failure> {
    let reader = open(input)?;
    let (rate, channels) = (reader.sample_rate_hz(), reader.channels());
    let mut measure = Measure::new(rate, channels, &Ask::default());
    through(reader, &Settings { listen: part, ..*settings }, &mut measure, |_| Ok(()))?;
    let Some(out) = measure.reading().after else { return Ok(None) };
    let lufs = out.level.loudness_lufs;
    if lufs.is_none() {
        remark(&format!("the {} is silent: no file for it", part.word()));
    }
    Ok(lufs.map(|lufs| Heard { part, lufs, dbtp: out.level.true_peak_dbtp }))
}

/// The highest loudness that all can have without a peak above [`MOST_DBTP`].
fn common_lufs(heard: &[Heard]) -> Option<f64> {
    heard.iter().map(|h| h.lufs + MOST_DBTP - h.dbtp).reduce(f64::min)
}

fn beside(output: &Path, part: Hear) -> PathBuf {
    let stem = output.file_stem().unwrap_or_default().to_string_lossy();
    let ending = output.extension().map_or("wav".into(), |e| e.to_string_lossy());
    output.with_file_name(format!("{stem}-{}.{ending}", part.word()))
}
