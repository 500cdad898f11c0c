//! How loud each band of the comb sounds, whatever made it: the comb's own lines and all that a device
//! lays between them. A response is read on the lines and does not know an octave part; the proof in
//! the car is about what is heard.

use realfft::RealFftPlanner;

use super::noise::NoiseBand;
use super::resample::GRID_HZ;
use crate::analysis::bands::third_edges;
use crate::signal::track::comb::PERIOD_S;
use crate::signal::track::layout::{SETTLE_S, Section};
use crate::units::{db_to_power, power_to_db};

/// Two periods of the comb: what is halved repeats after them.
const BLOCK: usize = (2.0 * PERIOD_S * GRID_HZ) as usize;

/// The level of one third-octave band while the comb plays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoundingBand {
    /// Exact mid frequency in Hz.
    pub hz: f64,
    /// Level in dBFS (AES17), the noise of the silence taken out.
    pub dbfs: f64,
    /// Standard deviation in dB, from block to block.
    pub sd_db: f64,
}

/// The bands of `silence` while `section` plays its comb; empty when it is too short.
pub fn sounding(samples: &[f32], section: &Section, silence: &[NoiseBand]) -> Vec<SoundingBand> {
    let from = ((section.start_s + SETTLE_S) * GRID_HZ).round() as usize;
    let count = section.blocks() / 2;
    let blocks: Vec<Vec<f64>> = (0..count)
        .filter_map(|i| samples.get(from + i * BLOCK..from + (i + 1) * BLOCK))
        .map(powers)
        .collect();
    if blocks.is_empty() {
        return Vec::new();
    }
    silence.iter().map(|noise| band(noise, &blocks)).collect()
}

/// AES17 power of every bin: a block holds whole periods and needs no window.
fn powers(block: &[f32]) -> Vec<f64> {
    let forward = RealFftPlanner::new().plan_fft_forward(BLOCK);
    let mut input: Vec<f64> = block.iter().map(|x| f64::from(*x)).collect();
    let mut bins = forward.make_output_vec();
    forward.process(&mut input, &mut bins).expect("lengths fit");
    let unit = 4.0 / (BLOCK * BLOCK) as f64;
    bins.iter().map(|x| unit * x.norm_sqr()).collect()
}

fn band(noise: &NoiseBand, blocks: &[Vec<f64>]) -> SoundingBand {
    let (low, high) = third_edges(noise.hz);
    let per_bin = GRID_HZ / BLOCK as f64;
    let [from, to] = [low, high].map(|hz| (hz / per_bin).round() as usize);
    let each: Vec<f64> = blocks.iter().map(|bins| bins[from..to].iter().sum()).collect();
    let mean = each.iter().sum::<f64>() / each.len() as f64;
    let spread = each.iter().map(|p| (p - mean).powi(2)).sum::<f64>();
    let many = each.len() as f64;
    let sd = (spread / (many * (many - 1.0).max(1.0))).sqrt();
    // What is not above the noise is told as the noise: an upper bound.
    let own = (mean - db_to_power(noise.dbfs)).max(0.1 * mean);
    SoundingBand { hz: noise.hz, dbfs: power_to_db(own), sd_db: 4.343 * sd / own }
}
