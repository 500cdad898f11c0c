//! What arrives at an input: its level, and the measuring track as it comes, kept so that it can be
//! diagnosed like a file.

use serde_json::{Value, json};
use underpin::audio::encode::{Coder, Format, Spec, header};
use underpin::planning::capture::{Capture, Refusal, Take};
use underpin::units::gain_to_db;

use crate::worker::number;

/// The longest that is kept, in seconds: four long tracks.
const MOST_S: f64 = 720.0;

/// Frames of the level that is told: a third of a second at 48 kHz.
const LEVEL_FRAMES: usize = 16_384;

/// A sample this near to full scale counts as driven to it (−0.1 dBFS).
const FULL_SCALE: f32 = 0.9886;

/// An input that is listened to.
pub(crate) struct Listening {
    rate_hz: f64,
    capture: Option<Capture>,
    kept: Vec<Vec<f32>>,
    /// What was recognised so far, one sentence each.
    told: Vec<String>,
    takes: usize,
    full: u64,
}

impl Listening {
    pub(crate) fn new(asked: &Value) -> Result<Self, String> {
        let rate_hz = number(asked, "rate", 48_000.0);
        let channels = number(asked, "channels", 1.0).clamp(1.0, 2.0) as usize;
        let capture = Capture::new(rate_hz as u32, channels).map_err(|why| why.to_string())?;
        let (told, kept) = (Vec::new(), vec![Vec::new(); channels]);
        Ok(Self { rate_hz, capture: Some(capture), kept, told, takes: 0, full: 0 })
    }

    /// Hears what arrives.
    pub(crate) fn hear(&mut self, channels: &[&[f32]]) {
        let heard: Vec<&[f32]> = channels.iter().copied().take(self.kept.len()).collect();
        if heard.len() < self.kept.len() || self.seconds() > MOST_S {
            return;
        }
        for (kept, channel) in self.kept.iter_mut().zip(&heard) {
            kept.extend_from_slice(channel);
        }
        let loud = |x: &&f32| x.abs() >= FULL_SCALE;
        self.full += heard.iter().map(|c| c.iter().filter(loud).count() as u64).sum::<u64>();
        let (told, takes) = (&mut self.told, &mut self.takes);
        if let Some(capture) = &mut self.capture {
            capture.push(&heard, |found| note(found, told, takes));
        }
    }

    fn seconds(&self) -> f64 {
        self.kept[0].len() as f64 / self.rate_hz
    }

    /// Level, time and what was recognised.
    pub(crate) fn told(&self) -> Value {
        let level = |channel: &Vec<f32>| {
            let last = &channel[channel.len().saturating_sub(LEVEL_FRAMES)..];
            let peak = last.iter().fold(0f32, |peak, x| peak.max(x.abs()));
            gain_to_db(peak.into())
        };
        json!({
            "seconds": self.seconds(),
            "peaks_dbfs": self.kept.iter().map(level).collect::<Vec<_>>(),
            "full_scale": self.full,
            "takes": self.takes,
            "told": self.told,
            "is_full": self.seconds() > MOST_S,
        })
    }

    /// Everything that was heard, as a WAV of 32-bit floats.
    pub(crate) fn wav(self) -> Vec<u8> {
        let frames = self.kept[0].len() as u64;
        let spec = Spec {
            sample_rate_hz: self.rate_hz,
            channels: self.kept.len(),
            format: Format::F32,
            seed: 1,
            frames: Some(frames),
        };
        let mut coder = Coder::new(spec);
        coder.encode(&self.kept);
        [header(&spec, Some(frames)), coder.bytes].concat()
    }
}

fn note(found: Result<Take, Refusal>, told: &mut Vec<String>, takes: &mut usize) {
    match found {
        Ok(take) => {
            *takes += 1;
            told.push(format!("take {takes} is complete; it began at {:.1} s", take.start_s));
        }
        Err(why) => told.push(why.to_string()),
    }
}
