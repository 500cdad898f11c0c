//! Averaged spectra along the line, and the transfer function from its start to its end.
//!
//! All posts run in step, so their blocks begin and end together, and a transform serves
//! whatever needs it: what a stage passes on untouched was transformed before it, the octave
//! part is the same in every channel, and dry and octave part add up to the blend.

use crate::analysis::averager::Welch;
use crate::analysis::blocks::{Bin, Blocks, add_powers};
use crate::analysis::spectrum::Spectrum;
use crate::analysis::transfer::{Sums, Transfer};
use crate::analysis::window::Window;
use crate::path::Tap;

/// Highest frequency that is kept of the spectra inside the line, in Hz.
const INSIDE_TO_HZ: f64 = 24_000.0;

/// Averages the spectra at the posts of the line.
pub(super) struct Spectra {
    channels: usize,
    welch: Welch,
    blocks: Blocks,
    /// In the order of the line; the first is before it.
    posts: Vec<Post>,
    transfer: Option<Sums>,
    count: u64,
}

/// What is known at one post.
struct Post {
    tap: Tap,
    /// Samples that wait for their block, channel by channel, in single precision: the rounding
    /// stays below -150 dB of the signal, all bins together.
    waiting: Vec<Vec<f32>>,
    /// Number of the first post that has the block at work.
    same_as: usize,
    /// Its transform, if that is this post.
    transform: Vec<Bin>,
    sum: Sum,
}

/// The powers of all blocks at a post.
enum Sum {
    /// No block yet.
    Nothing,
    /// So far every block was that of another post, by its number.
    Of(usize),
    /// Bin by bin.
    Own(Vec<f64>),
}

impl Spectra {
    /// For what arrives; more posts are added by [`Spectra::attend`].
    pub(super) fn new(sample_rate_hz: f64, channels: usize, periodic: bool) -> Self {
        let welch = match periodic {
            true => Welch::periodic(sample_rate_hz),
            false => Welch::new(sample_rate_hz, Window::Hann),
        };
        let mut spectra = Self {
            channels,
            welch,
            blocks: Blocks::new(welch.length, welch.window),
            posts: Vec::new(),
            transfer: None,
            count: 0,
        };
        spectra.attend(Tap::Before);
        spectra
    }

    /// Listens at one more post, further along the line; what it has missed counts as silence.
    pub(super) fn attend(&mut self, tap: Tap) {
        if self.posts.iter().any(|post| post.tap == tap) {
            return;
        }
        let channels = if tap == Tap::Octave { 1 } else { self.channels };
        let missed = self.posts.first().map_or(0, Post::there);
        let mut waiting = vec![Vec::with_capacity(self.welch.length); channels];
        waiting.iter_mut().for_each(|channel| channel.resize(missed, 0.0));
        self.posts.push(Post {
            tap,
            waiting,
            transform: vec![Bin::default(); self.welch.bins()],
            same_as: self.posts.len(),
            sum: Sum::Nothing,
        });
    }

    /// Measures the transfer function from the first post to the last, too.
    pub(super) fn ask_transfer(&mut self) {
        self.transfer.get_or_insert_with(|| Sums::new(self.welch.bins()));
    }

    /// Hears the next samples at every post: `at` a post one slice a channel, all of one length.
    pub(super) fn push<'a>(&mut self, at: impl Fn(Tap) -> &'a [&'a [f64]]) {
        let samples = at(Tap::Before).first().map_or(0, |channel| channel.len());
        let mut start = 0;
        while start < samples {
            let end = samples.min(start + self.welch.length - self.posts[0].there());
            for post in &mut self.posts {
                for (waiting, channel) in post.waiting.iter_mut().zip(at(post.tap)) {
                    waiting.extend(channel[start..end].iter().map(|x| *x as f32));
                }
            }
            start = end;
            if self.posts[0].there() == self.welch.length {
                self.add_block();
                self.count += 1;
                let waiting = self.posts.iter_mut().flat_map(|post| &mut post.waiting);
                waiting.for_each(|channel| drop(channel.drain(..self.welch.hop)));
            }
        }
    }

    /// The averages at the posts so far. Before the first 2 s are full, what is there is one
    /// shorter block.
    pub(super) fn reading(&mut self) -> Vec<(Tap, Spectrum)> {
        let (count, there) = (self.count, self.posts[0].there());
        if count == 0 {
            self.add_block();
        }
        let mean = |post: &Post| {
            let sum = self.sum(post)[..self.bins(post.tap)].to_vec();
            (post.tap, self.welch.mean(sum, count, there))
        };
        let means = self.posts.iter().map(mean).collect();
        if count == 0 {
            self.forget_sums();
        }
        means
    }

