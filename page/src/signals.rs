//! Sounds that the page plays or keeps: test signals, the measuring track, a song matched in level.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::{Value, json};
use underpin::analysis::level::LevelMeter;
use underpin::audio::encode::{Coder, Format, Spec, header};
use underpin::path::Path;
use underpin::settings::{Hear, Settings};
use underpin::signal::track::layout::Form;
use underpin::signal::track::{LEVEL_STEPS, Track};
use underpin::signal::{Kick, Kind, Pink, Source, Sweep, Tone};

use crate::asked::{number, text};
use crate::values;

/// A test signal fades in and out over this, in seconds: no click, and time to take a hand away.
const FADES_S: (f64, f64) = (0.5, 0.1);

/// The seed of what is random in it.
const SEED: u64 = 7;

/// A test signal as 32-bit floats, one channel.
pub(crate) fn sound(asked: &Value) -> Result<Vec<u8>, String> {
    let level_dbfs = number(asked, "dbfs", -30.0).clamp(-60.0, 0.0);
    let kind = match text(asked, "kind") {
        "tone" => Kind::Tone(Tone { hz: number(asked, "hz", 60.0), level_dbfs, ..Tone::default() }),
        "pink" => Kind::Pink(Pink { level_dbfs, ..Pink::default() }),
        "sweep" => Kind::Sweep(Sweep { level_dbfs, ..Sweep::default() }),
        "kick" => Kind::Kick(Kick { level_dbfs, every_s: Some(1.0), ..Kick::default() }),
        other => return Err(format!("there is no signal {other:?}")),
    };
    let source = Source::new(&kind, number(asked, "rate", 48_000.0), SEED)?;
    let source = source.lasting(number(asked, "seconds", 30.0).clamp(0.1, 60.0));
    Ok(source.fading(FADES_S.0, FADES_S.1).flat_map(|x| (x as f32).to_le_bytes()).collect())
}

/// The measuring track as a WAV of 16 bits: the bytes that the program writes.
pub(crate) fn track(asked: &Value) -> Result<Vec<u8>, String> {
    let form = if text(asked, "form") == "long" { Form::Long } else { Form::Short };
    let lower = number(asked, "lower", 0.0) as u8;
    let rate_hz = number(asked, "rate", 48_000.0);
    if lower >= LEVEL_STEPS || !(12_000.0..=192_000.0).contains(&rate_hz) || rate_hz % 10.0 != 0.0 {
        return Err("no such track".into());
    }
    let track = Track::new(form, lower, rate_hz);
    let frames = track.samples();
    let format = Format::Int16;
    let spec =
        Spec { sample_rate_hz: rate_hz, channels: 2, format, seed: 1, frames: Some(frames as u64) };
    let mut coder = Coder::new(spec);
    let mut wav = header(&spec, Some(frames as u64));
    for start in (0..frames).step_by(4096) {
        let end = frames.min(start + 4096);
        let side = |side: usize| (start..end).map(|n| track.frame(n)[side] as f32).collect();
        coder.encode(&[side(0), side(1)]);
        wav.extend(&coder.bytes);
    }
    Ok(wav)
}

/// How much louder the settings make a stretch of sound, in dB by ITU-R BS.1770; where its gate lets
/// nothing through, by the r.m.s. level. The stretch is a kept file of floats, left then right.
pub(crate) fn matched(asked: &Value, files: &BTreeMap<String, Arc<[u8]>>) -> Result<Value, String> {
    let bytes = files.get(text(asked, "name")).ok_or("nothing was played yet")?;
    let rate_hz = number(asked, "rate", 48_000.0);
    let floats: Vec<f32> =
        bytes.as_chunks::<4>().0.iter().map(|four| f32::from_le_bytes(*four)).collect();
    let (left, right) = floats.split_at(floats.len() / 2);
    let settings = Settings { bypass: false, listen: Hear::Blend, ..values::settings(asked) };
    let mut path = Path::new(rate_hz, 2);
    path.set(&settings);
    let [mut before, mut after] = [(); 2].map(|()| LevelMeter::new(rate_hz, 2));
    // The line settles in the first second.
    let skip = (rate_hz as usize).min(left.len() / 4);
    for start in (0..left.len()).step_by(4096) {
        let end = left.len().min(start + 4096);
        let mut block = [left[start..end].to_vec(), right[start..end].to_vec()];
        let wide = |block: &[Vec<f32>; 2]| {
            block.each_ref().map(|c| c.iter().map(|x| f64::from(*x)).collect::<Vec<_>>())
        };
        let given = wide(&block);
        let [l, r] = &mut block;
        path.process(&mut [l, r], &mut ());
        let out = wide(&block);
        if start >= skip {
            before.push(&[&given[0], &given[1]]);
            after.push(&[&out[0], &out[1]]);
        }
    }
    let (before, after) = (before.reading(), after.reading());
    let louder = match (before.loudness_lufs, after.loudness_lufs) {
        (Some(before), Some(after)) => after - before,
        _ => after.rms_dbfs - before.rms_dbfs,
    };
    match before.rms_dbfs > -70.0 && after.rms_dbfs > -70.0 {
        true => Ok(json!({ "louder_db": louder })),
        false => Err("nothing sounds that could be compared".into()),
    }
}
