//! Hears what sounds now: the latest wave, its level and its highest sample, at both ends.

use crate::analysis::scope::{self, Scope};
use crate::analysis::time_weighting::{FAST_S, SLOW_S, TimeWeighting};
use crate::editor::model::now::{Meter, Now};
use crate::path::{Listen, Tap};
use crate::plot::oscillogram::Stretch;
use crate::units::{gain_to_db, mean_square_to_dbfs};
use std::collections::VecDeque;

/// Length of a moment, in seconds: long enough for a few periods of the lowest bass.
const MOMENT_S: f64 = 0.3;

/// Moments whose highest sample is held.
const HELD: usize = 7;

/// Length of the wave that is shown, in seconds: two periods of 20 Hz.
const SHOWN_S: f64 = 0.1;

/// The trigger hears what lies below this, in Hz.
const BASS_HZ: f64 = 120.0;

/// Periods of the half from the beginning of the standing wave to now, at most: two that are
/// shown, one in which its beginning is looked for, and what lies beside the ends.
const STANDING: f64 = 3.5;

/// The wave at one tap: the latest moment, a channel each.
#[derive(Default)]
struct Wave(Vec<VecDeque<f64>>);

/// The level at one end.
#[derive(Default)]
struct Level {
    /// The highest sample of this moment, and those of the moments before.
    peak: f64,
    peaks: VecDeque<f64>,
    in_moment: usize,
    /// Fast and slow; none before the first sample.
    weighted: Option<[TimeWeighting; 2]>,
}

/// Hears what sounds now.
pub struct Live {
    moment: usize,
    sample_rate_hz: f64,
    before: Wave,
    dry: Wave,
    octave: Wave,
    after: Wave,
    levels: [Level; 2],
    /// Samples since the settings changed.
    since_change: usize,
    number: u64,
}

impl Live {
    /// At a sample rate in Hz.
    pub fn new(sample_rate_hz: f64) -> Self {
        Self {
            moment: (MOMENT_S * sample_rate_hz).max(1.0) as usize,
            sample_rate_hz,
            before: Wave::default(),
            dry: Wave::default(),
            octave: Wave::default(),
            after: Wave::default(),
            levels: Default::default(),
            since_change: usize::MAX,
            number: 0,
        }
    }

    /// The sample rate in Hz.
    pub fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    /// The settings are others from here on.
    pub fn change(&mut self) {
        self.since_change = 0;
    }

    /// What sounds now, `tone_hz` being the tone in it; silence before anything was heard.
    pub fn now(&mut self, tone_hz: Option<f64>) -> Now {
        self.number += 1;
        let before = self.before.mean();
        let length = ((SHOWN_S * self.sample_rate_hz) as usize).min(before.len());
        let from = self.trigger(&before, length);
        let cut = |wave: Vec<f64>| wave.into_iter().skip(from).take(length).collect();
        let scope = tone_hz.and_then(|hz| self.scope(2.0 / hz));
        let reaches_back = match &scope {
            Some(scope) => self.standing(scope.period_s),
            None => before.len() - from,
        };
        let [arrives, leaves] = &self.levels;
        Now {
            number: self.number,
            before: arrives.meter(&self.before),
            after: leaves.meter(&self.after),
            wave: Stretch {
                seconds: length as f64 / self.sample_rate_hz,
                before: cut(before),
                octave: cut(self.octave.mean()),
                after: cut(self.after.mean()),
            },
            scope,
            is_moving: self.since_change < reaches_back,
        }
    }

    /// The wave standing still, of the channel that is loudest before the line; of one setting as
    /// soon as there is enough of it.
    fn scope(&self, period_s: f64) -> Option<Scope> {
        let channel = self.dry.loudest()?;
        let (dry, out) = (self.dry.0.get(channel)?, self.after.0.get(channel)?);
        let octave = self.octave.0.first()?;
        let is_long = self.since_change >= self.standing(period_s);
        let length = if is_long { self.since_change.min(dry.len()) } else { dry.len() };
        let latest = |wave: &VecDeque<f64>| -> Vec<f64> {
            wave.iter().skip(wave.len().saturating_sub(length)).copied().collect()
        };
        let [dry, octave, out] = [dry, octave, out].map(latest);
        scope::trace(&dry, &octave, &out, self.sample_rate_hz, period_s)
    }

    /// Samples to which the standing wave reaches back.
    fn standing(&self, period_s: f64) -> usize {
        (STANDING * period_s * self.sample_rate_hz) as usize
    }

