//! Between the radio and the file: attenuator, recorder, car electrics, clocks, codecs.

use std::f64::consts::TAU;

use crate::chance::Chance;
use crate::dynamics::{Stereo, automatic_gain};
use crate::equaliser::coupling;

/// Mains or an alternator on the line.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Tones {
    None,
    /// Mains: frequency, level of its first line in dBFS, and seven harmonics falling by 1/n.
    Hum(f64, f64),
    /// An alternator: level in dBFS, moving between 400 and 900 Hz with its second harmonic.
    Whine(f64),
}

/// Codecs, as far as they matter below 2 kHz.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Codec {
    None,
    /// Noise this far below the signal's short-time level in each of 24 bands, and nothing in a band
    /// more than 45 dB below the loudest.
    Lossy(f64),
}

/// The way into the file.
#[derive(Clone, Debug)]
pub(crate) struct Wire {
    pub(crate) gain_db: f64,
    /// First-order high-pass of the recorder's input, Hz.
    pub(crate) roll_off_hz: Option<f64>,
    /// White noise within 20 kHz, dBFS (AES17).
    pub(crate) noise_dbfs: f64,
    pub(crate) tones: Tones,
    pub(crate) dc: f64,
    /// How much slower the player runs, ppm, and how far that wanders within the take.
    pub(crate) ppm: f64,
    pub(crate) wander_ppm: f64,
    pub(crate) lead_s: f64,
    pub(crate) codec: Codec,
    pub(crate) automatic: bool,
    /// Zeros: from, for, in seconds of the track.
    pub(crate) drop_outs: Vec<(f64, f64)>,
    /// A chime of the car: at this second, 880 and 660 Hz, dBFS.
    pub(crate) chime: Option<(f64, f64)>,
    pub(crate) bits: u32,
}

impl Default for Wire {
    fn default() -> Self {
        Self {
            gain_db: 0.0,
            roll_off_hz: None,
            noise_dbfs: -92.0,
            tones: Tones::None,
            dc: 0.0,
            ppm: 0.0,
            wander_ppm: 0.0,
            lead_s: 0.4,
            codec: Codec::None,
            automatic: false,
            drop_outs: Vec::new(),
            chime: None,
            bits: 24,
        }
    }
}

impl Wire {
    /// What the file holds.
    pub(crate) fn record(&self, sound: &Stereo, rate: f64, seed: u64) -> Vec<Vec<f32>> {
        let mut chance = Chance::new(seed ^ 0xB0A7);
        let gain = 10f64.powf(self.gain_db / 20.0);
        let (ppm, turn) = (self.ppm, chance.even(0.0, TAU));
        let mut heard: Vec<Vec<f64>> = sound
            .iter()
            .map(|channel| {
                let mut channel = self.clocked(channel, rate, ppm, turn);
                self.drop(&mut channel, rate);
                channel.iter_mut().for_each(|x| *x *= gain);
                channel
            })
            .collect();
        self.chimes(&mut heard, rate);
        if self.automatic {
            automatic_gain(&mut heard, rate);
        }
        if let Codec::Lossy(below_db) = self.codec {
            heard
                .iter_mut()
                .for_each(|channel| crate::codec::lossy(channel, below_db, &mut chance));
        }
        let start = chance.even(0.0, 100.0);
        let lead = (self.lead_s * rate) as usize;
        heard.iter().map(|channel| self.stored(channel, lead, rate, start, &mut chance)).collect()
    }

    /// Noise of the recorder in a third-octave band, dBFS: its own and that of its digits.
    pub(crate) fn noise_db(&self, hz: f64) -> f64 {
        let digits = 4f64.powi(1 - self.bits as i32) / 12.0 * 2.0;
        let own = 10f64.powf(self.noise_dbfs / 10.0);
        10.0 * ((own * 0.230_768 * hz / 20_000.0) + digits * 0.230_768 * hz / 12_000.0).log10()
    }

