//! What a stereo frame costs (G8), of a held chord, beside what any octave part
//! costs at least: decimating, interpolating and mixing, measured in the same run; and how evenly,
//! block by block, of a chord that starts and of drums.

use std::hint::black_box;
use std::time::Instant;

use underpin::dsp::octave::Octave;
use underpin::dsp::octave::resample::{self, Decimator, Interpolator};

use super::octave_goals::RATE_HZ;
use super::octave_goals::figure::{Figure, at_most, shown};
use super::octave_goals::signals::{KICK, sampled};
use super::{METHODS, with};
use std::f64::consts::TAU;
use underpin::settings::Method;

const FRAMES: usize = 8_192;
const ROUNDS: usize = 201;

/// For each method, at 48 and 192 kHz: ns per frame, and how many times the floor.
pub(crate) fn figures() -> [Vec<Figure>; 3] {
    let mut columns = [const { Vec::new() }; 3];
    for (rate_hz, goal) in [(48_000.0, 15.0), (192_000.0, 6.0)] {
        let [playing, silent] = [0.12, 0.0].map(|amplitude| median_ns(rate_hz, amplitude));
        for (i, column) in columns.iter_mut().enumerate() {
            let name = format!("G8 {} kHz, ns per frame", rate_hz / 1e3);
            column.push(at_most(name, playing[i], goal));
            let name = format!("G8 {} kHz, times the floor", rate_hz / 1e3);
            column.push(shown(name, playing[i] / playing[3]).stretch(2.0));
            let name = format!("G8 {} kHz, silence re playing", rate_hz / 1e3);
            column.push(at_most(name, silent[i] / playing[i], 1.05));
        }
    }
    for (name, [goal, stretch], x) in
        [("chord", [1.9, 1.5], chord()), ("drums", [2.1, 1.6], drums())]
    {
        let blocks = METHODS.map(|method| Blocks::of(method, &x));
        let halved = blocks[METHODS.iter().position(|m| *m == Method::Halved).unwrap_or(0)].mean;
        for (column, own) in columns.iter_mut().zip(&blocks) {
            let named = |what: &str| format!("G8 {name}, {what}");
            column.extend([
                at_most(named("times halved"), own.mean / halved, goal).stretch(stretch),
                at_most(named("block of 64 frames, 99.9 % re mean"), own.late / own.mean, 3.0),
                shown(named("worst block of 64 frames re mean"), own.worst / own.mean),
            ]);
        }
    }
    columns
}

/// Frames of a small block of a host.
const BLOCK: usize = 64;
/// Each block is timed so often, and its quickest time taken: the machine does other things too.
const REPEATS: usize = 9;
const SECONDS: f64 = 4.0;

/// Two notes that start together.
fn chord() -> Vec<f64> {
    sampled(SECONDS, RATE_HZ, |t| 0.12 * ((TAU * 55.0 * t).sin() + (TAU * 82.4 * t).sin()))
}

/// A kick every half second.
fn drums() -> Vec<f64> {
    sampled(SECONDS, RATE_HZ, |t| KICK.at(t % 0.5))
}

/// What blocks take, in ns: on average, the slowest but one in a thousand, and the slowest.
struct Blocks {
    mean: f64,
    late: f64,
    worst: f64,
}

impl Blocks {
    fn of(method: Method, x: &[f64]) -> Self {
        let mut octave = Octave::new(RATE_HZ);
        octave.set(&with(method));
        let mut out = vec![0.0; BLOCK];
        let mut ns = vec![f64::MAX; x.len() / BLOCK];
        for _ in 0..REPEATS {
            octave.reset();
            for (ns, x) in ns.iter_mut().zip(x.chunks_exact(BLOCK)) {
                let start = Instant::now();
                octave.process(x, x, black_box(&mut out));
                *ns = ns.min(start.elapsed().as_secs_f64() * 1e9);
            }
        }
        ns.sort_by(f64::total_cmp);
        let mean = ns.iter().sum::<f64>() / ns.len() as f64;
        Self { mean, late: ns[ns.len() * 999 / 1000], worst: ns[ns.len() - 1] }
    }
}

/// The three methods, then the floor.
fn median_ns(rate_hz: f64, amplitude: f64) -> [f64; 4] {
    let tone = |hz: f64, i: usize| (std::f64::consts::TAU * hz * i as f64 / rate_hz).sin();
    let chord: Vec<f64> =
        (0..FRAMES * ROUNDS).map(|i| amplitude * (tone(55.0, i) + tone(82.4, i))).collect();
    let mut octaves = METHODS.map(|method| {
        let mut octave = Octave::new(rate_hz);
        octave.set(&with(method));
        octave
    });
    let mut floor = Floor::new(rate_hz);
    let mut out = vec![0.0; FRAMES];
    let mut ns = [const { Vec::new() }; 4];
    for x in chord.chunks_exact(FRAMES) {
        for (octave, ns) in octaves.iter_mut().zip(&mut ns) {
            ns.push(timed(|| octave.process(x, x, black_box(&mut out))));
        }
        let (mut left, mut right) = (x.to_vec(), x.to_vec());
        ns[3].push(timed(|| floor.process(&mut left, &mut right)));
        black_box((left, right));
    }
    ns.map(|mut ns| {
        ns.sort_by(f64::total_cmp);
        ns[ns.len() / 2]
    })
}

fn timed(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64() * 1e9 / FRAMES as f64
}

/// Down to the low rate, up again, and mixed in.
struct Floor {
    down: Decimator,
    up: Interpolator,
    part: Vec<f64>,
}

impl Floor {
    fn new(rate_hz: f64) -> Self {
        let ratio = resample::ratio(rate_hz);
        Self { down: Decimator::new(ratio), up: Interpolator::new(ratio), part: vec![0.0; ratio] }
    }

    fn process(&mut self, left: &mut [f64], right: &mut [f64]) {
        let ratio = self.part.len();
        for (left, right) in left.chunks_exact_mut(ratio).zip(right.chunks_exact_mut(ratio)) {
            self.down.push(0, left, right);
            self.up.push(self.down.take()[0]);
            self.up.fill(0, &mut self.part);
            for ((l, r), x) in left.iter_mut().zip(right).zip(&self.part) {
                *l += x;
                *r += x;
            }
        }
    }
}
