//! What a device does, from takes of the long form through it: its direct
//! response fitted with our own formulas, its octave part by the tones, its
//! clip point by the level tone.
//!
//! The comb's direct response is free of the octave part by arithmetic: a
//! halved comb turns over from one 2-s block to the next and cancels in an
//! even number of them.

mod clip;
mod ladder;
mod shape;

pub use self::clip::ClipPoint;
use self::clip::clip;
pub use self::ladder::Rung;
use self::ladder::{CLEAN_DB, level_law, octave_level, opens, rungs, source, varies};
use self::shape::Modelled;
use super::fit::fit;
use super::polarity::inverts;
use super::response::Response;
use super::solve::rounded;
use super::statistics::median;
use super::take_reading::{ChannelReading, TakeReading};
use crate::settings::{Order, Settings};
use crate::units::power_to_db;

/// Error that the lines' scatter does not know, dB.
const FLOOR_DB: f64 = 0.02;
/// Two levels read alike within this are one response, dB.
const SAME_DB: f64 = 0.1;
/// Where a low band's centre is sought, Hz, and how wide it may be, octaves: as our own.
const BAND_HZ: (f64, f64) = (16.0, 160.0);
const BAND_OCT: (f64, f64) = (0.2, 4.0);
/// A band of less than this is none, dB: what a coupling or a shelf leaves over looks like one.
const LEAST_BAND_DB: f64 = 0.5;
/// A band this near an end of what is sought stands there because the response is of another kind, as
/// a ratio.
const AT_AN_END: f64 = 1.01;
/// A response further off the fit than this is not described by it, dB.
const MISFIT_DB: f64 = 0.4;

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Gain of the mid band, dB.
    pub gain_db: f64,
    /// Whether it inverts, from the phase of the mid band; `None` when that is not near 0 or 180°.
    pub inverts: Option<bool>,
    /// Whether a loop-back took player and recorder out of gain, response and polarity.
    pub without_recorder: bool,
    /// Low band: centre in Hz, width in octaves, gain in dB; `None` when the response has none.
    pub low_band: Option<(f64, f64, f64)>,
    /// High-pass: order and −3 dB frequency in Hz.
    pub high_pass: Option<(u8, f64)>,
    /// r.m.s. of what the fit does not explain, 12 to 250 Hz, dB.
    pub left_over_db: f64,
    /// Where one band and one high-pass do not describe the response: (Hz, dB off), the worst place;
    /// `None` when they do.
    pub misfit: Option<(f64, f64)>,
    /// Level of the octave part re its source, dB; `None` when there is none.
    pub octave_db: Option<f64>,
    /// Tones that are halved: from, to in Hz.
    pub source_hz: Option<(f64, f64)>,
    /// How the octave part's level follows the tone's: dB per dB; 1 when it is proportional.
    pub level_law: Option<f64>,
    /// Level of the octave part at the quiet and at the loud ladder, dB, where they differ: it opens
    /// with the level.
    pub opens: Option<(f64, f64)>,
    /// Tone in Hz and level of the octave part in dB at the lower and the upper end of the heart of
    /// its range, where they differ: it has no one level.
    pub varies: Option<[(f64, f64); 2]>,
    /// Level of the input at which a hard clip begins, peak dBFS; `None` when it was not reached, or
    /// when what bends is no hard clip.
    pub clip_dbfs: Option<f64>,
    /// The same with what else there may be.
    pub clip: ClipPoint,
    /// Noise from 12.5 Hz to 1 kHz, dBFS.
    pub noise_dbfs: f64,
    /// The ladder.
    pub rungs: Vec<Rung>,
    /// Settings of ours that come nearest.
    pub settings: Settings,
}

/// Identifies the device; `None` when the take says nothing.
pub fn identify(take: &TakeReading) -> Option<Device> {
    identify_without(take, None)
}

/// The same, the response and the polarity of player and recorder taken out where a loop-back tells
/// them.
pub fn identify_without(take: &TakeReading, loop_back: Option<&TakeReading>) -> Option<Device> {
    let channel = take.best()?;
    let heard = linear(channel)?;
    let own = loop_back.and_then(|own| Some(own.hearing(channel.hears)?.loudest()?.1));
    let response = own.map_or_else(|| heard.clone(), |own| heard.without(own));
    let (direct, left_over_db) = direct(&response);
    let misfit = direct.misfit(&response);
    // The half goes the way of the direct sound at its frequency: the recorder cancels.
    let rungs = rungs(channel, heard);
    let opens = opens(&rungs);
    let octave_db = opens.map(|(_, loud)| loud).or_else(|| octave_level(&rungs));
    let clip = clip(&channel.tones);
    let source_hz = octave_db.and_then(|level| source(&rungs, level));
    let settings = settings(&direct, octave_db, source_hz);
    let power: f64 = channel.silence.iter().map(|n| 10f64.powf(n.dbfs / 10.0)).sum();
    Some(Device {
        gain_db: direct.gain_db,
        inverts: inverts(&response),
        without_recorder: own.is_some(),
        low_band: direct.low_band,
        high_pass: direct.high_pass,
        left_over_db,
        octave_db,
        source_hz,
        level_law: octave_db.and_then(|_| level_law(&rungs)),
        clip_dbfs: match clip {
            ClipPoint::Hard(dbfs) => Some(dbfs),
            _ => None,
        },
        clip,
        misfit,
        opens,
        varies: octave_db.and_then(|_| varies(&rungs)),
        noise_dbfs: power_to_db(power),
        rungs,
        settings,
    })
}

