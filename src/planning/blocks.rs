//! The comb of one section in one channel, block by block: complex amplitudes
//! of all lines over exact periods, and what the blocks say about the
//! recording itself (drop-outs, lost samples, moving gain).

use std::f64::consts::TAU;

use realfft::RealFftPlanner;
use realfft::num_complex::Complex64;

use super::hum;
use super::resample::GRID_HZ;
use super::statistics::median;
use crate::signal::track::comb::{CombLine, PERIOD_S, lines};
use crate::signal::track::layout::{SETTLE_S, Section};
use crate::units::{db_to_gain, gain_to_db};

/// Length of a block in samples of the grid.
const BLOCK: usize = (PERIOD_S * GRID_HZ) as usize;
/// Frame of the period difference in samples (5 ms).
const FRAME: usize = 60;
/// A delay that moves more than this from one block to the next is no clock (50 ppm), in seconds.
const MOST_STEP_S: f64 = 1e-4;
/// The mid band that gains and delays are read in, Hz.
pub const MID_HZ: (f64, f64) = (250.0, 1000.0);

/// How a delay is sought: step in seconds, and steps to either side (6 ms, 0.1 ms, 10 µs).
const SEARCH: [(f64, u32); 3] = [(1e-4, 60), (1e-5, 10), (1e-6, 10)];

/// Something wrong with a section of a recording.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Alarm {
    /// A drop-out or click in the block that starts at this time of the track, seconds.
    DropOut(f64),
    /// Samples were lost or put in: the delay moved by this much, ms.
    LostSamples(f64),
    /// The gain moved by this much within the section, dB.
    GainMoves(f64),
}

/// One section's comb in one channel.
#[derive(Clone, Debug)]
pub struct Blocks {
    /// The lines of the comb.
    pub lines: Vec<CombLine>,
    /// What each line was played as: complex amplitude at a block's start, full scale at 1.
    pub played: Vec<Complex64>,
    /// What each line was heard as, one row a line, one value a good block, in whole pairs of
    /// neighbours.
    pub heard: Vec<Vec<Complex64>>,
    /// What is wrong.
    pub alarms: Vec<Alarm>,
}

impl Blocks {
    /// Reads the comb of `section`, played at `peak_dbfs`, from samples on the track's grid.
    /// `pairs` is for a device that may halve: its sound repeats after two blocks only.
    pub fn new(samples: &[f32], section: &Section, peak_dbfs: f64, pairs: bool) -> Self {
        let lines = lines();
        let count = section.blocks();
        let from = ((section.start_s + SETTLE_S) * GRID_HZ).round() as usize;
        let stretch: Vec<f64> = (from..from + count * BLOCK)
            .map(|n| samples.get(n).copied().map_or(0.0, f64::from))
            .collect();
        let peak = db_to_gain(peak_dbfs);
        let played = lines
            .iter()
            .map(|l| {
                Complex64::from_polar(peak * l.amplitude, TAU * (l.phase_turns + l.hz * SETTLE_S))
            })
            .collect();
        let heard = spectra(&stretch, &lines, !pairs);
        let mut blocks = Self { heard, lines, played, alarms: Vec::new() };
        let steps = blocks.steady();
        if steps > MOST_STEP_S {
            blocks.alarms.push(Alarm::LostSamples(1000.0 * steps));
        }
        blocks.judge(&stretch, section.start_s + SETTLE_S, if pairs { 2 } else { 1 });
        blocks
    }

    /// Number of good blocks.
    pub fn count(&self) -> usize {
        self.heard.first().map_or(0, Vec::len)
    }

    /// Whether the section can be used at all.
    pub fn usable(&self) -> bool {
        self.count() >= 2 && !self.alarms.iter().any(|a| matches!(a, Alarm::LostSamples(_)))
    }

    /// Finds bad blocks and takes them out, each with its neighbour of the pair.
    fn judge(&mut self, stretch: &[f64], start_s: f64, period: usize) {
        let count = self.count();
        let moves: Vec<Move> = (0..count).map(|b| self.movement(b)).collect();
        let middle = median(moves.iter().map(|m| m.residual));
        let mut bad = uneven(stretch, count, period);
        for (b, m) in moves.iter().enumerate() {
            bad[b] |= m.residual > (4.0 * middle).max(0.01);
        }
        let span = |value: fn(&Move) -> f64| {
            let good = moves.iter().zip(&bad).filter(|(_, bad)| !**bad).map(|(m, _)| value(m));
            let (low, high) = good.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
            (high - low).max(0.0)
        };
        let gain_db = span(|m| m.gain_db);
        if gain_db > 0.3 {
            self.alarms.push(Alarm::GainMoves(gain_db));
        }
        for b in (0..count).filter(|&b| bad[b]) {
            self.alarms.push(Alarm::DropOut(start_s + b as f64 * PERIOD_S));
        }
        let good = |b: usize| !bad[b / 2 * 2] && !bad[b / 2 * 2 + 1];
        for row in &mut self.heard {
            let mut b = 0;
            row.retain(|_| {
                b += 1;
                good(b - 1)
            });
        }
    }

