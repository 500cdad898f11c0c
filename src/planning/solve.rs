//! One proposal: the settings that bring the bands from an edge up closest to
//! the target, for the lowest edge that can be had.
//!
//! The one idea is the reach: the lowest edge above which every band can be
//! brought within 1.5 dB. Least squares over bands that no setting can reach
//! would spoil the bands above them by 3 to 6 dB.

use super::content::LEAST_CONTENT_DB;
use super::fit::fit;
use super::places::{PLACES, mean, places};
use super::problem::{
    Enclosure, Heard, MOST_LIFT_DB, NEEDS_NOTHING_DB, NOTHING, Problem, Proposal, REACHED_DB,
    TunedBand, bands_hz, protect,
};
use crate::analysis::bands::third_edges;
use crate::dsp::high_pass::HighPass;
use crate::dsp::low_band::LowBand;
use crate::dsp::shape::{Shape, Warped};
use crate::settings::{Order, Settings};
use crate::units::{db_to_power, power_to_db};

/// Sample rate the closed forms are read at, Hz: their bilinear error below 160 Hz is nothing.
const RATE_HZ: f64 = 48_000.0;
/// What an octave part of noise comes out below "the same level one octave lower", dB, until a
/// rendering has told it band by band.
const OCTAVE_OFFSET_DB: f64 = -0.5;

/// Where the mid band that levels are told re is read, Hz.
const MID_HZ: (f64, f64) = (250.0, 1000.0);
/// An octave part at this level is off, dB.
const OCTAVE_OFF_DB: f64 = -60.0;
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

/// What the solver turns, in double precision: it takes differences of it.
#[derive(Clone, Copy)]
struct Turned {
    /// Centre in Hz, width in octaves, gain in dB.
    band: [f64; 3],
    octave_db: f64,
}

impl Turned {
    /// From the unknowns: logarithms of centre and width, gain, and the octave part's level.
    fn at(x: &[f64]) -> Self {
        let octave_db = x.get(3).copied().unwrap_or(OCTAVE_OFF_DB);
        Self { band: [x[0].exp(), x[1].exp(), x[2]], octave_db }
    }

    fn of(s: &Settings) -> Self {
        let [centre, width, gain, octave_db] =
            [s.low_band_centre_hz, s.low_band_width_oct, s.low_band_gain_db, s.octave_level_db]
                .map(f64::from);
        Self { band: [centre, width, gain], octave_db }
    }

    fn unknowns(&self) -> Vec<f64> {
        let [centre, width, gain] = self.band;
        vec![centre.ln(), width.ln(), gain, self.octave_db.max(-30.0)]
    }

    fn low_band(&self) -> Shape {
        LowBand::shape(self.band, RATE_HZ)
    }
}

