//! One proposal: the settings that bring the bands from an edge up closest to
//! the target, for the lowest edge that can be had.
//!
//! The one idea is the reach: the lowest edge above which every band can be
//! brought within 1.5 dB. Least squares over bands that no setting can reach
//! would spoil the bands above them by 3 to 6 dB.

use super::content::LEAST_CONTENT_DB;
use super::fit::fit;
use super::noise::edges;
use super::problem::{
    Enclosure, Heard, MOST_LIFT_DB, NEEDS_NOTHING_DB, NOTHING_DB, Problem, Proposal, REACHED_DB,
    TunedBand, bands_hz, protect,
};
use crate::dsp::high_pass::HighPass;
use crate::dsp::low_band::LowBand;
use crate::settings::{Order, Settings};
use crate::units::{db_to_power, power_to_db};

/// Sample rate the closed forms are read at, Hz: their bilinear error below 160 Hz is nothing.
const RATE_HZ: f64 = 48_000.0;
/// What an octave part of noise comes out below "the same level one octave lower", dB, until a
/// rendering has told it band by band.
const OCTAVE_OFFSET_DB: f64 = -0.5;

/// Places in a band, as shares of its width in octaves from its middle, and weights: Gauss's rule of
/// five points, exact to the ninth degree: a low band narrower than a third is bent within it.
const GAUSS: [(f64, f64); PLACES] = [
    (-0.453_089_923, 0.118_463_443),
    (-0.269_234_655, 0.239_314_335),
    (0.0, 0.284_444_444),
    (0.269_234_655, 0.239_314_335),
    (0.453_089_923, 0.118_463_443),
];
/// Places in a band.
const PLACES: usize = 5;
/// Where the mid band that levels are told re is read, Hz: the same rule over its two octaves.
const MID_HZ: (f64, f64) = (250.0, 1000.0);
/// Cost of a decibel of lift and of an octave part above −6 dB, as a share of a band's error: directions
/// that change nothing must not run away (a 50th of the squares).
const EFFORT: f64 = 0.14;

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

/// Looks for the settings of one problem.
pub(super) struct Solver<'a> {
    problem: &'a Problem,
    octave: bool,
    heard: Option<&'a Heard>,
    base: Settings,
    hz: Vec<f64>,
    /// What the radio gives at the places of each band, dB.
    given: Vec<[f64; PLACES]>,
    /// How far a rendering heard each band off that, dB.
    off: Vec<f64>,
}

impl<'a> Solver<'a> {
    /// With or without an octave part, by what was `heard` of one.
    pub(super) fn new(problem: &'a Problem, octave: bool, heard: Option<&'a Heard>) -> Self {
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
        let hz: Vec<f64> = bands_hz().collect();
        let given: Vec<[f64; PLACES]> = hz
            .iter()
            .map(|hz| places(edges(*hz)).map(|f| problem.given.at(f).unwrap_or(0.0)))
            .collect();
        let off = |band: usize| heard.map_or(0.0, |h| h.given_db[band] - mean_db(given[band]));
        let off = (0..hz.len()).map(off).collect();
        Self { problem, octave, heard, base, hz, given, off }
    }

    /// Without a high-pass for the box: what equalisation alone reaches.
    pub(super) fn unprotected(problem: &'a Problem) -> Self {
        let mut solver = Self::new(problem, false, None);
        solver.base.high_pass_order = Order::Off;
        solver
    }

    /// The answer for a radio that is as asked for: a ported box is protected, nothing else is set.
    pub(super) fn nothing(&self) -> Proposal {
        let mut settings = Settings { octave_level_db: -60.0, ..Settings::default() };
        if let Enclosure::Ported(_) = self.problem.enclosure {
            protect(&mut settings, self.problem.enclosure);
        }
        let reach_hz = self.hz.iter().copied().find(|hz| *hz >= 0.99 * self.problem.down_to_hz);
        self.proposal(settings, reach_hz)
    }

    /// The settings of the lowest edge that can be reached.
    pub(super) fn reach(&self) -> Proposal {
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
        self.errors_db(settings, edge).map(f64::abs).fold(0.0, f64::max)
    }