/// The loudest level whose response is that of the quietest.
fn linear(channel: &ChannelReading) -> Option<&Response> {
    let all: Vec<&Response> = channel.levels.iter().filter_map(|l| l.response.as_ref()).collect();
    let quiet = all.first()?;
    let same = |r: &&&Response| {
        let pairs = quiet.lines.iter().zip(&r.lines).filter_map(|(a, b)| {
            let (a, b) = (a.level_db()?, b.level_db()?);
            let sure = a.1.hypot(b.1) < SAME_DB;
            sure.then_some(a.0 + quiet.gain_db - b.0 - r.gain_db)
        });
        median(pairs.map(f64::abs)) < SAME_DB && r.distortion_db < CLEAN_DB
    };
    all.iter().rev().find(same).copied().or(Some(quiet))
}

/// The direct response in our own terms.
struct Direct {
    gain_db: f64,
    low_band: Option<(f64, f64, f64)>,
    high_pass: Option<(u8, f64)>,
    fitted: Modelled,
}

impl Direct {
    /// The place where the response is furthest from the fit, when that is no scatter or the band
    /// stands at an end of what is sought.
    fn misfit(&self, response: &Response) -> Option<(f64, f64)> {
        let at_an_end = self.low_band.is_some_and(|(hz, octaves, _)| {
            let near =
                |x: f64, (low, high): (f64, f64)| x < low * AT_AN_END || x > high / AT_AN_END;
            near(hz, BAND_HZ) || near(octaves, BAND_OCT)
        });
        let off = |hz: f64| {
            let told = response.smooth.at(hz);
            let off = told.db - self.gain_db - self.fitted.level_db(hz);
            (hz, off, at_an_end || off.abs() > MISFIT_DB.max(4.0 * told.sd_db))
        };
        let places = (0..140).map(|i| off(12.0 * (f64::from(i) / 21.0).exp2()));
        let worst =
            places.filter(|place| place.2).max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
        Some((worst.0, worst.1))
    }
}

/// Fits gain, low band and high-pass of order 0, 2 and 4; the order by BIC.
fn direct(response: &Response) -> (Direct, f64) {
    let points: Vec<(f64, f64, f64)> = response
        .lines
        .iter()
        .filter_map(|l| {
            l.level_db().map(|(db, sd)| (l.hz, db + response.gain_db, sd.hypot(FLOOR_DB)))
        })
        .filter(|p| p.2 < 1.0)
        .collect();
    let bounds = [
        (-60.0, 60.0),
        (-18.0, 18.0),
        (BAND_HZ.0.ln(), BAND_HZ.1.ln()),
        (BAND_OCT.0.ln(), BAND_OCT.1.ln()),
        (8f64.ln(), 60f64.ln()),
    ];
    let count = points.len() as f64;
    let tried = [(Order::Off, 4), (Order::Second, 5), (Order::Fourth, 5)].map(|(order, n)| {
        let residuals = |x: &[f64]| -> Vec<f64> {
            let shape = Modelled::at(x, order);
            points.iter().map(|(hz, db, sd)| (x[0] + shape.level_db(*hz) - db) / sd).collect()
        };
        let mut best: Option<(Vec<f64>, f64)> = None;
        for centre in [20.0, 40.0, 80.0, 125.0f64] {
            for (width, gain) in [(0.6f64, 6.0), (0.6, -6.0), (1.5, 6.0), (1.5, -6.0)] {
                let start = [response.gain_db, gain, centre.ln(), width.ln(), 18f64.ln()];
                let found = fit(&start[..n], &bounds[..n], residuals);
                if best.as_ref().is_none_or(|b| found.cost < b.1) {
                    best = Some((found.at, found.cost));
                }
            }
        }
        let (at, cost) = best.expect("there are starts");
        (order, at, cost + n as f64 * count.ln())
    });
    let (order, x, _) =
        tried.iter().min_by(|a, b| a.2.total_cmp(&b.2)).expect("three orders were tried");
    let shape = Modelled::at(x, *order);
    let low: Vec<f64> = points
        .iter()
        .filter(|p| p.0 < 250.0)
        .map(|p| (x[0] + shape.level_db(p.0) - p.1).powi(2))
        .collect();
    let order = match order {
        Order::Off => None,
        Order::Second => Some((2, x[4].exp())),
        Order::Fourth => Some((4, x[4].exp())),
    };
    let found = Direct {
        gain_db: x[0],
        low_band: (x[1].abs() > LEAST_BAND_DB).then(|| (x[2].exp(), x[3].exp(), x[1])),
        high_pass: order,
        fitted: shape,
    };
    (found, (low.iter().sum::<f64>() / low.len().max(1) as f64).sqrt())
}

fn settings(direct: &Direct, octave_db: Option<f64>, source_hz: Option<(f64, f64)>) -> Settings {
    let mut settings = Settings {
        output_gain_db: direct.gain_db.clamp(-24.0, 24.0) as f32,
        octave_level_db: octave_db.map_or(-60.0, |db| db.clamp(-60.0, 12.0)) as f32,
        ..Settings::default()
    };
    if let Some((centre_hz, width_oct, gain_db)) = direct.low_band {
        settings.low_band_centre_hz = centre_hz.clamp(16.0, 160.0) as f32;
        settings.low_band_width_oct = width_oct as f32;
        settings.low_band_gain_db = gain_db as f32;
    }
    if let Some((order, hz)) = direct.high_pass {
        settings.high_pass_order = if order == 2 { Order::Second } else { Order::Fourth };
        settings.high_pass_hz = hz as f32;
    }
    if let Some((from, to)) = source_hz {
        settings.octave_from_hz = from.clamp(25.0, 100.0) as f32;
        settings.octave_to_hz = to.clamp(60.0, 200.0) as f32;
    }
    rounded(settings)
}