    /// Takes each block's own delay out, so that a clock that wanders is no scatter; tells the
    /// largest step of the delay from one block to the next, in seconds.
    fn steady(&mut self) -> f64 {
        let mut delays = vec![0.0; self.count()];
        // The mean that delays are told against is sharp only once they are out: twice.
        for _ in 0..2 {
            let left: Vec<f64> = (0..self.count()).map(|b| self.movement(b).delay_s).collect();
            for (row, line) in self.heard.iter_mut().zip(&self.lines) {
                for (value, delay_s) in row.iter_mut().zip(&left) {
                    *value *= Complex64::from_polar(1.0, TAU * line.hz * delay_s);
                }
            }
            delays.iter_mut().zip(&left).for_each(|(sum, more)| *sum += more);
        }
        delays.windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f64::max)
    }

    /// How block `b` differs from the mean of all over the mid band.
    fn movement(&self, b: usize) -> Move {
        let count = self.count() as f64;
        let mid = |line: &CombLine| (MID_HZ.0..MID_HZ.1).contains(&line.hz);
        let pairs: Vec<(f64, Complex64, Complex64)> = (0..self.lines.len())
            .filter(|&i| mid(&self.lines[i]))
            .map(|i| {
                let row = &self.heard[i];
                (self.lines[i].hz, row[b], row.iter().sum::<Complex64>() / count)
            })
            .collect();
        let with = |delay_s: f64| -> Complex64 {
            let at = |hz: f64| Complex64::from_polar(1.0, TAU * hz * delay_s);
            pairs.iter().map(|(hz, y, mean)| y * mean.conj() * at(*hz)).sum()
        };
        let delay_s = SEARCH.iter().fold(0.0, |centre, (step_s, reach)| {
            let from_s = centre - f64::from(*reach) * step_s;
            from_s + strongest(&pairs, from_s, *step_s, 2 * reach) * step_s
        });
        let product = with(delay_s).norm();
        let here: f64 = pairs.iter().map(|p| p.1.norm_sqr()).sum();
        let mean: f64 = pairs.iter().map(|p| p.2.norm_sqr()).sum();
        Move {
            delay_s,
            gain_db: gain_to_db(product / mean.max(1e-30)),
            residual: 1.0 - product * product / (here * mean).max(1e-30),
        }
    }
}

/// Of the delays `from_s`, `from_s` + `step_s` and so on, `most` steps at most, the number of the one
/// at which the lines agree best with their mean. From step to step a line's phasor turns by the same
/// angle.
fn strongest(pairs: &[(f64, Complex64, Complex64)], from_s: f64, step_s: f64, most: u32) -> f64 {
    let mut lines: Vec<(Complex64, Complex64)> = pairs
        .iter()
        .map(|(hz, y, mean)| {
            let turn = |seconds: f64| Complex64::from_polar(1.0, TAU * hz * seconds);
            (y * mean.conj() * turn(from_s), turn(step_s))
        })
        .collect();
    let agrees = |_| {
        let sum: Complex64 = lines.iter().map(|line| line.0).sum();
        lines.iter_mut().for_each(|(line, turn)| *line *= *turn);
        sum.norm_sqr()
    };
    let all = (0..=most).map(agrees).enumerate();
    all.max_by(|a, b| a.1.total_cmp(&b.1)).map_or(0.0, |(number, _)| number as f64)
}

struct Move {
    delay_s: f64,
    gain_db: f64,
    residual: f64,
}

/// Complex amplitudes of the lines, block by block, hum taken out where that is asked for: not
/// beside halves, which would look like it.
fn spectra(stretch: &[f64], lines: &[CombLine], hum: bool) -> Vec<Vec<Complex64>> {
    let forward = RealFftPlanner::new().plan_fft_forward(BLOCK);
    let mut bins = forward.make_output_vec();
    let mut heard = vec![Vec::new(); lines.len()];
    for block in stretch.chunks_exact(BLOCK) {
        forward.process(&mut block.to_vec(), &mut bins).expect("lengths fit");
        if hum {
            hum::take_out(&mut bins);
        }
        for (row, line) in heard.iter_mut().zip(lines) {
            row.push(2.0 / BLOCK as f64 * bins[line.bin()]);
        }
    }
    heard
}

/// Blocks in which the sound does not repeat: what is left of it after the same place `period`
/// blocks before is taken away stands out in a frame of 5 ms.
fn uneven(stretch: &[f64], count: usize, period: usize) -> Vec<bool> {
    let mut bad = vec![false; count];
    if count <= period {
        return bad;
    }
    let power = stretch.iter().map(|x| x * x).sum::<f64>() / stretch.len() as f64;
    let frames: Vec<f64> = stretch[period * BLOCK..]
        .chunks_exact(FRAME)
        .zip(stretch.chunks_exact(FRAME))
        .map(|(now, then)| {
            now.iter().zip(then).map(|(a, b)| (a - b) * (a - b)).sum::<f64>() / FRAME as f64
        })
        .collect();
    let limit = (64.0 * median(frames.iter().copied())).max(0.0025 * power);
    let (per_block, lag) = (BLOCK / FRAME, period * BLOCK / FRAME);
    let stands_out = |frame: usize| frames.get(frame).is_some_and(|f| *f > limit);
    for frame in (0..frames.len()).filter(|&f| stands_out(f)) {
        // A fault in a block shows against the block before and again in the block after.
        let block = frame / per_block + period;
        let (again, before) = (stands_out(frame + lag), frame >= lag && stands_out(frame - lag));
        let (first, last) = (block < 2 * period, block + period >= count);
        bad[block] |= again || last && !before;
        bad[block - period] |= !again && !before && (first || !last);
    }
    bad
}
