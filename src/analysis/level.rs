//! Peak, r.m.s., true peak and loudness of a whole signal.
//!
//! True peak and loudness are the `ebur128` library's reading of ITU-R BS.1770-5.

use ebur128::{EbuR128, Mode};

use crate::units::{SILENCE_DB, gain_to_db, mean_square_to_dbfs};

/// The level of a signal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Highest sample of any channel, dBFS.
    pub peak_dbfs: f64,
    /// r.m.s. level over all channels, dBFS by AES17 (full-scale sine = 0 dBFS).
    pub rms_dbfs: f64,
    /// True peak by ITU-R BS.1770, dBTP; how finely it looked between the samples is
    /// [`true_peak_oversampling`].
    pub true_peak_dbtp: f64,
    /// Integrated loudness by ITU-R BS.1770, LUFS; `None` when nothing passes its gate.
    pub loudness_lufs: Option<f64>,
    /// Mean value of the channel where it is largest, as a share of full scale.
    pub dc: f64,
}

impl Level {
    /// Crest factor in dB: peak over r.m.s., 3.01 for a sine.
    pub fn crest_db(&self) -> f64 {
        self.peak_dbfs - self.rms_dbfs + 10.0 * 2f64.log10()
    }
}

/// How many values a sample the true peak looks at: 4 below 96 kHz, 2 below 192 kHz, from
/// there up 1, the samples alone. Each is enough for content up to 24 kHz (BS.1770-5 annex 2
/// asks for 192 kHz after oversampling); above that the true peak may be higher.
pub fn true_peak_oversampling(sample_rate_hz: f64) -> u32 {
    match sample_rate_hz {
        rate if rate < 96_000.0 => 4,
        rate if rate < 192_000.0 => 2,
        _ => 1,
    }
}

/// Measures the level of a signal of any length.
pub struct LevelMeter {
    /// `None` where the library does not take the rate or the number of channels.
    loudness: Option<EbuR128>,
    samples: u64,
    channels: Vec<Sums>,
}

/// What is added up of one channel, sample by sample, so that the size of the pieces
/// changes nothing.
#[derive(Clone, Copy, Default)]
struct Sums {
    peak: f64,
    value: f64,
    square: f64,
}

impl LevelMeter {
    /// For `channels` channels at `sample_rate_hz`.
    pub fn new(sample_rate_hz: f64, channels: usize) -> Self {
        let mode = Mode::I | Mode::TRUE_PEAK;
        Self {
            loudness: EbuR128::new(channels as u32, sample_rate_hz.round() as u32, mode).ok(),
            samples: 0,
            channels: vec![Sums::default(); channels],
        }
    }

    /// Hears the next samples: one slice a channel, all of one length.
    pub fn push(&mut self, channels: &[&[f64]]) {
        let Some(first) = channels.first().filter(|c| !c.is_empty()) else { return };
        self.samples += first.len() as u64;
        for (sums, channel) in self.channels.iter_mut().zip(channels) {
            sums.add(channel);
        }
        if let Some(loudness) = &mut self.loudness {
            // It refuses only a number of channels other than its own.
            let _ = loudness.add_frames_planar_f64(channels);
        }
    }

    /// The level so far; everything silent before the first sample.
    pub fn reading(&self) -> Level {
        let samples = self.samples.max(1) as f64;
        let dc = self.channels.iter().map(|sums| sums.value / samples);
        let square: f64 = self.channels.iter().map(|sums| sums.square / samples).sum();
        Level {
            peak_dbfs: gain_to_db(self.peak()),
            rms_dbfs: mean_square_to_dbfs(square / self.channels.len().max(1) as f64),
            true_peak_dbtp: gain_to_db(self.true_peak()),
            loudness_lufs: self.loudness_lufs(),
            dc: dc.max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0),
        }
    }

    /// Forgets everything heard.
    pub fn reset(&mut self) {
        if let Some(loudness) = &mut self.loudness {
            loudness.reset();
        }
        self.samples = 0;
        self.channels.fill(Sums::default());
    }

    /// The highest sample of any channel.
    fn peak(&self) -> f64 {
        self.channels.iter().fold(0.0, |peak, sums| peak.max(sums.peak))
    }

    /// The highest value between or at the samples.
    fn true_peak(&self) -> f64 {
        let between = |channel| self.loudness.as_ref()?.true_peak(channel as u32).ok();
        (0..self.channels.len()).filter_map(between).fold(self.peak(), f64::max)
    }

    /// Gated loudness; silence and anything too short for one gate block has none.
    fn loudness_lufs(&self) -> Option<f64> {
        let lufs = self.loudness.as_ref()?.loudness_global().ok()?;
        (lufs > SILENCE_DB).then_some(lufs)
    }
}

impl Sums {
    fn add(&mut self, samples: &[f64]) {
        let mut now = *self;
        for x in samples {
            now.peak = now.peak.max(x.abs());
            now.value += x;
            now.square += x * x;
        }
        *self = now;
    }
}
