//! The world between the stick and the capture file: player, radio, recorder. Plain and
//! independent of the analyser: it knows the track only as sound.

use std::sync::{Mutex, OnceLock};

use underpin::signal::track::Track;
use underpin::signal::track::layout::Form;

use crate::random::Random;

/// Two channels.
pub(crate) type Stereo = [Vec<f64>; 2];

/// The track as a player of the recorder's nominal rate plays it.
pub(crate) fn played(form: Form, rate: f64) -> Stereo {
    type Shelf = Mutex<Vec<(Form, u64, Stereo)>>;
    static SHELF: OnceLock<Shelf> = OnceLock::new();
    let mut shelf = SHELF.get_or_init(Default::default).lock().unwrap();
    if let Some((_, _, track)) = shelf.iter().find(|(f, r, _)| *f == form && *r == rate as u64) {
        return track.clone();
    }
    let track = Track::new(form, 0, rate);
    let frames: Vec<[f64; 2]> = (0..track.samples()).map(|n| track.frame(n)).collect();
    let stereo = [0, 1].map(|c| frames.iter().map(|f| f[c]).collect());
    shelf.push((form, rate as u64, stereo));
    shelf.last().unwrap().2.clone()
}

/// What a recorder does to what it hears.
#[derive(Clone)]
pub(crate) struct Recorder {
    pub(crate) rate: f64,
    /// Silence before the track, in seconds.
    pub(crate) lead_s: f64,
    /// How much slower the player runs than the recorder.
    pub(crate) ppm: f64,
    pub(crate) gain_db: f64,
    /// White noise per channel, r.m.s. in dBFS (AES17), after the gain.
    pub(crate) noise_dbfs: f64,
    /// Hum: frequency, peak level in dBFS.
    pub(crate) hum: Option<(f64, f64)>,
    pub(crate) dc: f64,
    /// Clips at full scale.
    pub(crate) clips: bool,
    pub(crate) seed: u64,
}

impl Default for Recorder {
    fn default() -> Self {
        Self {
            rate: 48_000.0,
            lead_s: 0.7,
            ppm: 0.0,
            gain_db: 0.0,
            noise_dbfs: -90.0,
            hum: None,
            dc: 0.0,
            clips: true,
            seed: 1,
        }
    }
}

impl Recorder {
    /// Records; what comes in is at the recorder's own nominal rate.
    pub(crate) fn record(&self, sound: &Stereo) -> Vec<Vec<f32>> {
        let mut random = Random::new(self.seed);
        let gain = 10f64.powf(self.gain_db / 20.0);
        let noise = 10f64.powf(self.noise_dbfs / 20.0) / 2f64.sqrt();
        let lead = (self.lead_s * self.rate) as usize;
        sound
            .iter()
            .map(|channel| {
                let heard = stretched(channel, self.ppm);
                (0..lead + heard.len() + (0.3 * self.rate) as usize)
                    .map(|n| {
                        let x = n.checked_sub(lead).and_then(|i| heard.get(i)).unwrap_or(&0.0);
                        let hum = self.hum.map_or(0.0, |(hz, db)| {
                            10f64.powf(db / 20.0)
                                * (std::f64::consts::TAU * hz * n as f64 / self.rate).sin()
                        });
                        let x = gain * x + hum + self.dc + noise * random.normal();
                        (if self.clips { x.clamp(-1.0, 1.0) } else { x }) as f32
                    })
                    .collect()
            })
            .collect()
    }
}

/// The signal drawn out by `ppm`.
pub(crate) fn stretched(signal: &[f64], ppm: f64) -> Vec<f64> {
    if ppm == 0.0 {
        return signal.to_vec();
    }
    let step = 1.0 / (1.0 + ppm * 1e-6);
    (0..(signal.len() as f64 / step) as usize).map(|n| read(signal, n as f64 * step)).collect()
}

/// The signal `samples` later, a fraction of a sample counted.
pub(crate) fn delayed(signal: &[f64], samples: f64) -> Vec<f64> {
    (0..signal.len()).map(|n| read(signal, n as f64 - samples)).collect()
}

/// Phases of the interpolator: an error 96 dB down at 1 kHz and 48 kHz.
const PHASES: usize = 4096;

/// The value of a signal between its samples: a Blackman-windowed sinc of 64 taps.
fn read(signal: &[f64], place: f64) -> f64 {
    static TABLE: OnceLock<Vec<f64>> = OnceLock::new();
    let table = TABLE.get_or_init(|| (0..=PHASES).flat_map(weights).collect());
    let phase = ((place - place.floor()) * PHASES as f64).round() as usize;
    let weights = &table[phase * 64..][..64];
    let first = place.floor() as i64 - 31;
    match usize::try_from(first).ok().and_then(|first| signal.get(first..first + 64)) {
        Some(near) => near.iter().zip(weights).map(|(x, w)| x * w).sum(),
        None => 0.0,
    }
}

fn weights(phase: usize) -> [f64; 64] {
    std::array::from_fn(|i| {
        let x = i as f64 - 31.0 - phase as f64 / PHASES as f64;
        let u = std::f64::consts::PI * x / 32.0;
        let window =
            if x.abs() < 32.0 { 0.42 + 0.5 * u.cos() + 0.08 * (2.0 * u).cos() } else { 0.0 };
        let y = std::f64::consts::PI * x;
        window * if x.abs() < 1e-9 { 1.0 } else { y.sin() / y }
    })
}