    fn stored(
        &self,
        heard: &[f64],
        lead: usize,
        rate: f64,
        start: f64,
        chance: &mut Chance,
    ) -> Vec<f32> {
        // AES17: a sine of peak 1 is 0 dBFS; the noise is told within 20 kHz.
        let noise = 10f64.powf(self.noise_dbfs / 20.0) / 2f64.sqrt() * (rate / 40_000.0).sqrt();
        let tail = (0.2 * rate) as usize;
        let mut all: Vec<f64> = (0..lead + heard.len() + tail)
            .map(|n| {
                let x = n.checked_sub(lead).and_then(|i| heard.get(i)).copied().unwrap_or(0.0);
                x + self.tone(start + n as f64 / rate)
            })
            .collect();
        if let Some(hz) = self.roll_off_hz {
            coupling(hz, rate).run(&mut all);
        }
        let step = 2f64.powi(1 - self.bits as i32);
        all.iter()
            .map(|x| {
                let x = (x + self.dc + noise * chance.normal()).clamp(-1.0, 1.0 - step);
                ((x / step).round() * step) as f32
            })
            .collect()
    }

    fn tone(&self, t: f64) -> f64 {
        match self.tones {
            Tones::None => 0.0,
            Tones::Hum(hz, dbfs) => {
                let line =
                    |n: u32| (TAU * hz * f64::from(n) * t + f64::from(n)).sin() / f64::from(n);
                10f64.powf(dbfs / 20.0) * (1..=7).map(line).sum::<f64>()
            }
            Tones::Whine(dbfs) => {
                // 650 ± 250 Hz, up and down within 20 s: the phase is the integral.
                let phase = TAU * (650.0 * t - 250.0 * 20.0 / TAU * (TAU * t / 20.0).cos());
                10f64.powf(dbfs / 20.0) * (phase.sin() + 0.3 * (2.0 * phase).sin())
            }
        }
    }

    fn drop(&self, channel: &mut [f64], rate: f64) {
        for (from, long) in &self.drop_outs {
            let [a, b] = [*from, from + long].map(|s| ((s * rate) as usize).min(channel.len()));
            channel[a..b].fill(0.0);
        }
    }

    fn chimes(&self, heard: &mut [Vec<f64>], rate: f64) {
        let Some((at, dbfs)) = self.chime else { return };
        for (n, x) in
            heard.iter_mut().flat_map(|c| c.iter_mut().enumerate().skip((at * rate) as usize))
        {
            let t = n as f64 / rate - at;
            if t < 1.5 {
                let bell = (-3.0 * t).exp() * ((TAU * 880.0 * t).sin() + (TAU * 660.0 * t).sin());
                *x += 0.5 * 10f64.powf(dbfs / 20.0) * bell;
            }
        }
    }

    /// Sampled by another clock: an even rate error, and a slow wander of a 17-s period around it.
    fn clocked(&self, signal: &[f64], rate: f64, ppm: f64, turn: f64) -> Vec<f64> {
        if ppm == 0.0 && self.wander_ppm == 0.0 {
            return signal.to_vec();
        }
        let swing = self.wander_ppm * 1e-6 * 17.0 * rate / TAU;
        let slow = TAU / (17.0 * rate);
        (0..signal.len())
            .map(|n| {
                let wander = swing * ((n as f64 * slow + turn).sin() - turn.sin());
                between(signal, n as f64 * (1.0 - ppm * 1e-6) + wander)
            })
            .collect()
    }
}

/// The signal between its samples: Lanczos, sixteen lobes each side.
pub(crate) fn between(signal: &[f64], place: f64) -> f64 {
    const LOBES: i64 = 16;
    let (first, share) = (place.floor() as i64, place - place.floor());
    if share < 1e-9 {
        return usize::try_from(first).ok().and_then(|n| signal.get(n)).copied().unwrap_or(0.0);
    }
    // sin(π(share − k)) is one sine with a turning sign.
    let sine = (std::f64::consts::PI * share).sin() / std::f64::consts::PI;
    (1 - LOBES..=LOBES)
        .filter_map(|k| {
            let x = signal.get(usize::try_from(first + k).ok()?)?;
            let u = share - k as f64;
            let window = (std::f64::consts::PI * u / (2.0 * LOBES as f64)).cos().powi(2);
            let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
            Some(x * sign * sine / u * window)
        })
        .sum()
}

/// The signal later by `seconds`.
pub(crate) fn later(signal: &[f64], seconds: f64, rate: f64) -> Vec<f64> {
    (0..signal.len()).map(|n| between(signal, n as f64 - seconds * rate)).collect()
}
