//! Settings that bring what the radio gives closest to a target: the low band
//! where content is weakened, the octave part where it is gone, a high-pass
//! that protects the box.
//!
//! The one idea is the reach: the lowest edge above which every band can be
//! brought within 1.5 dB. Least squares over bands that no setting can reach
//! would spoil the bands above them by 3 to 6 dB.

use super::content::{BandContent, Content, LEAST_CONTENT_DB};
use super::fit::fit;
use crate::curve::Curve;
use crate::dsp::high_pass::HighPass;
use crate::dsp::low_band::LowBand;
use crate::settings::{Order, Settings};
use crate::units::{db_to_power, power_to_db};

/// Sample rate the closed forms are read at, Hz: their bilinear error below 160 Hz is nothing.
const RATE_HZ: f64 = 48_000.0;
/// A band counts as reached within this, dB.
pub const REACHED_DB: f64 = 1.5;
/// Lift that is never exceeded, dB (common practice, no source).
pub const MOST_LIFT_DB: f64 = 12.0;
/// What an octave part of noise comes out below "the same level one octave lower", dB, until a
/// rendering has told it.
const OCTAVE_OFFSET_DB: f64 = -0.5;

/// The box behind the amplifier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Enclosure {
    /// A closed box, or one not told.
    Sealed,
    /// A ported box tuned to this frequency in Hz: below it the cone runs free.
    Ported(f64),
}

/// What is to be tuned.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// What the radio gives, dB re its mid band.
    pub given: Curve,
    /// What is left in each band; empty when unknown, then all counts as there.
    pub contents: Vec<BandContent>,
    /// What is asked for, dB re the mid band.
    pub target: Curve,
    /// Lowest frequency that matters, Hz.
    pub down_to_hz: f64,
    /// The box.
    pub enclosure: Enclosure,
    /// Whether new content may be made.
    pub octave: bool,
    /// Most lift of the low band, dB.
    pub most_lift_db: f64,
}

/// One band of a proposal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TunedBand {
    /// Exact mid frequency in Hz.
    pub hz: f64,
    /// What the radio gives, dB.
    pub given_db: f64,
    /// What comes out by the closed forms, dB.
    pub predicted_db: f64,
    /// What is asked for, dB.
    pub target_db: f64,
    /// Whether the octave part makes most of it.
    pub octave: bool,
}

/// Settings with what they do.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// The settings.
    pub settings: Settings,
    /// From 16 to 160 Hz.
    pub bands: Vec<TunedBand>,
    /// Lowest band from which on every band is reached, Hz; `None` when not even 125 Hz is.
    pub reach_hz: Option<f64>,
    /// Largest level over the mid band that a source with the radio's loss makes, dB.
    pub headroom_db: f64,
    /// Lift that a source without the loss gets, dB.
    pub full_lift_db: f64,
    offset_db: f64,
}

impl Proposal {
    /// Largest error within the reach, dB.
    pub fn error_db(&self) -> f64 {
        let within = |b: &&TunedBand| self.reach_hz.is_some_and(|reach| b.hz >= 0.99 * reach);
        self.bands
            .iter()
            .filter(within)
            .map(|b| (b.predicted_db - b.target_db).abs())
            .fold(0.0, f64::max)
    }
}

/// The mid frequencies tuned, 16 to 160 Hz (IEC 61260-1, base 10).
pub fn bands_hz() -> impl Iterator<Item = f64> {
    (12..=22).map(|k| 10f64.powf(f64::from(k) / 10.0))
}

/// Flat down to the bottom.
pub fn flat() -> Curve {
    Curve::new([(10.0, 0.0), (1000.0, 0.0)])
}

/// A gentle rise: 2 dB per octave from 160 Hz down to 40 Hz, flat below (common practice, no source).
pub fn gentle() -> Curve {
    Curve::new([(10.0, 4.0), (40.0, 4.0), (160.0, 0.0), (1000.0, 0.0)])
}

