//! Clipping of three kinds: at digital full scale, flat below it, between samples.
//!
//! A clean low tone also stays near full scale for many samples, so a run alone
//! proves nothing: it must end in breaks of the slope (see `held`). What has
//! been clipped and then filtered or recorded through capacitors is no longer
//! flat; its distortion tells.

mod between;
mod held;

use crate::numeric::extremes;
use crate::units::gain_to_db;
use between::Between;
use held::{Held, Past};

/// Samples that are looked at together first: where none of them is near an extreme nothing happens.
const STRETCH: usize = 64;

/// What was found clipped.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Clipping {
    /// Runs of samples held at digital full scale.
    pub digital_runs: u64,
    /// Runs of samples held flat at a level other than full scale (clipped
    /// before a gain), where nothing of that polarity is louder.
    pub flat_runs: u64,
    /// The level most flat runs are held at, dBFS; `None` when there are none.
    pub flat_dbfs: Option<f64>,
    /// True peaks above full scale, most of them between samples.
    pub inter_sample_overs: u64,
    /// Time of the first event in seconds.
    pub first_s: Option<f64>,
}

/// Looks for clipping in a signal of any length, given in blocks of any size.
#[derive(Clone, Debug)]
pub struct Detector {
    sample_rate_hz: f64,
    channels: Vec<Channel>,
}

#[derive(Clone, Debug)]
struct Channel {
    at: u64,
    past: Past,
    upper: Held,
    lower: Held,
    between: Between,
}

impl Detector {
    /// A detector that has heard nothing. Allocates; `push` does not.
    pub fn new(sample_rate_hz: f64, channels: usize) -> Self {
        let channel = Channel {
            at: 0,
            past: Past::new(),
            upper: Held::new(1.0),
            lower: Held::new(-1.0),
            between: Between::new(),
        };
        Self { sample_rate_hz, channels: vec![channel; channels] }
    }

    /// Hears the next samples: one slice a channel, as shares of full scale.
    pub fn push(&mut self, block: &[&[f64]]) {
        for (channel, samples) in self.channels.iter_mut().zip(block) {
            samples.chunks(STRETCH).for_each(|stretch| channel.hear(stretch));
        }
    }

    /// What has been found in all channels so far.
    pub fn reading(&self) -> Clipping {
        let sides = || self.channels.iter().flat_map(|c| [&c.upper, &c.lower]);
        let flat_runs = sides().map(|side| side.flat().runs).sum();
        let most = sides().max_by_key(|side| side.flat().runs).filter(|_| flat_runs > 0);
        let overs = self.channels.iter().map(|c| c.between.overs());
        let firsts = sides()
            .flat_map(|side| [side.digital().first, side.flat().first])
            .chain(overs.clone().map(|overs| overs.first));
        Clipping {
            digital_runs: sides().map(|side| side.digital().runs).sum(),
            flat_runs,
            flat_dbfs: most.map(|side| gain_to_db(side.top())),
            inter_sample_overs: overs.map(|overs| overs.runs).sum(),
            first_s: firsts.flatten().min().map(|n| n as f64 / self.sample_rate_hz),
        }
    }
}

impl Channel {
    /// Hears the next samples, all at once where none of them matters.
    fn hear(&mut self, stretch: &[f64]) {
        let (lowest, highest) = extremes(stretch);
        let calm = self.upper.ignores(highest)
            && self.lower.ignores(lowest)
            && self.between.ignores(self.at, highest.max(-lowest));
        if !calm {
            return stretch.iter().for_each(|x| self.push(*x));
        }
        self.between.pass(self.at, stretch);
        self.past.pass(self.at, stretch);
        self.at += stretch.len() as u64;
    }

    fn push(&mut self, x: f64) {
        self.upper.push(self.at, x, &self.past);
        self.lower.push(self.at, x, &self.past);
        self.between.push(self.at, x);
        self.past.push(self.at, x);
        self.at += 1;
    }
}

/// Events counted, and the sample number of the first.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    runs: u64,
    first: Option<u64>,
}

impl Tally {
    fn add(&mut self, at: u64) {
        self.runs += 1;
        self.first.get_or_insert(at);
    }
}