    /// Where the wave to show begins: the latest place with room behind it at which the bass
    /// rises through zero; without one, the latest with room.
    fn trigger(&self, wave: &[f64], length: usize) -> usize {
        let latest = wave.len() - length;
        // Two poles of first order.
        let share = 1.0 - (-std::f64::consts::TAU * BASS_HZ / self.sample_rate_hz).exp();
        let (mut first, mut bass, mut found) = (0.0, 0.0, latest);
        for (i, x) in wave.iter().enumerate().take(latest) {
            let was = bass;
            first += share * (x - first);
            bass += share * (first - bass);
            if was < 0.0 && bass >= 0.0 {
                found = i;
            }
        }
        found
    }
}

impl Wave {
    fn hear(&mut self, channels: &[&[f64]], moment: usize) {
        self.0.resize_with(channels.len(), VecDeque::new);
        for (wave, channel) in self.0.iter_mut().zip(channels) {
            let channel = &channel[channel.len().saturating_sub(moment)..];
            let excess = (wave.len() + channel.len()).saturating_sub(moment);
            wave.drain(..excess);
            wave.extend(channel);
        }
    }

    /// The mean of the channels.
    fn mean(&self) -> Vec<f64> {
        let share = 1.0 / self.0.len().max(1) as f64;
        let mut mean = vec![0.0; self.0.first().map_or(0, VecDeque::len)];
        for channel in &self.0 {
            mean.iter_mut().zip(channel).for_each(|(mean, x)| *mean += share * x);
        }
        mean
    }

    fn energy(channel: &VecDeque<f64>) -> f64 {
        channel.iter().map(|x| x * x).sum()
    }

    fn loudest(&self) -> Option<usize> {
        let energy = |at: &usize| Self::energy(&self.0[*at]);
        (0..self.0.len()).max_by(|a, b| energy(a).total_cmp(&energy(b)))
    }

    /// The mean square of all channels.
    fn mean_square(&self) -> f64 {
        let count: usize = self.0.iter().map(VecDeque::len).sum();
        self.0.iter().map(Self::energy).sum::<f64>() / count.max(1) as f64
    }
}

impl Level {
    fn meter(&self, wave: &Wave) -> Meter {
        let peak = self.peaks.iter().fold(self.peak, |a, b| a.max(*b));
        let weighted = self.weighted.as_ref();
        Meter {
            rms_dbfs: mean_square_to_dbfs(wave.mean_square()),
            peak_dbfs: gain_to_db(peak),
            weighted_dbfs: weighted.map_or([f64::NEG_INFINITY; 2], |all| all.map(|w| w.dbfs())),
        }
    }

    fn hear(&mut self, channels: &[&[f64]], moment: usize) {
        let rate_hz = moment as f64 / MOMENT_S;
        let fresh = || [FAST_S, SLOW_S].map(|constant| TimeWeighting::new(constant, rate_hz));
        let mut weighted = self.weighted.unwrap_or_else(fresh);
        for i in 0..channels.first().map_or(0, |channel| channel.len()) {
            let all = || channels.iter().filter_map(|channel| channel.get(i).copied());
            self.peak = all().fold(self.peak, |top: f64, x| top.max(x.abs()));
            let square: f64 = all().map(|x| x * x).sum();
            weighted.iter_mut().for_each(|w| w.push(square / channels.len() as f64));
            self.in_moment += 1;
            if self.in_moment == moment {
                self.in_moment = 0;
                self.keep_peak();
            }
        }
        self.weighted = Some(weighted);
    }

    fn keep_peak(&mut self) {
        if self.peaks.len() == HELD {
            self.peaks.pop_front();
        }
        self.peaks.push_back(std::mem::take(&mut self.peak));
    }
}

impl Listen for Live {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        let moment = self.moment;
        let heard = channels.first().map_or(0, |channel| channel.len());
        match tap {
            Tap::Before => {
                self.since_change = self.since_change.saturating_add(heard);
                self.before.hear(channels, moment);
                self.levels[0].hear(channels, moment);
            }
            Tap::Dry => self.dry.hear(channels, moment),
            Tap::Octave => self.octave.hear(&channels[..channels.len().min(1)], moment),
            Tap::After => {
                self.after.hear(channels, moment);
                self.levels[1].hear(channels, moment);
            }
            Tap::Blend | Tap::LowBand => {}
        }
    }
}
