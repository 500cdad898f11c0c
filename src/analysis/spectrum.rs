//! An averaged power spectrum over blocks of 2 s, so that every half hertz is a bin.
//!
//! Powers are added, never decibels; a level is read by adding bins.

use std::ops::RangeInclusive;

use super::window::Window;
use crate::units::power_to_db;

/// An averaged power spectrum.
#[derive(Clone, Debug, PartialEq)]
pub struct Spectrum {
    /// Distance of two bins in Hz.
    pub df_hz: f64,
    /// Power of each bin from 0 Hz up, so that the sum over bins is the AES17
    /// power: 1.0 for a full-scale sine (twice the mean square).
    pub power: Vec<f64>,
    /// The window the blocks were weighted with.
    pub window: Window,
    /// Effective number of independent averages (overlap counted, Welch 1967).
    pub averages: f64,
}

/// A line found in a spectrum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// Frequency in Hz, read between the bins.
    pub hz: f64,
    /// Power of its main lobe, AES17: 1.0 for a full-scale sine.
    pub power: f64,
}

impl Spectrum {
    /// Highest frequency in Hz.
    pub fn top_hz(&self) -> f64 {
        self.power.len().saturating_sub(1) as f64 * self.df_hz
    }

    /// Power from `from_hz` to `to_hz` (AES17). A bin stands for half a bin width
    /// to both sides; one that an edge cuts counts with the share inside.
    pub fn power_between(&self, from_hz: f64, to_hz: f64) -> f64 {
        let (from, to) = (from_hz / self.df_hz, to_hz / self.df_hz);
        let share = |bin: usize| {
            let (low, high) = ((bin as f64 - 0.5).max(0.0), bin as f64 + 0.5);
            ((to.min(high) - from.max(low)) / (high - low)).clamp(0.0, 1.0)
        };
        // Between the two bins that the edges cut every share is one: no division there.
        let (first, last) = self.bins(from, to).into_inner();
        match first < last {
            true => {
                let ends = share(first) * self.power[first] + share(last) * self.power[last];
                ends + self.power[first + 1..last].iter().sum::<f64>()
            }
            false => (first..=last).map(|k| share(k) * self.power[k]).sum(),
        }
    }

    /// Power of all bins (AES17).
    pub fn total_power(&self) -> f64 {
        self.power.iter().sum()
    }

    /// Power of the line at `hz`: the bins of its main lobe (AES17).
    pub fn line_power(&self, hz: f64) -> f64 {
        let (middle, half) = (hz / self.df_hz, self.window.half_lobe_bins());
        let inside = |k: &usize| (*k as f64 - middle).abs() < half + 1e-9;
        let bins = self.bins(middle - half, middle + half);
        bins.filter(inside).map(|k| self.power[k]).sum()
    }

    /// Level of the line at `hz` in dBFS (AES17).
    pub fn line_dbfs(&self, hz: f64) -> f64 {
        power_to_db(self.line_power(hz))
    }

    /// The strongest line from `from_hz` to `to_hz`; `None` where there is no power.
    pub fn strongest_line(&self, from_hz: f64, to_hz: f64) -> Option<Peak> {
        let bins = self.bins(from_hz / self.df_hz, to_hz / self.df_hz);
        let top = bins.max_by(|a, b| self.power[*a].total_cmp(&self.power[*b]))?;
        let hz = (top as f64 + self.offset_bins(top)) * self.df_hz;
        let power = self.line_power(hz);
        (power > 0.0).then_some(Peak { hz, power })
    }

    /// Seconds of an unweighted, unbroken stretch that vary as little as this average.
    pub fn equivalent_s(&self) -> f64 {
        self.averages / self.df_hz / self.window.variance_factor()
    }

    /// How far a line lies from its highest bin, -0.5..0.5 bins. By the ratio of the
    /// two highest bins: exact for Hann (Grandke 1983), near enough to name a line else.
    fn offset_bins(&self, top: usize) -> f64 {
        let amplitude = |k: usize| self.power.get(k).map_or(0.0, |p| p.sqrt());
        let (below, above) = (amplitude(top.wrapping_sub(1)), amplitude(top + 1));
        let ratio = below.max(above) / amplitude(top).max(f64::MIN_POSITIVE);
        let offset = match self.window {
            Window::Hann => (2.0 * ratio - 1.0) / (ratio + 1.0),
            _ => 0.0,
        };
        offset.clamp(0.0, 0.5).copysign(above - below)
    }

    /// The bins that touch a range given in bins.
    fn bins(&self, from: f64, to: f64) -> RangeInclusive<usize> {
        let Some(last) = self.power.len().checked_sub(1) else {
            return RangeInclusive::new(1, 0);
        };
        let first = (from - 0.5).ceil().max(0.0) as usize;
        first..=((to + 0.5).floor().max(0.0) as usize).min(last)
    }
}
