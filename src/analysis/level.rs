//! Peak, r.m.s., true peak and loudness of a whole signal.
//!
//! True peak and loudness are the `ebur128` library's reading of ITU-R BS.1770-5.

mod true_peak;

use ebur128::{EbuR128, Mode};

use self::true_peak::TruePeak;
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

/// A piece of work that can be done beside others.
pub(crate) type Work<'a> = Box<dyn FnOnce() + Send + 'a>;

/// Measures the level of a signal of any length.
pub struct LevelMeter {
    /// `None` where the library does not take the rate or the number of channels.
    loudness: Option<EbuR128>,
    true_peak: TruePeak,
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
        let rate = sample_rate_hz.round() as u32;
        Self {
            loudness: EbuR128::new(channels as u32, rate, Mode::I).ok(),
            true_peak: TruePeak::new(sample_rate_hz, channels),
            samples: 0,
            channels: vec![Sums::default(); channels],
        }
    }

    /// Hears the next samples: one slice a channel, all of one length.
    pub fn push(&mut self, channels: &[&[f64]]) {
        self.works(channels).into_iter().for_each(|work| work());
    }

    /// The work on the next samples in parts that touch nothing of each other.
    pub(crate) fn works<'a>(&'a mut self, channels: &'a [&[f64]]) -> [Work<'a>; 2] {
        let Self { loudness, true_peak, samples, channels: all } = self;
        *samples += channels.first().map_or(0, |channel| channel.len()) as u64;
        [
            Box::new(move || true_peak.push(channels)),
            Box::new(move || {
                all.iter_mut().zip(channels).for_each(|(sums, channel)| sums.add(channel));
                if let Some(loudness) = loudness {
                    // It refuses only a number of channels other than its own.
                    let _ = loudness.add_frames_planar_f64(channels);
                }
            }),
        ]
    }

    /// The level so far; everything silent before the first sample.
    pub fn reading(&self) -> Level {
        let samples = self.samples.max(1) as f64;
        let dc = self.channels.iter().map(|sums| sums.value / samples);
        let square: f64 = self.channels.iter().map(|sums| sums.square / samples).sum();
        Level {
            peak_dbfs: gain_to_db(self.peak()),
            rms_dbfs: mean_square_to_dbfs(square / self.channels.len().max(1) as f64),
            true_peak_dbtp: gain_to_db(self.true_peak.highest().max(self.peak())),
            loudness_lufs: self.loudness_lufs(),
            dc: dc.max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0),
        }
    }

    /// Forgets everything heard.
    pub fn reset(&mut self) {
        if let Some(loudness) = &mut self.loudness {
            loudness.reset();
        }
        self.true_peak.reset();
        self.samples = 0;
        self.channels.fill(Sums::default());
    }

    /// The highest sample of any channel.
    fn peak(&self) -> f64 {
        self.channels.iter().fold(0.0, |peak, sums| peak.max(sums.peak))
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
