//! The source band, and the low-pass after halving.
//!
//! What is halved must be the low end and nothing else: voices halved are mud.
//! The upper edge is a fourth-order Butterworth, steeper than needed for tones,
//! because on recorded drums it is worth more than any other choice; the lower
//! edge is second order, which keeps direct voltage out without ringing. After
//! halving, a second-order low-pass takes the lines above the octave notes: a
//! steeper one only came later. The fast response lets go of half the upper edge.

use super::resample;
use crate::dsp::glide::Glide;
use crate::dsp::svf::{Design, Svf, prewarped};
use crate::settings::{Response, Settings};

/// Butterworth qualities of second and fourth order: 1/√2; 1/(2·cos(π/8)), 1/(2·cos(3π/8)).
const SECOND_Q: f64 = std::f64::consts::FRAC_1_SQRT_2;
const FOURTH_Q: [f64; 2] = [0.541_196_100_146_197, 1.306_562_964_876_377];

/// Where the filters' -3 dB points lie.
#[derive(Clone, Copy)]
pub(super) struct Edges {
    /// The high-pass, re the lower edge of the band.
    pub(super) lower: f64,
    /// The low-pass, re the upper edge.
    pub(super) upper: f64,
    /// The low-pass after halving, re the upper edge: the octave notes end at half of it.
    pub(super) notes: f64,
    /// The same in the fast response.
    pub(super) fast_notes: f64,
}

/// The level is exact up to this far above the upper edge, and left alone this much further up.
const FLAT_HZ: f64 = 5.0;
const FADE_HZ: f64 = 20.0;
/// No more make-up than this.
const MOST_MAKE_UP: f64 = 4.0;

/// High-pass, two sections of the upper edge, the low-pass after halving.
const SECTIONS: usize = 4;

/// Band edges that glide, in octaves above 1 Hz.
pub(super) struct Band {
    edges: Edges,
    low_rate_hz: f64,
    ratio: usize,
    from: Glide,
    to: Glide,
    fast: Glide,
    designs: [Design; SECTIONS],
    filters: [Svf; SECTIONS],
}

impl Band {
    pub(super) fn new(edges: Edges, low_rate_hz: f64, ratio: usize) -> Self {
        let settings = Settings::default();
        let glide = |hz: f32| Glide::new(libm::log2(hz.into()), low_rate_hz);
        let (from, to) = (glide(settings.octave_from_hz), glide(settings.octave_to_hz));
        let fast = Glide::new(0.0, low_rate_hz);
        let designs = designs(edges, low_rate_hz, [&from, &to, &fast]);
        Self { edges, low_rate_hz, ratio, from, to, fast, designs, filters: Default::default() }
    }

    pub(super) fn set(&mut self, settings: &Settings) {
        self.from.set(libm::log2(settings.octave_from_hz.into()));
        self.to.set(libm::log2(settings.octave_to_hz.into()));
        self.fast.set(f64::from(settings.octave_response == Response::Fast));
    }

    pub(super) fn reset(&mut self) {
        self.from.finish();
        self.to.finish();
        self.fast.finish();
        self.design();
        self.filters = Default::default();
    }

    /// The source band of `x`.
    #[inline]
    pub(super) fn before(&mut self, x: f64) -> f64 {
        if self.from.moves() || self.to.moves() || self.fast.moves() {
            self.from.step();
            self.to.step();
            self.fast.step();
            self.design();
        }
        self.through(0, 3, x)
    }

    /// The octave notes in `y`.
    #[inline]
    pub(super) fn after(&mut self, y: f64) -> f64 {
        self.through(3, SECTIONS, y)
    }

    /// The gain that makes the level of the half of `hz` exact within the band, and 1 beyond it:
    /// the inverse of all that lies between the source and its half.
    pub(super) fn make_up(&self, hz: f64) -> f64 {
        let beyond = (hz - libm::exp2(self.to.value()) - FLAT_HZ) / FADE_HZ;
        let at = |designs: &[Design], hz: f64| -> f64 {
            let prewarped = prewarped(hz, self.low_rate_hz);
            designs.iter().map(|design| design.power(prewarped)).product()
        };
        let filters = at(&self.designs[..3], hz) * at(&self.designs[3..], 0.5 * hz);
        let resamplers = resample::gain(hz, self.low_rate_hz, self.ratio)
            * resample::gain(0.5 * hz, self.low_rate_hz, self.ratio);
        let gain = (1.0 / (filters.sqrt() * resamplers)).clamp(0.25, MOST_MAKE_UP);
        gain + (1.0 - gain) * beyond.clamp(0.0, 1.0)
    }

    /// Ends what has become inaudible.
    pub(super) fn flush(&mut self) {
        self.filters.iter_mut().for_each(Svf::flush);
    }

    fn through(&mut self, from: usize, to: usize, x: f64) -> f64 {
        let sections = self.filters[from..to].iter_mut().zip(&self.designs[from..to]);
        sections.fold(x, |x, (filter, design)| filter.one(design, x, 0))
    }

    fn design(&mut self) {
        self.designs = designs(self.edges, self.low_rate_hz, [&self.from, &self.to, &self.fast]);
    }
}

/// The sections for edges in octaves and a share of fast in the response.
fn designs(edges: Edges, low_rate_hz: f64, [from, to, fast]: [&Glide; 3]) -> [Design; SECTIONS] {
    let (from_hz, to_hz, fast) = (libm::exp2(from.value()), libm::exp2(to.value()), fast.value());
    let first_q = FOURTH_Q[0] + fast * (SECOND_Q - FOURTH_Q[0]);
    let notes = edges.notes + fast * (edges.fast_notes - edges.notes);
    let low_pass = |hz: f64, q: f64| Design::low_pass(hz, q, low_rate_hz);
    [
        Design::high_pass(edges.lower * from_hz, SECOND_Q, low_rate_hz),
        low_pass(edges.upper * to_hz, first_q),
        low_pass(edges.upper * to_hz, FOURTH_Q[1]).beside(fast),
        low_pass(notes * to_hz, SECOND_Q),
    ]
}
