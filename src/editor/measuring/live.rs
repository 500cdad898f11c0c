//! Hears what sounds now: the latest wave, its level and its highest sample, at both ends.

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

/// The taps that are heard, in the order of [`Live::taps`].
const TAPS: [Tap; 3] = [Tap::Before, Tap::Octave, Tap::After];

/// What was heard last at one tap.
#[derive(Default)]
struct Heard {
    /// The mean of the channels.
    wave: VecDeque<f64>,
    /// Sum of squares of all channels in each sample.
    squares: VecDeque<f64>,
    channels: usize,
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
    taps: [Heard; TAPS.len()],
}

impl Live {
    /// At a sample rate in Hz.
    pub fn new(sample_rate_hz: f64) -> Self {
        let moment = (MOMENT_S * sample_rate_hz).max(1.0) as usize;
        Self { moment, sample_rate_hz, taps: Default::default() }
    }

    /// The sample rate in Hz.
    pub fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    /// What sounds now; silence before anything was heard.
    pub fn now(&self) -> Now {
        let [before, octave, after] = &self.taps;
        let length = ((SHOWN_S * self.sample_rate_hz) as usize).min(before.wave.len());
        let from = self.trigger(&before.wave, length);
        let cut = |heard: &Heard| heard.wave.iter().skip(from).take(length).copied().collect();
        let wave = Stretch {
            seconds: length as f64 / self.sample_rate_hz,
            before: cut(before),
            octave: cut(octave),
            after: cut(after),
        };
        Now { before: before.meter(), after: after.meter(), wave }
    }

    /// Where the wave to show begins: the latest place with room behind it at which the bass
    /// rises through zero; without one, the latest with room.
    fn trigger(&self, wave: &VecDeque<f64>, length: usize) -> usize {
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

impl Heard {
    fn meter(&self) -> Meter {
        let count = (self.squares.len() * self.channels).max(1) as f64;
        let square: f64 = self.squares.iter().sum();
        let peak = self.peaks.iter().fold(self.peak, |a, b| a.max(*b));
        let weighted = self.weighted.as_ref();
        Meter {
            rms_dbfs: mean_square_to_dbfs(square / count),
            peak_dbfs: gain_to_db(peak),
            weighted_dbfs: weighted.map_or([f64::NEG_INFINITY; 2], |all| all.map(|w| w.dbfs())),
        }
    }

    fn hear(&mut self, channels: &[&[f64]], moment: usize) {
        self.channels = channels.len();
        let rate_hz = moment as f64 / MOMENT_S;
        let fresh = || [FAST_S, SLOW_S].map(|constant| TimeWeighting::new(constant, rate_hz));
        let mut weighted = self.weighted.unwrap_or_else(fresh);
        for i in 0..channels.first().map_or(0, |channel| channel.len()) {
            let all = || channels.iter().filter_map(|channel| channel.get(i).copied());
            let peak = all().fold(0.0, |top: f64, x| top.max(x.abs()));
            self.peak = self.peak.max(peak);
            push(&mut self.wave, all().sum::<f64>() / channels.len() as f64, moment);
            let square: f64 = all().map(|x| x * x).sum();
            weighted.iter_mut().for_each(|w| w.push(square / channels.len() as f64));
            push(&mut self.squares, square, moment);
            self.in_moment += 1;
            if self.in_moment == moment {
                self.in_moment = 0;
                push(&mut self.peaks, std::mem::take(&mut self.peak), HELD);
            }
        }
        self.weighted = Some(weighted);
    }
}

/// Adds a value at the end of the latest `most`.
fn push(latest: &mut VecDeque<f64>, value: f64, most: usize) {
    if latest.len() >= most {
        latest.pop_front();
    }
    latest.push_back(value);
}

impl Listen for Live {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        if let Some(at) = TAPS.iter().position(|known| *known == tap) {
            self.taps[at].hear(channels, self.moment);
        }
    }
}
