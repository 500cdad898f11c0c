//! What the low end of a channel needs, from its bands: the one answer that
//! headline, table, strip, plan and tuning share.
//!
//! Every need is a claim about all bands of the range, so none can be told
//! beside a band that belies it.

use super::content::{BandContent, Content, LEAST_CONTENT_DB};
use super::problem::{MOST_LIFT_DB, NEEDS_NOTHING_DB};

/// Lowest band that the answer is about, Hz: below it hardly anything is played.
pub const FROM_HZ: f64 = 19.0;
/// Highest band that the answer is about, Hz.
pub const TO_HZ: f64 = 170.0;
/// From one third octave to the next.
const THIRD: f64 = 1.258_925;

/// What is needed.
#[derive(Clone, Debug, PartialEq)]
pub enum Need {
    /// Every band stands.
    Nothing,
    /// Nothing is missing, but some bands are stronger than the mid band.
    TooMuch,
    /// One band of equalisation brings back what is weakened.
    Lift,
    /// Everything is there, but below this frequency (Hz) one band does not bring it back.
    MoreThanLift(f64),
    /// Here the radio's noise is all there is.
    New(Place),
    /// Here noise hides what is left, and whose noise it is is open.
    Open(Place),
    /// No band stands clear of the noise.
    NothingClear,
}

/// Where something is missing.
#[derive(Clone, Debug, PartialEq)]
pub enum Place {
    /// Below this frequency, Hz.
    Below(f64),
    /// In these bands alone (exact mid frequencies, Hz); those below them stand clear.
    At(Vec<f64>),
}

impl Need {
    /// The need of a channel with these bands, that border and that reach.
    pub fn new(contents: &[BandContent], border_hz: Option<f64>, reach_hz: Option<f64>) -> Self {
        let lacks: Vec<&BandContent> = asked(contents).filter(|c| !c.content.is_there()).collect();
        let all = asked(contents).count();
        if lacks.is_empty() && all > 0 {
            return Self::of_what_is_there(contents, reach_hz);
        }
        let border = border_hz.unwrap_or(TO_HZ);
        let place = |what: Content, below: bool| -> Option<Place> {
            let here = lacks.iter().filter(|c| c.content == what).map(|c| c.hz);
            let here: Vec<f64> = here.filter(|hz| (*hz < border) == below).collect();
            let highest = here.last()?;
            Some(if below { Place::Below(border.min(highest * THIRD)) } else { Place::At(here) })
        };
        let gone = |below| place(Content::Gone, below).map(Self::New);
        let open = |below| place(Content::Uncertain, below).map(Self::Open);
        if lacks.len() == all && gone(true).is_none() {
            return Self::NothingClear;
        }
        let first = gone(true).or_else(|| open(true)).or_else(|| gone(false));
        first.or_else(|| open(false)).unwrap_or(Self::NothingClear)
    }

    /// The need where every band is there.
    fn of_what_is_there(contents: &[BandContent], reach_hz: Option<f64>) -> Self {
        let has = |what: Content| asked(contents).any(|c| c.content == what);
        match () {
            () if !lift_is_enough(contents) => Self::MoreThanLift(reach_hz.unwrap_or(TO_HZ)),
            () if has(Content::Attenuated) => Self::Lift,
            () if asked(contents).any(|c| c.response_db > NEEDS_NOTHING_DB) => Self::TooMuch,
            () => Self::Nothing,
        }
    }

    /// Bands of the range asked for that stand apart from what is said of all: noise in one band.
    pub fn apart(contents: &[BandContent], border_hz: Option<f64>) -> Vec<f64> {
        let Some(border) = border_hz else { return Vec::new() };
        let apart = asked(contents).filter(|c| c.hz >= border && !c.content.is_there());
        apart.map(|c| c.hz).collect()
    }

    /// Up to this frequency (Hz), above what is gone for sure, it is open what is left.
    pub fn open_up_to(&self, contents: &[BandContent], border_hz: Option<f64>) -> Option<f64> {
        let (Self::New(Place::Below(hz)), Some(border)) = (self, border_hz) else { return None };
        let between = |c: &&BandContent| (hz / 1.01..border).contains(&c.hz);
        asked(contents).filter(between).any(|c| !c.content.is_there()).then_some(border)
    }

    /// Whether bands below the range asked for are not there.
    pub fn bottom_is_gone(contents: &[BandContent]) -> bool {
        contents.iter().any(|c| c.hz < FROM_HZ && !c.content.is_there())
    }

    /// By what it is known.
    pub fn rests_on(&self) -> String {
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
    pub fn would_change(&self) -> &'static str {
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

/// The bands that the answer is about.
fn asked(contents: &[BandContent]) -> impl Iterator<Item = &BandContent> {
    contents.iter().filter(|c| (FROM_HZ..TO_HZ).contains(&c.hz))
}

/// Whether every band stands or one band of equalisation lifts it: then nothing new is made.
pub fn lift_is_enough(contents: &[BandContent]) -> bool {
    asked(contents).all(|c| matches!(c.content, Content::Stands | Content::Attenuated))
}
