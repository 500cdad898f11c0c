//! The analysers of one signal.

use super::Side;
use super::tail::Tail;
use crate::analysis::bands::{Fraction, bands};
use crate::analysis::clipping::Detector;
use crate::analysis::level::{LevelMeter, Work};
use crate::analysis::partials::{self, Partials};
use crate::analysis::spectrum::Spectrum;
use crate::units::mean_square_to_dbfs;

/// Where a tone is looked for, in Hz.
const TONES_HZ: (f64, f64) = (5.0, 1_000.0);
/// Share of the power there that one line must hold to be called a tone.
const TONE_SHARE: f64 = 0.9;
/// A tone this far below the whole signal is a side lobe of something else.
const FAINTEST_TONE_DB: f64 = -100.0;

/// Measures one signal; its spectrum is measured with those of others.
pub(super) struct SideMeter {
    sample_rate_hz: f64,
    level: LevelMeter,
    clipping: Detector,
    tails: Vec<Tail>,
}

impl SideMeter {
    pub(super) fn new(sample_rate_hz: f64, channels: usize) -> Self {
        Self {
            sample_rate_hz,
            level: LevelMeter::new(sample_rate_hz, channels),
            clipping: Detector::new(sample_rate_hz, channels),
            tails: (0..channels).map(|_| Tail::new(sample_rate_hz)).collect(),
        }
    }

    /// The work on the next samples in parts that touch nothing of each other.
    pub(super) fn works<'a>(&'a mut self, channels: &'a [&[f64]]) -> Vec<Work<'a>> {
        let Self { level, clipping, tails, .. } = self;
        let mut works = Vec::from(level.works(channels));
        works.push(Box::new(move || {
            clipping.push(channels);
            tails.iter_mut().zip(channels).for_each(|(tail, channel)| tail.push(channel));
        }));
        works
    }

    pub(super) fn reset(&mut self) {
        self.level.reset();
        self.clipping = Detector::new(self.sample_rate_hz, self.tails.len());
        self.tails.iter_mut().for_each(Tail::reset);
    }

    /// What was heard, of this `spectrum`.
    pub(super) fn reading(&self, spectrum: Spectrum) -> Side {
        Side {
            level: self.level.reading(),
            bands: bands(&spectrum, Fraction::Third),
            spectrum,
            clipping: self.clipping.reading(),
            partials: None,
        }
    }

    /// The lines beside the tone near `tone_hz` in the loudest channel's last stretch;
    /// `None` where no such tone stands out.
    pub(super) fn partials(&self, tone_hz: f64) -> Option<Partials> {
        let samples = self.tails[loudest(&self.tails)?].samples();
        let found = partials::of(&samples, self.sample_rate_hz, tone_hz).ok()?;
        let square: f64 = samples.iter().map(|x| x * x).sum();
        let all_dbfs = mean_square_to_dbfs(square / samples.len() as f64);
        (found.tone_dbfs > all_dbfs + FAINTEST_TONE_DB).then_some(found)
    }

    /// The last stretch of one channel.
    pub(super) fn stretch(&self, channel: usize) -> Vec<f64> {
        self.tails.get(channel).map(Tail::samples).unwrap_or_default()
    }
}

/// The channel with the loudest last stretch.
pub(super) fn loudest(tails: &[Tail]) -> Option<usize> {
    (0..tails.len()).max_by(|a, b| tails[*a].energy().total_cmp(&tails[*b].energy()))
}

/// The frequency of the line that holds nearly all the power below 1 kHz, if there is one.
pub(super) fn tone_hz(spectrum: &Spectrum) -> Option<f64> {
    let line = spectrum.strongest_line(TONES_HZ.0, TONES_HZ.1)?;
    let all = spectrum.power_between(TONES_HZ.0, TONES_HZ.1);
    (line.power > TONE_SHARE * all).then_some(line.hz)
}