    /// The best settings for the bands from `edge` up; of nearly equal ones the gentlest.
    fn solve(&self, edge: usize, known: Option<&Settings>) -> Settings {
        let most = self.problem.most_lift_db.clamp(0.0, MOST_LIFT_DB);
        let n = if self.octave { 4 } else { 3 };
        // Only what the radio gives too much of is taken away: never bass to make room for new.
        let over = |band: usize| self.given(band) - self.target(self.hz[band]) > NEEDS_NOTHING_DB;
        let least = if (0..self.hz.len()).any(over) { -6.0 } else { 0.0 };
        let bounds =
            [(16f64.ln(), 160f64.ln()), (0.2f64.ln(), 4f64.ln()), (least, most), (-30.0, 12.0)];
        let residuals = |x: &[f64]| self.residuals(&self.settings(x), edge);
        let mut starts: Vec<Vec<f64>> = Vec::new();
        for centre in [20.0, 30.0, 45.0, 65.0, 90.0, 130.0f64] {
            for width in [0.4, 1.0, 2.4f64] {
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

    /// How far each band from `edge` up is off its target, dB.
    fn errors_db(&self, settings: &Settings, edge: usize) -> impl Iterator<Item = f64> {
        (edge..self.hz.len()).map(|band| self.out_db(settings, band) - self.target(self.hz[band]))
    }

    fn residuals(&self, settings: &Settings, edge: usize) -> Vec<f64> {
        let mut all: Vec<f64> = self.errors_db(settings, edge).collect();
        // A band below its noise: lifting it further than the noise allows costs.
        all.extend(self.problem.contents.iter().filter(|c| c.hz < 170.0).map(|c| {
            let allowed = (c.over_noise_db - c.response_db - LEAST_CONTENT_DB).max(0.0);
            (LowBand::response_db(settings, c.hz, RATE_HZ) - allowed).max(0.0)
        }));
        all.push(EFFORT * f64::from(settings.low_band_gain_db.max(0.0)));
        if self.octave {
            all.push(EFFORT * f64::from((settings.octave_level_db + 6.0).max(0.0)));
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

    /// What the radio gives in a band, dB.
    fn given(&self, band: usize) -> f64 {
        mean_db(self.given[band]) + self.off[band]
    }

    /// Whether there is nothing left to lift at `hz`.
    fn gone(&self, hz: f64) -> bool {
        self.problem.content(hz).is_some_and(|c| !c.content.is_there())
    }

    /// What the octave part puts in a band, dB before the low band.
    fn octave_db(&self, settings: &Settings, band: usize) -> f64 {
        let source = 2.0 * self.hz[band];
        if !self.octave || self.gone(source) {
            return NOTHING_DB;
        }
        let told = || {
            let [from, to] = [settings.octave_from_hz, settings.octave_to_hz].map(f64::from);
            let edges = power_to_db(1.0 + (from / source).powi(16))
                + power_to_db(1.0 + (source / to).powi(16));
            self.problem.given.at(source).unwrap_or(0.0) - edges + OCTAVE_OFFSET_DB
        };
        f64::from(settings.octave_level_db)
            + self.heard.map_or_else(told, |heard| heard.octave_db[band])
    }

    /// What comes out in a band, re what comes out of the mid band: a wide low band lifts that too.
    fn out_db(&self, settings: &Settings, band: usize) -> f64 {
        let hz = self.hz[band];
        let line = |f: f64| {
            LowBand::response_db(settings, f, RATE_HZ) + HighPass::response_db(settings, f, RATE_HZ)
        };
        let dry = match self.gone(hz) {
            true => 0.0,
            false => {
                let mut out = places(edges(hz)).map(line);
                out.iter_mut().zip(self.given[band]).for_each(|(db, given)| *db += given);
                db_to_power(mean_db(out) + self.off[band])
            }
        };
        let octave = db_to_power(self.octave_db(settings, band) + line(hz));
        power_to_db(dry + octave) - mid_db(settings)
    }

    fn proposal(&self, mut settings: Settings, reach_hz: Option<f64>) -> Proposal {
        // What lifts or adds overruns with full-scale music: the ceiling holds it.
        settings.output_ceiling = settings.low_band_gain_db > 0.0 || self.octave;
        let bands: Vec<TunedBand> = self
            .hz
            .iter()
            .enumerate()
            .map(|(band, &hz)| TunedBand {
                hz,
                given_db: self.given(band),
                predicted_db: self.out_db(&settings, band),
                target_db: self.target(hz),
                octave: self.octave_db(&settings, band) > self.given(band) || self.gone(hz),
            })
            .collect();
        let low_band = |hz: f64| LowBand::response_db(&settings, hz, RATE_HZ);
        Proposal {
            headroom_db: bands.iter().map(|b| b.predicted_db).fold(0.0, f64::max),
            full_lift_db: self.hz.iter().map(|hz| low_band(*hz)).fold(0.0, f64::max),
            bands,
            settings,
            reach_hz,
        }
    }
}

/// The places of Gauss's rule between two frequencies, on log frequency.
fn places(hz: (f64, f64)) -> [f64; PLACES] {
    let (middle, octaves) = ((hz.0 * hz.1).sqrt(), (hz.1 / hz.0).log2());
    GAUSS.map(|(place, _)| middle * (place * octaves).exp2())
}

/// Mean power of levels at those places, dB.
fn mean_db(levels: [f64; PLACES]) -> f64 {
    power_to_db(levels.iter().zip(GAUSS).map(|(db, (_, weight))| weight * db_to_power(*db)).sum())
}

/// What the low band does to the mid band, dB.
fn mid_db(settings: &Settings) -> f64 {
    mean_db(places(MID_HZ).map(|hz| LowBand::response_db(settings, hz, RATE_HZ)))
}