/// Looks for the settings of one problem.
#[derive(Clone)]
pub(super) struct Solver<'a> {
    problem: &'a Problem,
    octave: bool,
    /// What is not turned.
    base: Settings,
    hz: Vec<f64>,
    /// The places of each band, of the mid band, and the middles of the bands, warped.
    places: Vec<[Warped; PLACES]>,
    mid: [Warped; PLACES],
    middles: Vec<Warped>,
    /// The frequencies where lifting further than the noise allows costs, and what it allows, dB.
    noisy: Vec<(Warped, f64)>,
    /// Power that the radio gives at the places of each band.
    given: Vec<[f64; PLACES]>,
    /// How far a rendering heard each band off that, as a power.
    off: Vec<f64>,
    /// What is asked for in each band, dB.
    target: Vec<f64>,
    /// Whether there is nothing left to lift in a band.
    gone: Vec<bool>,
    /// Power that an octave part at 0 dB puts in each band; `None` where it puts nothing.
    made: Vec<Option<f64>>,
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
        let in_bands: Vec<[f64; PLACES]> = hz.iter().map(|hz| places(third_edges(*hz))).collect();
        let given: Vec<[f64; PLACES]> = in_bands
            .iter()
            .map(|places| places.map(|f| db_to_power(problem.given.at(f).unwrap_or(0.0))))
            .collect();
        let off =
            |band: usize| heard.map_or(1.0, |h| db_to_power(h.given_db[band]) / mean(given[band]));
        let off = (0..hz.len()).map(off).collect();
        let gone = |hz: f64| gone(problem, hz);
        let made = |band: usize| match heard {
            Some(heard) => heard.octave_db[band],
            None => told_db(problem, &base, 2.0 * hz[band]),
        };
        let made = |band: usize| (octave && !gone(2.0 * hz[band])).then(|| db_to_power(made(band)));
        let warped = |hz: f64| Warped::new(hz, RATE_HZ);
        Self {
            problem,
            octave,
            base,
            places: in_bands.into_iter().map(|places| places.map(warped)).collect(),
            mid: places(MID_HZ).map(warped),
            middles: hz.iter().map(|hz| warped(*hz)).collect(),
            noisy: noisy(problem).map(|(hz, allowed)| (warped(hz), allowed)).collect(),
            gone: hz.iter().map(|hz| gone(*hz)).collect(),
            made: (0..hz.len()).map(made).collect(),
            target: hz.iter().map(|hz| problem.target.at(*hz).unwrap_or(0.0)).collect(),
            hz,
            given,
            off,
        }
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
        Self { base: settings, ..self.clone() }.proposal(settings, reach_hz)
    }

    /// The settings of the lowest edge that can be reached.
    pub(super) fn reach(&self) -> Proposal {
        let mut best: Option<(Settings, f64)> = None;
        let mut fallback = None;
        for edge in (0..=9).rev().filter(|&i| self.hz[i] >= 0.99 * self.problem.down_to_hz) {
            let settings = self.solve(edge, best.as_ref().map(|b| &b.0));
            fallback.get_or_insert(settings);
            if self.worst(&Turned::of(&settings), edge) <= REACHED_DB {
                best = Some((settings, self.hz[edge]));
            }
        }
        let (settings, reach_hz) = match best {
            Some((settings, hz)) => (settings, Some(hz)),
            None => (fallback.unwrap_or(self.base), None),
        };
        self.proposal(settings, reach_hz)
    }

    fn worst(&self, turned: &Turned, edge: usize) -> f64 {
        self.errors_db(turned, edge).map(f64::abs).fold(0.0, f64::max)
    }

    /// The best settings for the bands from `edge` up; of nearly equal ones the gentlest.
    fn solve(&self, edge: usize, known: Option<&Settings>) -> Settings {
        let most = self.problem.most_lift_db.clamp(0.0, MOST_LIFT_DB);
        let n = if self.octave { 4 } else { 3 };
        // Only what the radio gives too much of is taken away: never bass to make room for new.
        let over = |band: usize| self.given(band) - self.target[band] > NEEDS_NOTHING_DB;
        let least = if (0..self.hz.len()).any(over) { -6.0 } else { 0.0 };
        let bounds =
            [(16f64.ln(), 160f64.ln()), (0.2f64.ln(), 4f64.ln()), (least, most), (-30.0, 12.0)];
        let residuals = |x: &[f64]| self.residuals(&Turned::at(x), edge);
        let mut starts: Vec<Vec<f64>> = Vec::new();
        for centre in [20.0, 30.0, 45.0, 65.0, 90.0, 130.0f64] {
            for width in [0.4, 1.0, 2.4f64] {
                starts.push(vec![centre.ln(), width.ln(), 6.0, -6.0]);
            }
        }
        starts.extend(known.map(|s| Turned::of(s).unknowns()));
        let fits: Vec<_> = starts.iter().map(|s| fit(&s[..n], &bounds[..n], residuals)).collect();
        let settings: Vec<Settings> =
            fits.iter().map(|f| rounded(self.settings(&Turned::at(&f.at)))).collect();
        let worst = |s: &Settings| self.worst(&Turned::of(s), edge);
        let least = settings.iter().map(worst).fold(f64::MAX, f64::min);
        let effort = |s: &Settings| {
            let octave = if self.octave { (s.octave_level_db + 6.0).abs() } else { 0.0 };
            s.low_band_gain_db.abs() + octave
        };
        let near = settings.iter().filter(|s| worst(s) <= least + 0.3);
        *near.min_by(|a, b| effort(a).total_cmp(&effort(b))).unwrap_or(&self.base)
    }

    /// How far each band from `edge` up is off its target, dB.
    fn errors_db(&self, turned: &Turned, edge: usize) -> impl Iterator<Item = f64> {
        let out = self.out_db(turned);
        (edge..self.hz.len()).map(move |band| out[band] - self.target[band])
    }

    fn residuals(&self, turned: &Turned, edge: usize) -> Vec<f64> {
        let mut all: Vec<f64> = self.errors_db(turned, edge).collect();
        let low_band = turned.low_band();
        // A band below its noise: lifting it further than the noise allows costs.
        all.extend(
            self.noisy
                .iter()
                .map(|(at, allowed)| (power_to_db(low_band.power_at(*at)) - allowed).max(0.0)),
        );
        all.push(EFFORT * turned.band[2].max(0.0));
        if self.octave {
            all.push(EFFORT * (turned.octave_db + 6.0).max(0.0));
        }
        all
    }

    fn settings(&self, turned: &Turned) -> Settings {
        let [centre, width, gain] = turned.band.map(|x| x as f32);
        Settings {
            low_band_centre_hz: centre,
            low_band_width_oct: width,
            low_band_gain_db: gain,
            octave_level_db: turned.octave_db as f32,
            ..self.base
        }
    }

    /// What the radio gives in a band, dB.
    fn given(&self, band: usize) -> f64 {
        power_to_db(mean(self.given[band]) * self.off[band])
    }

    /// Power that an octave part of this power puts in a band before the low band.
    fn made(&self, octave: f64, band: usize) -> f64 {
        self.made[band].map_or(NOTHING, |made| octave * made)
    }

    /// What comes out in each band, re what comes out of the mid band: a wide low band lifts that
    /// too.
    fn out_db(&self, turned: &Turned) -> Vec<f64> {
        let low_band = turned.low_band();
        let corner_hz = f64::from(self.base.high_pass_hz);
        let protect = HighPass::shape(self.base.high_pass_order, corner_hz, RATE_HZ);
        let line = |at: Warped| low_band.power_at(at) * protect.power_at(at);
        let mid = mean(self.mid.map(|at| low_band.power_at(at)));
        let octave = db_to_power(turned.octave_db);
        (0..self.hz.len())
            .map(|band| power_to_db(self.band_power(octave, band, line) / mid))
            .collect()
    }

    /// Power that comes out in a band, where the octave part has this power and the line this power
    /// gain at a frequency.
    fn band_power(&self, octave: f64, band: usize, line: impl Fn(Warped) -> f64) -> f64 {
        let dry = match self.gone[band] {
            true => 0.0,
            false => {
                let mut out = self.places[band].map(&line);
                out.iter_mut().zip(self.given[band]).for_each(|(power, given)| *power *= given);
                mean(out) * self.off[band]
            }
        };
        dry + self.made(octave, band) * line(self.middles[band])
    }

    fn proposal(&self, mut settings: Settings, reach_hz: Option<f64>) -> Proposal {
        // What lifts or adds overruns with full-scale music: the ceiling holds it.
        settings.output_ceiling = settings.low_band_gain_db > 0.0 || self.octave;
        let turned = Turned::of(&settings);
        let (out_db, low_band) = (self.out_db(&turned), turned.low_band());
        let octave_db = |band| power_to_db(self.made(db_to_power(turned.octave_db), band));
        let bands: Vec<TunedBand> = self
            .hz
            .iter()
            .enumerate()
            .map(|(band, &hz)| TunedBand {
                hz,
                given_db: self.given(band),
                predicted_db: out_db[band],
                target_db: self.target[band],
                octave: octave_db(band) > self.given(band) || self.gone[band],
            })
            .collect();
        Proposal {
            headroom_db: bands.iter().map(|b| b.predicted_db).fold(0.0, f64::max),
            full_lift_db: self.hz.iter().map(|hz| low_band.db(*hz)).fold(0.0, f64::max),
            bands,
            settings,
            reach_hz,
        }
    }
}

/// Whether there is nothing left to lift at `hz`.
fn gone(problem: &Problem, hz: f64) -> bool {
    problem.content(hz).is_some_and(|c| !c.content.is_there())
}

/// What the octave part of `source` Hz should come out as before any rendering told it, dB.
fn told_db(problem: &Problem, base: &Settings, source: f64) -> f64 {
    let [from, to] = [base.octave_from_hz, base.octave_to_hz].map(f64::from);
    let edges =
        power_to_db(1.0 + (from / source).powi(16)) + power_to_db(1.0 + (source / to).powi(16));
    problem.given.at(source).unwrap_or(0.0) - edges + OCTAVE_OFFSET_DB
}

/// The frequencies a lift costs noise at, and how far each may be lifted, dB.
fn noisy(problem: &Problem) -> impl Iterator<Item = (f64, f64)> {
    problem
        .contents
        .iter()
        .filter(|c| c.hz < 170.0)
        .map(|c| (c.hz, (c.over_noise_db - c.response_db - LEAST_CONTENT_DB).max(0.0)))
}
