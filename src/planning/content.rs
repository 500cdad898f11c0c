//! Attenuated or gone: in which bands lifting is worth while, and where only
//! new content can be put.
//!
//! What decides is the programme's level over the capture's own noise, band by
//! band; how well the response is known is another matter.

use super::noise::NoiseBand;
use super::response::BandValue;
use super::statistics::NORMAL_ONE_SIDED_95;

/// Level of the programme the verdict is about: pink, −20 dBFS r.m.s. in 30 third-octave bands.
pub const PROGRAMME_BAND_DBFS: f64 = -34.8;
/// Content this far above the noise can be lifted, dB (common practice, no source).
pub const LEAST_CONTENT_DB: f64 = 15.0;

/// What is left in a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Content {
    /// Weakened, but there: lift it.
    Attenuated,
    /// Below the noise: only new content helps.
    Gone,
    /// Not to be told; treated as gone where it is about lifting.
    Uncertain,
}

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
                Content::Attenuated
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
            })
        })
        .collect()
}

/// The lowest frequency above which every band can be lifted, Hz, between two bands linear over
/// log frequency; `None` when no band can.
pub fn border_hz(contents: &[BandContent]) -> Option<f64> {
    let lacks = |c: &BandContent| !c.measured || c.over_noise_db < LEAST_CONTENT_DB;
    let Some(last) = contents.iter().rposition(lacks) else {
        return contents.first().map(|c| c.hz);
    };
    let (below, above) = (contents[last], *contents.get(last + 1)?);
    let rise = above.over_noise_db - below.over_noise_db;
    let share = ((LEAST_CONTENT_DB - below.over_noise_db) / rise.max(1e-9)).clamp(0.0, 1.0);
    Some(below.hz * (above.hz / below.hz).powf(share))
}
