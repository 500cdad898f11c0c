//! What amplifiers and processors do when it gets loud: limiters of one and of several bands, a
//! high-pass that slides with the level, an automatic gain. Feed-forward, as textbooks draw them
//! (Giannoulis, Massberg, Reiss, JAES 60, 2012), both channels on one detector.

use std::f64::consts::PI;

use crate::filter::{Filter, linkwitz};

/// Two channels.
pub(crate) type Stereo = [Vec<f64>; 2];

/// A compressor's law and speed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Law {
    pub(crate) threshold_dbfs: f64,
    pub(crate) ratio: f64,
    pub(crate) attack_s: f64,
    pub(crate) release_s: f64,
}

/// What follows the level.
#[derive(Clone, Debug)]
pub(crate) enum Dynamics {
    None,
    /// Everything below a crossover.
    Bass(f64, Law),
    /// Three bands, crossovers at 120 Hz and 2 kHz.
    Bands([Law; 3]),
    /// Everything.
    Broad(Law),
    /// A second-order high-pass whose corner slides from the first to the second frequency as the
    /// level rises by 20 dB from the threshold (dBFS).
    Sliding(f64, f64, f64),
}

impl Dynamics {
    pub(crate) fn run(&self, sound: &mut Stereo, rate: f64) {
        match self {
            Self::None => {}
            Self::Broad(law) => compress(sound, *law, rate),
            Self::Bass(hz, law) => by_bands(sound, &[*hz], &[Some(*law), None], rate),
            Self::Bands(laws) => by_bands(sound, &[120.0, 2000.0], &laws.map(Some), rate),
            Self::Sliding(from, to, threshold) => slide(sound, *from, *to, *threshold, rate),
        }
    }
}

/// Gain from a detector of peaks, the same for both channels.
fn compress(sound: &mut Stereo, law: Law, rate: f64) {
    let mut level = Follower::new(law.attack_s, law.release_s, rate);
    let [left, right] = sound;
    for (l, r) in left.iter_mut().zip(right) {
        let over = level.next(l.abs().max(r.abs())) - law.threshold_dbfs;
        let gain = 10f64.powf(-over.max(0.0) * (1.0 - 1.0 / law.ratio) / 20.0);
        *l *= gain;
        *r *= gain;
    }
}

/// Splits by Linkwitz and Riley's fourth order, treats each band, adds them again. The lower
/// bands pass the all-passes of the crossovers above, so that the sum stays flat.
fn by_bands(sound: &mut Stereo, crossovers: &[f64], laws: &[Option<Law>], rate: f64) {
    let mut rest = sound.clone();
    let mut sum: Option<Stereo> = None;
    for (i, law) in laws.iter().enumerate() {
        let mut band = rest.clone();
        if let Some(hz) = crossovers.get(i) {
            each(&mut band, &linkwitz(4).at(*hz, rate, hz / 100.0));
            each(&mut rest, &linkwitz(4).turned().at(*hz, rate, 0.4 * rate));
        }
        if let Some(law) = law {
            compress(&mut band, *law, rate);
        }
        // A sum of both Linkwitz-Riley halves of fourth order is a second-order all-pass.
        let earlier = sum.take().map(|mut s| {
            if let Some(hz) = crossovers.get(i) {
                each(&mut s, &second_all_pass(*hz, rate));
            }
            s
        });
        sum = Some(match earlier {
            None => band,
            Some(s) => [0, 1].map(|c| s[c].iter().zip(&band[c]).map(|(a, b)| a + b).collect()),
        });
    }
    *sound = sum.unwrap_or_default();
}

fn each(sound: &mut Stereo, filter: &Filter) {
    sound.iter_mut().for_each(|channel| filter.run(channel));
}

fn second_all_pass(hz: f64, rate: f64) -> Filter {
    let t = (PI * hz / rate).tan();
    let d = 1.0 + 2f64.sqrt() * t + t * t;
    let (near, far) = ((1.0 - 2f64.sqrt() * t + t * t) / d, 2.0 * (t * t - 1.0) / d);
    Filter::section([near, far, 1.0], [far, near], rate)
}

/// A corner that follows the level of what arrives, a section renewed every 5 ms.
fn slide(sound: &mut Stereo, from: f64, to: f64, threshold: f64, rate: f64) {
    let mut level = Follower::new(0.02, 0.5, rate);
    let step = (0.005 * rate) as usize;
    let mut old = [[0.0; 4]; 2];
    let mut coefficients = ([0.0; 3], [0.0; 2]);
    for n in 0..sound[0].len() {
        let arrives = level.next(sound[0][n].abs().max(sound[1][n].abs()));
        if n % step == 0 {
            let share = ((arrives - threshold) / 20.0).clamp(0.0, 1.0);
            coefficients = high_pass(from * (to / from).powf(share), rate);
        }
        let (b, a) = coefficients;
        for (channel, x) in sound.iter_mut().zip(&mut old) {
            let now = channel[n];
            let y = b[0] * now + b[1] * x[0] + b[2] * x[1] - a[0] * x[2] - a[1] * x[3];
            *x = [now, x[0], y, x[2]];
            channel[n] = y;
        }
    }
}

/// Butterworth's second order, closed form.
fn high_pass(hz: f64, rate: f64) -> ([f64; 3], [f64; 2]) {
    let t = (PI * hz / rate).tan();
    let d = 1.0 + 2f64.sqrt() * t + t * t;
    ([1.0 / d, -2.0 / d, 1.0 / d], [2.0 * (t * t - 1.0) / d, (1.0 - 2f64.sqrt() * t + t * t) / d])
}

/// A phone's automatic gain: it brings everything to one level, quickly down and slowly up.
pub(crate) fn automatic_gain(sound: &mut [Vec<f64>], rate: f64) {
    let mut level = Follower::new(0.05, 2.0, rate);
    for n in 0..sound.first().map_or(0, Vec::len) {
        let most = sound.iter().map(|c| c[n].abs()).fold(0.0, f64::max);
        let over = level.next(most) + 30.0;
        let gain = 10f64.powf(-0.75 * over.max(0.0) / 20.0);
        sound.iter_mut().for_each(|c| c[n] *= gain);
    }
}

/// A peak detector in dB re full scale, looked at in the logarithm every sample.
struct Follower {
    level: f64,
    attack: f64,
    release: f64,
}

impl Follower {
    fn new(attack_s: f64, release_s: f64, rate: f64) -> Self {
        let pole = |s: f64| (-1.0 / (s * rate)).exp();
        Self { level: 0.0, attack: pole(attack_s), release: pole(release_s) }
    }

    fn next(&mut self, peak: f64) -> f64 {
        let pole = if peak > self.level { self.attack } else { self.release };
        self.level = peak + pole * (self.level - peak);
        20.0 * self.level.max(1e-9).log10()
    }
}
