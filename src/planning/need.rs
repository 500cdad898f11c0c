//! What the low end of a channel needs, from its bands: the one answer that
//! headline, table, strip, plan and tuning share.

use super::content::{BandContent, Content, LEAST_CONTENT_DB};
use super::problem::{MOST_LIFT_DB, NEEDS_NOTHING_DB};

/// Lowest band that the answer is about, Hz: below it hardly anything is played.
pub const FROM_HZ: f64 = 19.0;
/// Highest band that the answer is about, Hz.
pub const TO_HZ: f64 = 170.0;

/// What is needed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Need {
    /// Every band stands.
    Nothing,
    /// Nothing is missing, but some bands are stronger than the mid band.
    TooMuch,
    /// One band of equalisation brings back what is weakened.
    Lift,
    /// Everything is there, but below this frequency (Hz) one band does not bring it back.
    MoreThanLift(f64),
    /// Below this frequency (Hz) the radio's noise is all there is.
    New(f64),
    /// Below this frequency (Hz) noise hides what is left, and whose noise it is is open.
    Open(f64),
    /// No band stands clear of the noise.
    NothingClear,
}

impl Need {
    /// The need of a channel with these bands, that border and that reach.
    pub fn new(contents: &[BandContent], border_hz: Option<f64>, reach_hz: Option<f64>) -> Self {
        let Some(border) = border_hz else { return Self::NothingClear };
        let asked = |c: &&BandContent| (FROM_HZ..TO_HZ).contains(&c.hz);
        let below = || contents.iter().filter(asked).filter(|c| c.hz < border);
        let lacks = |what: Content| below().any(|c| c.content == what);
        if lacks(Content::Gone) {
            return Self::New(border);
        }
        if lacks(Content::Uncertain) {
            return Self::Open(border);
        }
        let has = |what: Content| contents.iter().filter(asked).any(|c| c.content == what);
        if has(Content::Beyond) {
            return Self::MoreThanLift(reach_hz.unwrap_or(TO_HZ));
        }
        let over = |c: &BandContent| c.response_db > NEEDS_NOTHING_DB;
        match has(Content::Attenuated) {
            true => Self::Lift,
            false if contents.iter().filter(asked).any(over) => Self::TooMuch,
            false => Self::Nothing,
        }
    }

    /// Bands of the range asked for that stand apart from what is said of all: noise in one band.
    pub fn apart(contents: &[BandContent], border_hz: Option<f64>) -> Vec<f64> {
        let Some(border) = border_hz else { return Vec::new() };
        contents
            .iter()
            .filter(|c| (border..TO_HZ).contains(&c.hz) && c.hz > FROM_HZ && !c.content.is_there())
            .map(|c| c.hz)
            .collect()
    }

    /// Whether bands below the range asked for are not there.
    pub fn bottom_is_gone(contents: &[BandContent]) -> bool {
        contents.iter().any(|c| c.hz < FROM_HZ && !c.content.is_there())
    }

    /// By what it is known.
    pub fn rests_on(self) -> String {
        match self {
            Self::TooMuch => "bands more than 1 dB over the mid band, none below it".into(),
            Self::Nothing => "every band within 1 dB of the mid band".into(),
            Self::Lift | Self::MoreThanLift(_) => format!(
                "every band {LEAST_CONTENT_DB:.0} dB over the noise; one band of {MOST_LIFT_DB:.0} dB tried"
            ),
            Self::New(_) => {
                format!("less than {LEAST_CONTENT_DB:.0} dB over the radio's own noise")
            }
            Self::Open(_) | Self::NothingClear => {
                format!("less than {LEAST_CONTENT_DB:.0} dB over the noise of radio and recorder")
            }
        }
    }

    /// What would change or settle it.
    pub fn would_change(self) -> &'static str {
        match self {
            Self::Nothing | Self::TooMuch | Self::Lift | Self::MoreThanLift(_) => {
                "another volume step, where the radio may give less"
            }
            Self::New(_) => "a radio or a step with less noise",
            Self::Open(_) | Self::NothingClear => {
                "a quieter recorder, or a loop-back take that shows its noise"
            }
        }
    }
}
