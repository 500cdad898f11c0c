//! The analysers of one signal.

use super::Side;
use super::tail::Tail;
use crate::analysis::averager::Averager;
use crate::analysis::bands::{Fraction, bands};
use crate::analysis::clipping::Clipping;
use crate::analysis::level::LevelMeter;
use crate::analysis::spectrum::Spectrum;
use crate::analysis::window::Window;

/// Where a tone is looked for, in Hz.
const TONES_HZ: (f64, f64) = (5.0, 1_000.0);
/// Share of the power there that one line must hold to be called a tone.
const TONE_SHARE: f64 = 0.9;

/// Measures one signal.
pub(super) struct SideMeter {
    level: LevelMeter,
    averager: Averager,
    tails: Vec<Tail>,
}

impl SideMeter {
    pub(super) fn new(sample_rate_hz: f64, channels: usize, periodic: bool) -> Self {
        Self {
            level: LevelMeter::new(sample_rate_hz, channels),
            averager: match periodic {
                true => Averager::for_periodic(sample_rate_hz, channels),
                false => Averager::new(sample_rate_hz, channels, Window::Hann),
            },
            tails: (0..channels).map(|_| Tail::new(sample_rate_hz)).collect(),
        }
    }

    pub(super) fn averager(&self) -> &Averager {
        &self.averager
    }

    pub(super) fn push(&mut self, channels: &[&[f64]]) {
        self.level.push(channels);
        self.averager.push(channels);
        self.tails.iter_mut().zip(channels).for_each(|(tail, channel)| tail.push(channel));
    }

    pub(super) fn reset(&mut self) {
        self.level.reset();
        self.averager.reset();
        self.tails.iter_mut().for_each(Tail::reset);
    }

    /// What was heard; `tone_hz` names the tone whose lines are wanted, or looks for one.
    pub(super) fn reading(&self) -> Side {
        let spectrum = self.averager.reading();
        Side {
            level: self.level.reading(),
            bands: bands(&spectrum, Fraction::Third),
            spectrum,
            clipping: Clipping::default(),
            partials: None,
        }
    }

    /// The last stretch of the loudest channel.
    pub(super) fn loudest(&self) -> Vec<f64> {
        let loudest = self.tails.iter().max_by(|a, b| a.energy().total_cmp(&b.energy()));
        loudest.map(Tail::samples).unwrap_or_default()
    }
}

/// The frequency of the line that holds nearly all the power below 1 kHz, if there is one.
pub(super) fn tone_hz(spectrum: &Spectrum) -> Option<f64> {
    let line = spectrum.strongest_line(TONES_HZ.0, TONES_HZ.1)?;
    let all = spectrum.power_between(TONES_HZ.0, TONES_HZ.1);
    (line.power > TONE_SHARE * all).then_some(line.hz)
}