/// Solves `problem`. `offset_db` is what a rendering told about the octave part's level; `None`
/// before one.
pub fn propose(problem: &Problem, offset_db: Option<f64>) -> Proposal {
    let offset_db = offset_db.unwrap_or(OCTAVE_OFFSET_DB);
    let plain = Solver::new(problem, false, offset_db).reach();
    if !problem.octave || plain.reach_hz.is_some_and(|hz| hz <= 1.01 * problem.down_to_hz) {
        return plain;
    }
    let with = Solver::new(problem, true, offset_db).reach();
    // New content only where it gets further down.
    let further = |p: &Proposal| p.reach_hz.unwrap_or(f64::MAX);
    if further(&with) < 0.99 * further(&plain) { with } else { plain }
}

/// A tuning that was rendered and measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Tuned {
    /// The proposal.
    pub proposal: Proposal,
    /// What came out when it was rendered, band by band, dB re the mid band.
    pub rendered_db: Vec<f64>,
}

impl Tuned {
    /// Largest difference between prediction and rendering, dB: inside the reach, and in its lowest
    /// band.
    pub fn surprise_db(&self) -> (f64, f64) {
        let reach = self.proposal.reach_hz.unwrap_or(f64::MAX);
        let off = |from: f64, to: f64| {
            let both = self.proposal.bands.iter().zip(&self.rendered_db);
            both.filter(|(b, _)| (from..to).contains(&b.hz))
                .map(|(b, r)| (b.predicted_db - r).abs())
                .fold(0.0, f64::max)
        };
        (off(1.01 * reach, f64::MAX), off(0.99 * reach, 1.01 * reach))
    }

    /// Largest error of the rendering within the reach, dB.
    pub fn error_db(&self) -> f64 {
        let within = |hz: f64| self.proposal.reach_hz.is_some_and(|reach| hz >= 0.99 * reach);
        let both = self.proposal.bands.iter().zip(&self.rendered_db);
        both.filter(|(b, _)| within(b.hz)).map(|(b, r)| (r - b.target_db).abs()).fold(0.0, f64::max)
    }
}

/// Proposes, renders, corrects the octave part's level once by what came out, renders again.
/// `render` gives the levels of [`bands_hz`] in dB re the mid band for pink noise with the
/// radio's response.
pub fn tune<E>(
    problem: &Problem,
    mut render: impl FnMut(&Settings) -> Result<Vec<f64>, E>,
) -> Result<Tuned, E> {
    let first = propose(problem, None);
    let rendered_db = render(&first.settings)?;
    let makes: Vec<(f64, f64)> = first
        .bands
        .iter()
        .zip(&rendered_db)
        .filter(|(b, _)| b.octave && first.reach_hz.is_some_and(|reach| b.hz >= 0.99 * reach))
        .map(|(b, r)| (b.predicted_db, *r))
        .collect();
    if makes.is_empty() {
        return Ok(Tuned { proposal: first, rendered_db });
    }
    let off = makes.iter().map(|(told, came)| came - told).sum::<f64>() / makes.len() as f64;
    let second = propose(problem, Some(first.offset_db + off));
    let again = render(&second.settings)?;
    let [first, second] =
        [Tuned { proposal: first, rendered_db }, Tuned { proposal: second, rendered_db: again }];
    Ok(if second.error_db() <= first.error_db() { second } else { first })
}

/// The high-pass that protects the box: for a ported box 0.8 of its tuning, steep; for a closed
/// box gentle at 18 Hz (common practice, no source).
pub fn protect(settings: &mut Settings, enclosure: Enclosure) {
    let (order, hz) = match enclosure {
        Enclosure::Sealed => (Order::Second, 18.0),
        Enclosure::Ported(tuning_hz) => (Order::Fourth, (0.8 * tuning_hz).clamp(8.0, 60.0)),
    };
    settings.high_pass_order = order;
    settings.high_pass_hz = hz as f32;
}

/// Figures a hand can set: tenths of a decibel and of a hertz, hundredths of an octave.
pub(super) fn rounded(mut s: Settings) -> Settings {
    let to = |value: &mut f32, steps: f32| *value = (*value * steps).round() / steps;
    for value in [
        &mut s.low_band_centre_hz,
        &mut s.low_band_gain_db,
        &mut s.octave_level_db,
        &mut s.octave_from_hz,
        &mut s.octave_to_hz,
        &mut s.octave_floor_hz,
        &mut s.high_pass_hz,
        &mut s.output_gain_db,
    ] {
        to(value, 10.0);
    }
    to(&mut s.low_band_width_oct, 100.0);
    s
}

