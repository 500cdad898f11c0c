//! How loud two settings make the same sound: two lines run beside the one that is heard,
//! on the very samples that arrive.
//!
//! Loudness is that of ITU-R BS.1770; where its gate lets nothing through, the r.m.s. level.

use crate::analysis::level::LevelMeter;
use crate::path::{Path, Tap};
use crate::settings::{Hear, Settings};

/// Seconds that are not counted: the lines settle.
const SETTLING_S: f64 = 1.0;

/// Seconds that are counted: ten blocks of the gate and more.
const COUNTED_S: f64 = 4.0;

/// How long a comparison takes, in seconds.
pub const LASTS_S: f64 = SETTLING_S + COUNTED_S;

/// Two lines and their meters.
pub struct LoudnessMatch {
    lines: [Path; 2],
    meters: [LevelMeter; 2],
    block: [Vec<f32>; 2],
    counted: [Vec<f64>; 2],
    heard: f64,
    sample_rate_hz: f64,
}

impl LoudnessMatch {
    /// Two lines at `sample_rate_hz` with `channels` channels, set like this; both are heard at
    /// their end and not in bypass.
    pub fn new(sample_rate_hz: f64, channels: usize, settings: [Settings; 2]) -> Self {
        let lines = settings.map(|settings| {
            let mut line = Path::new(sample_rate_hz, channels);
            line.set(&Settings { bypass: false, listen: Hear::Blend, ..settings });
            line
        });
        Self {
            lines,
            meters: [(); 2].map(|()| LevelMeter::new(sample_rate_hz, channels)),
            block: Default::default(),
            counted: Default::default(),
            heard: 0.0,
            sample_rate_hz,
        }
    }

    /// Hears what arrives: one slice a channel, all of one length.
    pub fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        if tap != Tap::Before {
            return;
        }
        let count = channels.len().min(2);
        for (line, meter) in self.lines.iter_mut().zip(&mut self.meters) {
            for (block, channel) in self.block.iter_mut().zip(channels) {
                block.clear();
                block.extend(channel.iter().map(|x| *x as f32));
            }
            let [left, right] = &mut self.block;
            line.process(&mut [&mut left[..], &mut right[..]][..count], &mut ());
            if self.heard >= SETTLING_S {
                for (counted, block) in self.counted.iter_mut().zip(&self.block) {
                    counted.clear();
                    counted.extend(block.iter().map(|x| f64::from(*x)));
                }
                meter.push(&[&self.counted[0][..], &self.counted[1][..]][..count]);
            }
        }
        self.heard += channels.first().map_or(0, |c| c.len()) as f64 / self.sample_rate_hz;
    }

    /// How loud each of them was, in dB of one scale, once enough was heard.
    pub fn levels_db(&self) -> Option<[f64; 2]> {
        if self.heard < LASTS_S {
            return None;
        }
        let [one, other] = self.meters.each_ref().map(LevelMeter::reading);
        Some(match (one.loudness_lufs, other.loudness_lufs) {
            (Some(one), Some(other)) => [one, other],
            _ => [one.rms_dbfs, other.rms_dbfs],
        })
    }
}
