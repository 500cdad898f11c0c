//! Signals with a known truth, amplitude 1 = full scale.

use super::RATE_HZ;
use std::f64::consts::{PI, TAU};

/// `seconds` of `at(t)`, t in seconds.
pub(crate) fn sampled(seconds: f64, rate_hz: f64, at: impl Fn(f64) -> f64) -> Vec<f64> {
    (0..(seconds * rate_hz).round() as usize).map(|i| at(i as f64 / rate_hz)).collect()
}

/// A cosine.
pub(crate) fn tone(amplitude: f64, hz: f64, seconds: f64, rate_hz: f64) -> Vec<f64> {
    sampled(seconds, rate_hz, |t| amplitude * (TAU * hz * t).cos())
}

/// Two cosines, the second one radian ahead.
pub(crate) fn pair(hz: [f64; 2], amplitudes: [f64; 2], seconds: f64) -> Vec<f64> {
    sampled(seconds, RATE_HZ, |t| {
        amplitudes[0] * (TAU * hz[0] * t).cos() + amplitudes[1] * (TAU * hz[1] * t + 1.0).cos()
    })
}

/// A drum hit that glides down onto a note.
#[derive(Clone, Copy)]
pub(crate) struct Kick {
    pub(crate) amplitude: f64,
    pub(crate) note_hz: f64,
    pub(crate) drop_hz: f64,
    pub(crate) drop_s: f64,
    pub(crate) decay_s: f64,
    pub(crate) phase: f64,
}

/// The kick of the goals: 150 Hz falling to 50 Hz, 60 dB in 0.58 s.
pub(crate) const KICK: Kick = Kick {
    amplitude: 0.8,
    note_hz: 50.0,
    drop_hz: 100.0,
    drop_s: 0.02,
    decay_s: 0.0833,
    phase: 0.0,
};

impl Kick {
    /// Its envelope at `t` after the hit.
    pub(crate) fn envelope(&self, t: f64) -> f64 {
        if t < 0.0 {
            0.0
        } else {
            self.amplitude * (-t / self.decay_s).exp() * (t / 0.002).min(1.0)
        }
    }

    /// Its angle at `t`, in radians.
    pub(crate) fn angle(&self, t: f64) -> f64 {
        TAU * (self.note_hz * t + self.drop_hz * self.drop_s * (1.0 - (-t / self.drop_s).exp()))
            + self.phase
    }

    /// The hit itself.
    pub(crate) fn at(&self, t: f64) -> f64 {
        self.envelope(t) * self.angle(t).sin()
    }
}

/// A tone whose frequency goes exponentially from `hz[0]` to `hz[1]` within `seconds`, after
/// one second at the first and before one at the second.
pub(crate) fn glide(hz: [f64; 2], seconds: f64) -> Vec<f64> {
    let rate = (hz[1] / hz[0]).ln() / seconds;
    let swept = |t: f64| hz[0] * ((rate * t).exp() - 1.0) / rate;
    sampled(seconds + 2.0, RATE_HZ, |t| {
        let cycles = hz[0] * t.min(1.0)
            + swept((t - 1.0).clamp(0.0, seconds))
            + hz[1] * (t - 1.0 - seconds).max(0.0);
        0.5 * (TAU * cycles).sin()
    })
}

/// A plucked string: partials of 55 Hz, the higher the faster gone.
pub(crate) fn plucked(t: f64) -> f64 {
    let partial = |n: f64| (-t * 6.9 * n / 3.0).exp() / n * (2.0 * PI * n * 55.0 * t).sin();
    0.3 * (1..=6).map(|n| partial(f64::from(n))).sum::<f64>()
}

/// A small generator of even random numbers in 0..1 (Knuth's MMIX constants).
pub(crate) struct Random(pub(crate) u64);

impl Random {
    pub(crate) fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.next()
    }
}

/// Pink noise of r.m.s. value `rms`: white noise through Kellet's filter (musicdsp.org no. 76).
pub(crate) fn pink(rms: f64, samples: usize, seed: u64) -> Vec<f64> {
    let mut random = Random(seed);
    let mut b = [0.0; 3];
    let raw: Vec<f64> = (0..samples)
        .map(|_| {
            let white = random.between(-1.0, 1.0);
            b[0] = 0.99765 * b[0] + white * 0.099_046_0;
            b[1] = 0.96300 * b[1] + white * 0.296_516_4;
            b[2] = 0.57000 * b[2] + white * 1.052_691_3;
            b[0] + b[1] + b[2] + white * 0.1848
        })
        .collect();
    let power: f64 = raw.iter().map(|x| x * x).sum::<f64>() / samples as f64;
    raw.iter().map(|x| x * rms / power.sqrt()).collect()
}
