//! Attenuated or gone: in which bands lifting is worth while, and where only
//! new content can be put.
//!
//! What decides is the programme's level over the capture's own noise, band by
//! band; how well the response is known is another matter. What is there can
//! still be beyond the reach of one band of equalisation.

use super::noise::NoiseBand;
use super::response::BandValue;
use super::roll_off::Interval;
use super::statistics::{NORMAL_95, NORMAL_ONE_SIDED_95};

/// Level of the programme the verdict is about: pink, −20 dBFS r.m.s. in 30 third-octave bands.
pub const PROGRAMME_BAND_DBFS: f64 = -34.8;
/// Content this far above the noise can be lifted, dB (common practice, no source).
pub const LEAST_CONTENT_DB: f64 = 15.0;

/// What is left in a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Content {
    /// There, and as strong as the mid band within a decibel.
    Stands,
    /// Weakened, but there: one band of equalisation lifts it.
    Attenuated,
    /// There, but one band does not bring it back: more bands, or new content.
    Beyond,
    /// Below the radio's noise: only new content helps.
    Gone,
    /// Not to be told; treated as gone where it is about lifting.
    Uncertain,
}

impl Content {
    /// Whether there is something to lift.
    pub fn is_there(self) -> bool {
        matches!(self, Self::Stands | Self::Attenuated | Self::Beyond)
    }
}

/// A band is as strong as the mid band within this, dB: less than a careful ear hears of one band in
/// music (common practice, no source).
pub const STANDS_DB: f64 = 1.0;
/// A band weighs no more than so many deviations where the border lies: one noisy band is not a
/// border.
const MOST_WEIGHT: f64 = 3.0;

/// A band's verdict and its evidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandContent {
    /// Exact mid frequency in Hz.
    pub hz: f64,
    /// The verdict.
    pub content: Content,
    /// Programme over noise, dB.
    pub over_noise_db: f64,
    /// Its standard deviation, dB.
    pub sd_db: f64,
    /// Response re the mid band, dB.
    pub response_db: f64,
    /// Noise of the capture in the band, dBFS.
    pub noise_dbfs: f64,
    /// Whether the response could be measured at all.
    pub measured: bool,
    /// Whether that noise comes with the signal and is not there in silence, as a codec's is.
    pub with_signal: bool,
}

/// The verdicts for `bands`, measured with `gain_db` from track to capture in `noise`.
pub fn contents(bands: &[BandValue], noise: &[NoiseBand], gain_db: f64) -> Vec<BandContent> {
    bands
        .iter()
        .filter_map(|band| {
            let floor = noise.iter().find(|n| (n.hz / band.hz - 1.0).abs() < 0.01)?;
            let over_noise_db = PROGRAMME_BAND_DBFS + gain_db + band.db - floor.dbfs;
            let sd_db = band.sd_db.hypot(floor.sd_db);
            let slack = NORMAL_ONE_SIDED_95 * sd_db;
            let content = if !band.is_shown() {
                let most = PROGRAMME_BAND_DBFS + gain_db + band.less_than_db - floor.dbfs;
                if most < LEAST_CONTENT_DB { Content::Gone } else { Content::Uncertain }
            } else if over_noise_db - slack > LEAST_CONTENT_DB {
                if band.db > -STANDS_DB { Content::Stands } else { Content::Attenuated }
            } else if over_noise_db + slack < LEAST_CONTENT_DB {
                Content::Gone
            } else {
                Content::Uncertain
            };
            Some(BandContent {
                hz: band.hz,
                content,
                over_noise_db,
                sd_db,
                response_db: band.db,
                noise_dbfs: floor.dbfs,
                measured: band.is_shown(),
                with_signal: floor.with_signal,
            })
        })
        .collect()
}

/// The frequency above which bands can be lifted, Hz, between two bands linear over log frequency;
/// `None` when no band can. One band that stands out moves nothing.
pub fn border_hz(contents: &[BandContent]) -> Option<f64> {
    shifted_border_hz(contents, 0.0)
}

/// The border with its 95 % interval.
pub fn border(contents: &[BandContent]) -> Option<Interval> {
    let value = border_hz(contents)?;
    let highest = contents.last()?.hz;
    let ends = [NORMAL_95, -NORMAL_95].map(|by| shifted_border_hz(contents, by));
    Some(Interval { value, low: ends[0].unwrap_or(value), high: ends[1].unwrap_or(highest) })
}

/// The border when every band stood so many deviations higher over the noise.
fn shifted_border_hz(contents: &[BandContent], deviations: f64) -> Option<f64> {
    let over = |c: &BandContent| match c.measured {
        true => c.over_noise_db + deviations * c.sd_db - LEAST_CONTENT_DB,
        false => -MOST_WEIGHT,
    };
    let weigh = |c: &BandContent| (over(c) / c.sd_db.max(0.1)).clamp(-MOST_WEIGHT, MOST_WEIGHT);
    // Where bands below speak for "can be lifted" and bands above against it, the border is not.
    let against = |split: usize| -> f64 {
        let below = contents[..split].iter().map(|c| weigh(c).max(0.0)).sum::<f64>();
        below + contents[split..].iter().map(|c| (-weigh(c)).max(0.0)).sum::<f64>()
    };
    let splits = 0..=contents.len();
    let split = splits.min_by(|a, b| against(*a).total_cmp(&against(*b)))?;
    let above = contents.get(split)?;
    let Some(below) = split.checked_sub(1).map(|i| &contents[i]) else { return Some(above.hz) };
    let share = (-over(below) / (over(above) - over(below)).max(1e-9)).clamp(0.0, 1.0);
    Some(below.hz * (above.hz / below.hz).powf(share))
}

/// Marks what one band does not bring back: what is weakened below `reach_hz`.
pub fn mark_reach(contents: &mut [BandContent], reach_hz: Option<f64>) {
    let within = |hz: f64| reach_hz.is_some_and(|reach| hz >= 0.99 * reach);
    for content in contents.iter_mut().filter(|c| c.content == Content::Attenuated) {
        if !within(content.hz) {
            content.content = Content::Beyond;
        }
    }
}
