//! The safety limiter at the end of the line: no sample above the ceiling, and
//! no lasting true peak above it.
//!
//! Zero latency sets the bounds. A sample is known when it arrives, so the
//! gain answers it at once. A peak between two samples is known only when the
//! samples after it have arrived: the gain answers it then, and holds. So true
//! peaks are held from their second appearance on, not at the first.

use std::f64::consts::PI;

use super::glide::Glide;
use super::lanes;
use crate::numeric::sinc;
use crate::settings::Settings;
use crate::units::db_to_gain;

/// The gain stays down this long after a peak: one whole period of 20 Hz, so
/// that a steady low tone keeps a steady gain.
const HOLD_S: f64 = 0.05;

/// The gain then returns by 6 dB in this time.
const RELEASE_S: f64 = 0.5;

/// Samples on either side of an inter-sample peak that are weighed: a
/// windowed sinc of this half length reads a tone of 0.4 fs within 0.1 dB.
const REACH: usize = 8;

/// Points between two samples at which the peak is sought.
const POINTS: usize = 3;

/// A peak between samples is at most this many times the highest of them: the sum of a row's taps
/// without their signs is 2.05.
const MOST_RISE: f64 = 2.1;

/// The ceiling of the line.
pub struct Ceiling {
    on: Glide,
    ceiling: Glide,
    gain: f64,
    held: u32,
    hold: u32,
    release: f64,
    between: Between,
    /// Frames for which a peak between samples can still pass the ceiling.
    near: usize,
}

impl Ceiling {
    /// An open ceiling for signals at `sample_rate_hz`.
    pub fn new(sample_rate_hz: f64) -> Self {
        Self {
            on: Glide::new(0.0, sample_rate_hz),
            ceiling: Glide::new(1.0, sample_rate_hz),
            gain: 1.0,
            held: 0,
            hold: (HOLD_S * sample_rate_hz) as u32,
            release: libm::exp2(1.0 / (RELEASE_S * sample_rate_hz)),
            between: Between::new(),
            near: 0,
        }
    }

    /// Follows `output.ceiling` and `output.ceiling_dbfs`.
    pub fn set(&mut self, settings: &Settings) {
        self.on.set(f64::from(settings.output_ceiling));
        self.ceiling.set(db_to_gain(f64::from(settings.output_ceiling_dbfs)));
    }

    /// Back to silence, with the settings in force at once.
    pub fn reset(&mut self) {
        self.on.finish();
        self.ceiling.finish();
        self.gain = 1.0;
        self.held = 0;
        self.between = Between::new();
    }

    /// A stretch under the ceiling, in place; both channels share one gain.
    pub fn process(&mut self, left: &mut [f64], right: &mut [f64]) {
        if !self.on.rests_at(0.0) || self.ceiling.moves() {
            lanes::each(left, right, |frame| self.frame(frame));
        }
    }

    #[inline]
    fn frame(&mut self, frame: [f64; 2]) -> [f64; 2] {
        let (on, ceiling) = (self.on.step(), self.ceiling.step());
        if self.on.rests_at(0.0) {
            return frame;
        }
        let sample = frame[0].abs().max(frame[1].abs());
        self.between.push(frame);
        if MOST_RISE * sample > ceiling || self.ceiling.moves() {
            self.near = 2 * REACH;
        }
        let mut peak = sample;
        if self.near > 0 {
            self.near -= 1;
            peak = peak.max(self.between.peak());
        }
        self.recover();
        if peak * self.gain > ceiling {
            self.gain = ceiling / peak;
            self.held = self.hold;
        }
        let gain = 1.0 + on * (self.gain - 1.0);
        // While the ceiling comes down over an already loud signal, the blend
        // of gains may still be too high; rounding may be, by one bit.
        let under = |x: f64| if on == 1.0 { x.clamp(-ceiling, ceiling) } else { x };
        [under(frame[0] * gain), under(frame[1] * gain)]
    }

    fn recover(&mut self) {
        if self.held > 0 {
            self.held -= 1;
        } else if self.gain < 1.0 {
            self.gain = (self.gain * self.release).min(1.0);
        }
    }
}

/// Finds peaks between samples: a windowed-sinc interpolation at quarter
/// points (ITU-R BS.1770 annex 2 asks for at least four times oversampling).
struct Between {
    /// The last frames, written twice so that any stretch of them lies in one piece.
    past: [[f64; 2]; 4 * REACH],
    at: usize,
    taps: [[f64; 2 * REACH]; POINTS],
}

impl Between {
    fn new() -> Self {
        let mut taps = [[0.0; 2 * REACH]; POINTS];
        for (point, row) in taps.iter_mut().enumerate() {
            let offset = (point + 1) as f64 / (POINTS + 1) as f64;
            for (i, tap) in row.iter_mut().enumerate() {
                let x = i as f64 - (REACH - 1) as f64 - offset;
                *tap = sinc(x) * libm::cos(0.5 * PI * x / REACH as f64).powi(2);
            }
            let sum: f64 = row.iter().sum();
            row.iter_mut().for_each(|tap| *tap /= sum);
        }
        Self { past: [[0.0; 2]; 4 * REACH], at: 0, taps }
    }

    /// Takes a frame.
    fn push(&mut self, frame: [f64; 2]) {
        self.past[self.at] = frame;
        self.past[self.at + 2 * REACH] = frame;
        self.at = (self.at + 1) % (2 * REACH);
    }

    /// The highest peak between the two middle samples known now.
    fn peak(&self) -> f64 {
        let known = &self.past[self.at..self.at + 2 * REACH];
        let mut peak: f64 = 0.0;
        for row in &self.taps {
            let mut sum = [0.0; 2];
            for (tap, frame) in row.iter().zip(known) {
                sum[0] += tap * frame[0];
                sum[1] += tap * frame[1];
            }
            peak = peak.max(sum[0].abs()).max(sum[1].abs());
        }
        peak
    }
}
