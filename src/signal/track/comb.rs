//! The comb of the track: 187 lines on odd multiples of half a hertz.
//!
//! One choice buys much: no line lies on a mains harmonic, even-order products
//! fall between the lines (on whole hertz), the signal repeats after 2 s and
//! turns over after 1 s, and a halved component turns over from one 2-s block
//! to the next, so that it cancels in an even number of blocks. Every line
//! goes to both channels, to one of them, or to none: the lines a channel does
//! not get show its distortion.

use std::f64::consts::TAU;

/// Length of one period of the comb in seconds.
pub const PERIOD_S: f64 = 2.0;

/// Who plays a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Owner {
    /// Both channels, with one phase.
    Both,
    /// The left channel alone.
    Left,
    /// The right channel alone.
    Right,
    /// Nobody: a line kept free, so that even a mono sum shows its distortion.
    Nobody,
}

/// One line of the comb.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CombLine {
    /// Frequency in Hz, an odd multiple of 0.5.
    pub hz: f64,
    /// Who plays it.
    pub owner: Owner,
    /// Peak amplitude in a comb whose louder channel peaks at 1, as played or,
    /// for a free line, as its neighbours' density asks.
    pub amplitude: f64,
    /// Phase of the cosine at the start of the section, in turns.
    pub phase_turns: f64,
}

impl CombLine {
    /// Whether channel 0 (left) or 1 (right) plays the line.
    pub fn is_in(&self, channel: usize) -> bool {
        match self.owner {
            Owner::Both => true,
            Owner::Left => channel == 0,
            Owner::Right => channel == 1,
            Owner::Nobody => false,
        }
    }

    /// The line's index among the bins of one period (0.5 Hz apart).
    pub fn bin(&self) -> usize {
        (self.hz * PERIOD_S).round() as usize
    }
}

/// Owners along the comb, over and over: three lines for both, two for each
/// channel alone, one free.
const OWNERS: [Owner; 8] = [
    Owner::Both,
    Owner::Left,
    Owner::Both,
    Owner::Right,
    Owner::Both,
    Owner::Left,
    Owner::Right,
    Owner::Nobody,
];

/// Frequency in Hz up to which the comb is pink; above, it falls 3 dB per octave faster.
const PINK_TO_HZ: f64 = 400.0;

/// Peak of the louder channel when every line has the amplitude √(its share),
/// found on a grid of 131 072 points a period.
const RAW_PEAK: f64 = 3.101_761;

/// Phases in 1/256 turn, found by clipping both channels again and again and
/// keeping the phases (van der Ouderaa, Schoukens, Renneboog, IEEE Trans. IM
/// 37, 1988): peak over r.m.s. 6.7 dB. A free line has phase 0.
const PHASES: [u8; 187] = [
    212, 184, 134, 64, 31, 104, 70, 0, 235, 249, 135, 90, 124, 226, 5, 0, 97, 149, 138, 29, 142,
    80, 168, 0, 179, 240, 51, 232, 191, 5, 165, 0, 156, 166, 52, 84, 153, 63, 21, 0, 126, 231, 78,
    80, 15, 114, 141, 0, 38, 193, 2, 179, 88, 239, 65, 0, 119, 94, 133, 206, 238, 185, 213, 0, 30,
    142, 145, 176, 210, 102, 75, 0, 95, 71, 182, 252, 216, 184, 175, 0, 198, 182, 121, 165, 103,
    213, 51, 0, 178, 136, 181, 232, 232, 66, 210, 0, 190, 52, 99, 45, 219, 243, 21, 0, 51, 121,
    110, 24, 216, 104, 54, 0, 242, 46, 43, 21, 213, 154, 95, 0, 191, 89, 184, 92, 113, 163, 168, 0,
    195, 207, 14, 58, 95, 21, 45, 0, 174, 213, 107, 108, 110, 99, 220, 0, 105, 196, 112, 228, 93,
    207, 76, 0, 168, 119, 143, 59, 24, 95, 105, 0, 247, 142, 111, 151, 208, 108, 127, 0, 180, 239,
    153, 231, 81, 61, 154, 0, 17, 35, 54, 248, 48, 89, 207, 0, 183, 228, 41,
];

/// All lines, rising in frequency: every hertz up to 99.5 Hz, then 24 an octave up to 1623.5 Hz.
pub fn lines() -> Vec<CombLine> {
    let hz = frequencies();
    (0..hz.len())
        .map(|i| CombLine {
            hz: hz[i],
            owner: OWNERS[i % OWNERS.len()],
            amplitude: share(&hz, i).sqrt() / RAW_PEAK,
            phase_turns: f64::from(PHASES[i]) / 256.0,
        })
        .collect()
}

/// One period of `channel` (0 or 1), sampled `samples` times; the louder channel peaks at 1.
pub fn period(channel: usize, samples: usize) -> Vec<f64> {
    let sine: Vec<f64> = (0..samples).map(|i| libm::cos(TAU * i as f64 / samples as f64)).collect();
    let mut wave = vec![0.0; samples];
    for line in lines().iter().filter(|line| line.is_in(channel)) {
        let mut place = (line.phase_turns * samples as f64).round() as usize % samples;
        let step = line.bin() % samples;
        for value in &mut wave {
            *value += line.amplitude * sine[place];
            place += step;
            place -= if place >= samples { samples } else { 0 };
        }
    }
    wave
}

fn frequencies() -> Vec<f64> {
    let mut hz: Vec<f64> = (10..100).map(|n| f64::from(n) + 0.5).collect();
    while hz.len() < PHASES.len() {
        hz.push((hz[hz.len() - 1] * libm::exp2(1.0 / 24.0)).floor() + 0.5);
    }
    hz
}

/// A line's share of the power: the octaves between the mid-points to its neighbours.
fn share(hz: &[f64], i: usize) -> f64 {
    let middle = |a: f64, b: f64| (a * b).sqrt();
    let below = if i > 0 { middle(hz[i - 1], hz[i]) } else { hz[0] * hz[0] / middle(hz[0], hz[1]) };
    let above = match hz.get(i + 1) {
        Some(next) => middle(hz[i], *next),
        None => hz[i] * hz[i] / below,
    };
    libm::log2(above / below) * (PINK_TO_HZ / hz[i]).min(1.0)
}