    /// The transfer function so far, if it was asked for; `None` before the second block (3 s),
    /// since one block alone always looks coherent.
    pub(super) fn transfer(&self) -> Option<Transfer> {
        let sums = self.transfer.as_ref().filter(|_| self.count > 1)?;
        Some(sums.transfer(self.welch.df_hz, self.welch.independent(self.count), 0.0))
    }

    /// Forgets everything heard.
    pub(super) fn reset(&mut self) {
        self.count = 0;
        self.forget_sums();
        self.posts.iter_mut().flat_map(|post| &mut post.waiting).for_each(Vec::clear);
    }

    fn forget_sums(&mut self) {
        let bins = self.welch.bins();
        self.transfer.iter_mut().for_each(|sums| *sums = Sums::new(bins));
        self.posts.iter_mut().for_each(|post| post.sum = Sum::Nothing);
    }

    /// Bins that are told of a post.
    fn bins(&self, tap: Tap) -> usize {
        let most = (INSIDE_TO_HZ / self.welch.df_hz).round() as usize + 1;
        match tap {
            Tap::Before | Tap::After => self.welch.bins(),
            Tap::Dry | Tap::Octave | Tap::Blend | Tap::LowBand => self.welch.bins().min(most),
        }
    }

    fn sum<'a>(&'a self, post: &'a Post) -> &'a [f64] {
        match &post.sum {
            Sum::Own(sum) => sum,
            Sum::Of(number) => self.sum(&self.posts[*number]),
            Sum::Nothing => &[],
        }
    }

    /// Adds what waits at every post.
    fn add_block(&mut self) {
        for number in 0..self.posts.len() {
            self.compare(number);
        }
        for channel in 0..self.channels {
            let scale = self.transform(channel) / self.channels as f64;
            for number in 0..self.posts.len() {
                let mut sum = std::mem::replace(&mut self.posts[number].sum, Sum::Nothing);
                if let Sum::Own(sum) = &mut sum {
                    add_powers(self.known(number), scale, sum);
                }
                self.posts[number].sum = sum;
            }
            if let Some(mut sums) = self.transfer.take() {
                sums.add(self.known(0), self.known(self.posts.len() - 1));
                self.transfer = Some(sums);
            }
        }
    }

    /// Does an earlier post have the block of this one? From the first block on that none has,
    /// it has a sum of its own.
    fn compare(&mut self, number: usize) {
        let waiting = &self.posts[number].waiting;
        let same = self.posts[..number].iter().position(|post| post.waiting == *waiting);
        let sum = match (&self.posts[number].sum, same) {
            (Sum::Nothing, Some(other)) => Some(Sum::Of(other)),
            (Sum::Nothing, None) => Some(Sum::Own(vec![0.0; self.welch.bins()])),
            (Sum::Of(before), same) if same != Some(*before) => {
                Some(Sum::Own(self.sum(&self.posts[number]).to_vec()))
            }
            (Sum::Of(_) | Sum::Own(_), _) => None,
        };
        let post = &mut self.posts[number];
        post.same_as = same.unwrap_or(number);
        post.sum = sum.unwrap_or(std::mem::replace(&mut post.sum, Sum::Nothing));
    }

    /// Transforms a channel of every block that no earlier post has; answers with what makes
    /// powers of the transforms.
    fn transform(&mut self, channel: usize) -> f64 {
        let mut scale = 0.0;
        for number in 0..self.posts.len() {
            let (done, rest) = self.posts.split_at_mut(number);
            let post = &mut rest[0];
            // The octave part was transformed with the first channel.
            let Some(waiting) = post.waiting.get(channel).filter(|_| post.same_as == number) else {
                continue;
            };
            match parts(post.tap, done) {
                Some([dry, octave]) => {
                    let parts = dry.iter().zip(octave);
                    let sums = post.transform.iter_mut().zip(parts);
                    sums.for_each(|(sum, (dry, octave))| *sum = dry + octave);
                }
                None => scale = self.blocks.transform(waiting, &mut post.transform),
            }
        }
        scale
    }

    /// The transform at a post.
    fn known(&self, number: usize) -> &[Bin] {
        &self.posts[self.posts[number].same_as].transform
    }
}

/// The transforms that add up to that at a post.
fn parts(tap: Tap, done: &[Post]) -> Option<[&[Bin]; 2]> {
    let at = |tap: Tap| {
        let post = done.iter().find(|post| post.tap == tap)?;
        Some(done[post.same_as].transform.as_slice())
    };
    match tap {
        Tap::Blend => Some([at(Tap::Dry)?, at(Tap::Octave)?]),
        _ => None,
    }
}

impl Post {
    /// Number of samples that wait.
    fn there(&self) -> usize {
        self.waiting.first().map_or(0, Vec::len)
    }
}
