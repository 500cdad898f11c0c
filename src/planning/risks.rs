//! What a proposal costs and risks beside its error: noise that is lifted with
//! the sound, a ported box below its tuning, full-scale sounds that overrun,
//! a limiter that works against it, and other volume steps.

use super::diagnose::Diagnosis;
use super::problem::{Enclosure, Problem};
use super::tune::Tuned;
use super::vented_box::VentedBox;
use crate::analysis::bands::third_edges;
use crate::dsp::high_pass::HighPass;
use crate::dsp::low_band::LowBand;
use crate::settings::Settings;
use crate::units::{db_to_gain, gain_to_db};

/// Sample rate the closed forms are read at, Hz.
const RATE_HZ: f64 = 48_000.0;

/// Costs and risks of a proposal.
#[derive(Clone, Debug, PartialEq)]
pub struct Risks {
    /// How much noise rises where it rises most, dB.
    pub noise_lift_db: f64,
    /// For a ported box: its tuning in Hz, and the most that anything below it is lifted, dB (below
    /// 0: taken).
    pub below_tuning: Option<(f64, f64)>,
    /// The same box as one of maximally flat alignment, with what stands before the amplifier.
    pub unloading: Option<Unloading>,
    /// How far a full-scale sound without the radio's loss would be over full scale, dB.
    pub overrun_db: f64,
    /// Whether bass falls when the level rises: what is lifted is taken again when it is loud.
    pub fights: bool,
    /// Largest error within the reach at every captured step: (take, dB).
    pub steps: Vec<(String, f64)>,
}

/// How a ported box lets its cone run free below the tuning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unloading {
    /// From here down the cone moves further than anywhere above, if nothing protects it, Hz.
    pub below_hz: f64,
    /// How much further it moves at most with these settings, dB; below 0: less far.
    pub most_db: f64,
    /// Where that is, Hz.
    pub at_hz: f64,
}

impl Unloading {
    /// In a box of this tuning that is driven through `settings`: what arrives is the same voltage
    /// at every frequency down to 10 Hz.
    fn new(tuning_hz: f64, settings: &Settings) -> Self {
        let vented = VentedBox::maximally_flat(tuning_hz);
        let line = |hz: f64| line_db(settings, hz);
        let steps = (0..=60).map(|i| 10.0 * (0.99 * tuning_hz / 10.0).powf(f64::from(i) / 60.0));
        let told = steps.map(|hz| (hz, vented.unloading_db(hz, line)));
        let most = told.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((tuning_hz, 0.0));
        Self { below_hz: vented.unloads_below_hz(), most_db: most.1, at_hz: most.0 }
    }
}

impl Risks {
    /// Of `tuned`, the answer to `problem` in a radio that was diagnosed.
    pub fn new(found: &Diagnosis, problem: &Problem, tuned: &Tuned) -> Self {
        let settings = &tuned.proposal.settings;
        let over = |from: f64, to: f64| most_db(from, to, |hz| line_db(settings, hz));
        let octave = match settings.octave_level_db > -60.0 {
            true => db_to_gain(settings.octave_level_db.into()),
            false => 0.0,
        };
        let overrun_db = gain_to_db(db_to_gain(over(16.0, 1000.0)) * (1.0 + octave));
        Self {
            noise_lift_db: most_db(16.0, 160.0, |hz| LowBand::response_db(settings, hz, RATE_HZ)),
            below_tuning: match problem.enclosure {
                Enclosure::Sealed => None,
                Enclosure::Ported(hz) => Some((hz, over(10.0, hz))),
            },
            unloading: match problem.enclosure {
                Enclosure::Sealed => None,
                Enclosure::Ported(hz) => Some(Unloading::new(hz, settings)),
            },
            overrun_db: overrun_db.max(0.0),
            fights: found.volume.dependence.has_level() || found.gain_follows_level.is_some(),
            steps: steps(found, tuned),
        }
    }
}

/// Low band and high-pass together, dB.
fn line_db(settings: &Settings, hz: f64) -> f64 {
    LowBand::response_db(settings, hz, RATE_HZ) + HighPass::response_db(settings, hz, RATE_HZ)
}

fn most_db(from_hz: f64, to_hz: f64, db: impl Fn(f64) -> f64) -> f64 {
    (0..=60)
        .map(|i| from_hz * (to_hz / from_hz).powf(f64::from(i) / 60.0))
        .map(db)
        .fold(f64::MIN, f64::max)
}

/// What is left at other steps when their bass differs from that of the step tuned at.
fn steps(found: &Diagnosis, tuned: &Tuned) -> Vec<(String, f64)> {
    let Some(usual) = found.takes.get(found.judged_by) else { return Vec::new() };
    let reach = tuned.proposal.reach_hz.unwrap_or(f64::MAX);
    let at = |bass: &[(f64, f64)], hz: f64| bass.iter().find(|b| b.0 == hz).map(|b| b.1);
    let same = |hz: f64, band: f64| (third_edges(hz).0..third_edges(hz).1).contains(&band);
    let error = |bass: &[(f64, f64)]| {
        tuned
            .proposal
            .bands
            .iter()
            .zip(&tuned.rendered_db)
            .filter(|(band, _)| band.hz >= 0.99 * reach)
            .filter_map(|(band, came)| {
                let hz = bass.iter().find(|b| same(band.hz, b.0))?.0;
                Some((came - band.target_db + at(bass, hz)? - at(&usual.bass, hz)?).abs())
            })
            .fold(0.0, f64::max)
    };
    let name = |i: usize| match found.takes[i].name.is_empty() {
        true => (i + 1).to_string(),
        false => found.takes[i].name.clone(),
    };
    (0..found.takes.len())
        .filter(|&i| !found.takes[i].bass.is_empty())
        .map(|i| (name(i), error(&found.takes[i].bass)))
        .collect()
}