struct Solver<'a> {
    problem: &'a Problem,
    octave: bool,
    offset_db: f64,
    base: Settings,
    hz: Vec<f64>,
}

impl<'a> Solver<'a> {
    fn new(problem: &'a Problem, octave: bool, offset_db: f64) -> Self {
        let mut base = Settings { octave_level_db: -60.0, ..Settings::default() };
        protect(&mut base, problem.enclosure);
        if octave {
            // No note where a ported box lets the cone run free.
            let lowest = match problem.enclosure {
                Enclosure::Sealed => problem.down_to_hz.max(f64::from(base.high_pass_hz)),
                Enclosure::Ported(tuning_hz) => problem.down_to_hz.max(tuning_hz / 0.9),
            };
            base.octave_floor_hz = (0.9 * lowest).clamp(10.0, 50.0) as f32;
            base.octave_from_hz = (1.8 * lowest).clamp(25.0, 100.0) as f32;
        }
        Self { problem, octave, offset_db, base, hz: bands_hz().collect() }
    }

    /// The settings of the lowest edge that can be reached.
    fn reach(&self) -> Proposal {
        let mut best: Option<(Settings, f64)> = None;
        let mut fallback = None;
        for edge in (0..=9).rev().filter(|&i| self.hz[i] >= 0.99 * self.problem.down_to_hz) {
            let settings = self.solve(edge, best.as_ref().map(|b| &b.0));
            fallback.get_or_insert(settings);
            if self.worst(&settings, edge) <= REACHED_DB {
                best = Some((settings, self.hz[edge]));
            }
        }
        let (settings, reach_hz) = match best {
            Some((settings, hz)) => (settings, Some(hz)),
            None => (fallback.unwrap_or(self.base), None),
        };
        self.proposal(settings, reach_hz)
    }

    fn worst(&self, settings: &Settings, edge: usize) -> f64 {
        let error = |hz: &f64| (self.out_db(settings, *hz) - self.target(*hz)).abs();
        self.hz[edge..].iter().map(error).fold(0.0, f64::max)
    }

    /// The best settings for the bands from `edge` up; of nearly equal ones the gentlest.
    fn solve(&self, edge: usize, known: Option<&Settings>) -> Settings {
        let most = self.problem.most_lift_db.clamp(0.0, MOST_LIFT_DB);
        let n = if self.octave { 4 } else { 3 };
        let bounds =
            [(16f64.ln(), 160f64.ln()), (0.2f64.ln(), 4f64.ln()), (-6.0, most), (-30.0, 12.0)];
        let residuals = |x: &[f64]| self.residuals(&self.settings(x), edge);
        let mut starts: Vec<Vec<f64>> = Vec::new();
        for centre in [20.0, 26.0, 33.0, 45.0, 60.0, 80.0, 105.0, 140.0f64] {
            for width in [0.4, 0.8, 1.6, 2.6f64] {
                starts.push(vec![centre.ln(), width.ln(), 6.0, -6.0]);
            }
        }
        starts.extend(known.map(|s| self.unknowns(s)));
        let fits: Vec<_> = starts.iter().map(|s| fit(&s[..n], &bounds[..n], residuals)).collect();
        let settings: Vec<Settings> = fits.iter().map(|f| rounded(self.settings(&f.at))).collect();
        let worst = |s: &Settings| self.worst(s, edge);
        let least = settings.iter().map(worst).fold(f64::MAX, f64::min);
        let effort = |s: &Settings| {
            let octave = if self.octave { (s.octave_level_db + 6.0).abs() } else { 0.0 };
            s.low_band_gain_db.abs() + octave
        };
        let near = settings.iter().filter(|s| worst(s) <= least + 0.3);
        *near.min_by(|a, b| effort(a).total_cmp(&effort(b))).unwrap_or(&self.base)
    }

