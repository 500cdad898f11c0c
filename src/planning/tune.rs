//! Settings that bring what the radio gives closest to a target: the low band
//! where content is weakened, the octave part where it is gone, a high-pass
//! that protects the box.
//!
//! The one idea: a proposal is rendered before it is told, and where it makes
//! new content it rests on what such a rendering held, band by band.

use super::need::lift_is_enough;
pub use super::problem::{
    Enclosure, Heard, MOST_LIFT_DB, Problem, Proposal, TunedBand, bands_hz, flat, gentle, protect,
};
use super::solve::Solver;
use crate::settings::Settings;

/// Solves `problem`. `heard` is what a rendering told of its bands; before one the octave part
/// counts as its source, an octave lower.
pub fn propose(problem: &Problem, heard: Option<&Heard>) -> Proposal {
    if problem.needs_nothing() {
        return Solver::new(problem, false, heard).nothing();
    }
    let plain = Solver::new(problem, false, heard).reach();
    if !may_make_new(problem) || plain.reach_hz.is_some_and(|hz| hz <= 1.01 * problem.down_to_hz) {
        return plain;
    }
    let with = Solver::new(problem, true, heard).reach();
    // New content only where it gets further down.
    let further = |p: &Proposal| p.reach_hz.unwrap_or(f64::MAX);
    if further(&with) < 0.99 * further(&plain) { with } else { plain }
}

/// Whether new content may be made: it is allowed, and some band asks for it.
fn may_make_new(problem: &Problem) -> bool {
    problem.octave && (problem.contents.is_empty() || !lift_is_enough(&problem.contents))
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
    /// Whether nothing is proposed.
    pub fn is_nothing(&self) -> bool {
        let s = &self.proposal.settings;
        s.low_band_gain_db == 0.0 && s.octave_level_db <= -60.0
    }

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

/// Proposes, renders what the bands hold with the octave part so proposed, proposes again by
/// what was heard, and renders that. `render` gives the levels of [`bands_hz`] in dB re the mid
/// band for pink noise with the radio's response.
pub fn tune<E>(
    problem: &Problem,
    mut render: impl FnMut(&Settings) -> Result<Vec<f64>, E>,
) -> Result<Tuned, E> {
    let off = Settings { octave_level_db: -60.0, ..Settings::default() };
    let given_db = render(&off)?;
    let first = propose(problem, None).settings;
    let Settings { octave_level_db, octave_from_hz, octave_to_hz, octave_floor_hz, .. } = first;
    let octave = Settings { octave_level_db, octave_from_hz, octave_to_hz, octave_floor_hz, ..off };
    let made = octave != off;
    let both_db = if made { render(&octave)? } else { given_db.clone() };
    let heard = Heard::new(given_db, &both_db, f64::from(octave_level_db));
    // What was not made was not heard.
    let asked = Problem { octave: made, ..problem.clone() };
    let proposal = propose(&asked, Some(&heard));
    let rendered_db = render(&proposal.settings)?;
    Ok(Tuned { proposal, rendered_db })
}
