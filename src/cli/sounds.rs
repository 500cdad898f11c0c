//! A short sound before and after the settings, of equal loudness (ITU-R BS.1770), to lie in a document.

use std::path::Path;

use crate::audio::encode::{Format, Spec, in_memory};
use crate::cli::audio_file::open;
use crate::cli::failure::{Code, Failure};
use crate::cli::through::through;
use crate::measure::{Ask, Measure};
use crate::report::Sound;
use crate::settings::Settings;
use crate::units::{db_to_gain, seconds_to_samples};

/// Longest sound, in seconds.
const LONGEST_S: f64 = 5.0;

/// Most bytes of one sound: two of them, in base 64, stay below 2 MB.
const MOST_BYTES: usize = 720_000;

/// Highest true peak of the louder one, dBTP (EBU R 128, from memory).
const MOST_DBTP: f64 = -1.0;

/// Bytes of a sample.
const SAMPLE: usize = 2;

/// The sound of a file from `from_s` seconds on: as it is, and behind the settings; mono, 16 bits.
///
/// # Errors
/// The file cannot be read, is over before that, or is silent there.
pub(super) fn before_and_after(
    path: &Path,
    from_s: f64,
    settings: &Settings,
) -> Result<Vec<Sound>, Failure> {
    let before = excerpt(path, from_s, &Settings { bypass: true, ..*settings })?;
    let after = excerpt(path, from_s, settings)?;
    let heard = [("before", &before), ("after", &after)];
    let told = heard.map(|(name, samples)| (name, samples, loudness(samples, before.rate_hz)));
    let common = told.iter().map(|(.., told)| told.map(|(lufs, dbtp)| lufs + MOST_DBTP - dbtp));
    let Some(common) = common.collect::<Option<Vec<f64>>>() else {
        let sentence = format!("{} is silent from {from_s} s on: nothing to hear", path.display());
        return Err(Failure::new(Code::Impossible, sentence));
    };
    let lufs = common.into_iter().fold(f64::MAX, f64::min);
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let sound = |(when, excerpt, told): (&str, &Excerpt, Option<(f64, f64)>)| {
        let gain_db = lufs - told.map_or(lufs, |(own, _)| own);
        let gain = db_to_gain(gain_db) as f32;
        let samples: Vec<f32> = excerpt.samples.iter().map(|x| gain * x).collect();
        Sound {
            title: format!("{when}: {name}"),
            note: format!("{lufs:.1} LUFS, {gain_db:+.1} dB, mono"),
            wav: in_memory(&[samples], excerpt.spec()),
        }
    };
    Ok(told.map(sound).into())
}

/// A short stretch, mixed to one channel.
struct Excerpt {
    rate_hz: f64,
    samples: Vec<f32>,
}

impl Excerpt {
    fn spec(&self) -> Spec {
        Spec {
            sample_rate_hz: self.rate_hz,
            channels: 1,
            format: Format::Int16,
            seed: 1,
            frames: Some(self.samples.len() as u64),
        }
    }
}

/// Plays the file through the line up to the end of the stretch, and keeps the stretch.
fn excerpt(path: &Path, from_s: f64, settings: &Settings) -> Result<Excerpt, Failure> {
    let reader = open(path)?;
    let rate_hz = reader.sample_rate_hz();
    let start = seconds_to_samples(from_s, rate_hz);
    let most = seconds_to_samples(LONGEST_S, rate_hz).min(MOST_BYTES / SAMPLE);
    let (mut at, mut samples) = (0, Vec::with_capacity(most));
    through(reader, settings, &mut (), |block| {
        let channels = block.len().max(1) as f32;
        for i in 0..block.first().map_or(0, Vec::len) {
            if at >= start && samples.len() < most {
                samples.push(block.iter().map(|channel| channel[i]).sum::<f32>() / channels);
            }
            at += 1;
        }
        Ok(())
    })?;
    if (samples.len() as f64) < 0.5 * rate_hz {
        let name = path.display();
        let sentence = format!("{name} is over before half a second from {from_s} s on");
        return Err(Failure::new(Code::Impossible, sentence));
    }
    Ok(Excerpt { rate_hz, samples })
}

/// Loudness in LUFS and true peak in dBTP; `None` of silence.
fn loudness(excerpt: &Excerpt, rate_hz: f64) -> Option<(f64, f64)> {
    let samples: Vec<f64> = excerpt.samples.iter().map(|x| f64::from(*x)).collect();
    let mut measure = Measure::new(rate_hz, 1, &Ask::default());
    measure.push(&[&samples]);
    let level = measure.reading().before.level;
    level.loudness_lufs.map(|lufs| (lufs, level.true_peak_dbtp))
}