    fn residuals(&self, settings: &Settings, edge: usize) -> Vec<f64> {
        let mut all: Vec<f64> = self.hz[edge..]
            .iter()
            .map(|hz| self.out_db(settings, *hz) - self.target(*hz))
            .collect();
        // A band below its noise: lifting it further than the noise allows costs.
        all.extend(self.problem.contents.iter().filter(|c| c.hz < 170.0).map(|c| {
            let allowed = (c.over_noise_db - c.response_db - LEAST_CONTENT_DB).max(0.0);
            (LowBand::response_db(settings, c.hz, RATE_HZ) - allowed).max(0.0)
        }));
        // Directions that change nothing must not run away.
        all.push(0.14 * f64::from(settings.low_band_gain_db.max(0.0)));
        if self.octave {
            all.push(0.14 * f64::from((settings.octave_level_db + 6.0).max(0.0)));
        }
        all
    }

    fn settings(&self, x: &[f64]) -> Settings {
        let mut settings = self.base;
        settings.low_band_centre_hz = x[0].exp() as f32;
        settings.low_band_width_oct = x[1].exp() as f32;
        settings.low_band_gain_db = x[2] as f32;
        if let Some(level) = x.get(3) {
            settings.octave_level_db = *level as f32;
        }
        settings
    }

    fn unknowns(&self, s: &Settings) -> Vec<f64> {
        let [centre, width, gain, level] =
            [s.low_band_centre_hz, s.low_band_width_oct, s.low_band_gain_db, s.octave_level_db]
                .map(f64::from);
        vec![centre.ln(), width.ln(), gain, level.max(-30.0)]
    }

    fn target(&self, hz: f64) -> f64 {
        self.problem.target.at(hz).unwrap_or(0.0)
    }

    fn given(&self, hz: f64) -> f64 {
        self.problem.given.at(hz).unwrap_or(0.0)
    }

    /// Whether there is nothing left to lift at `hz`.
    fn gone(&self, hz: f64) -> bool {
        let near = |c: &&BandContent| (c.hz / hz).log2().abs() < 1.0 / 6.0;
        self.problem.contents.iter().find(near).is_some_and(|c| c.content != Content::Attenuated)
    }

    /// What the octave part puts at `hz`, dB before the low band.
    fn octave_db(&self, settings: &Settings, hz: f64) -> f64 {
        if !self.octave || self.gone(2.0 * hz) {
            return -200.0;
        }
        let [from, to] = [settings.octave_from_hz, settings.octave_to_hz].map(f64::from);
        let source = 2.0 * hz;
        let band =
            power_to_db(1.0 + (from / source).powi(16)) + power_to_db(1.0 + (source / to).powi(16));
        self.given(source) - band + f64::from(settings.octave_level_db) + self.offset_db
    }

    fn out_db(&self, settings: &Settings, hz: f64) -> f64 {
        let dry = if self.gone(hz) { 0.0 } else { db_to_power(self.given(hz)) };
        power_to_db(dry + db_to_power(self.octave_db(settings, hz)))
            + LowBand::response_db(settings, hz, RATE_HZ)
            + HighPass::response_db(settings, hz, RATE_HZ)
    }

    fn proposal(&self, settings: Settings, reach_hz: Option<f64>) -> Proposal {
        let bands: Vec<TunedBand> = self
            .hz
            .iter()
            .map(|&hz| TunedBand {
                hz,
                given_db: self.given(hz),
                predicted_db: self.out_db(&settings, hz),
                target_db: self.target(hz),
                octave: self.octave_db(&settings, hz) > self.given(hz) || self.gone(hz),
            })
            .collect();
        let low_band = |hz: f64| LowBand::response_db(&settings, hz, RATE_HZ);
        Proposal {
            headroom_db: bands.iter().map(|b| b.predicted_db).fold(0.0, f64::max),
            full_lift_db: self.hz.iter().map(|hz| low_band(*hz)).fold(0.0, f64::max),
            bands,
            settings,
            reach_hz,
            offset_db: self.offset_db,
        }
    }
}
