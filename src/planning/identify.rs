//! What a device does, from takes of the long form through it: its direct
//! response fitted with our own formulas, its octave part by the tones, its
//! clip point by the level tone.
//!
//! The comb's direct response is free of the octave part by arithmetic: a
//! halved comb turns over from one 2-s block to the next and cancels in an
//! even number of them.

mod clip;
mod shape;

use self::clip::clip;
use self::shape::Shape;
use super::fit::fit;
use super::polarity::inverts;
use super::response::{LineValue, Response};
use super::solve::rounded;
use super::statistics::median;
use super::take_reading::{ChannelReading, TakeReading};
use crate::settings::{Order, Settings};
use crate::units::{gain_to_db, power_to_db};

/// Error that the lines' scatter does not know, dB.
const FLOOR_DB: f64 = 0.02;
/// Two levels read alike within this are one response, dB.
const SAME_DB: f64 = 0.1;
/// Harmonics below this do not disturb a rung, dB re the tone.
const CLEAN_DB: f64 = -50.0;
/// Where the octave level is read, Hz of the tone.
const OCTAVE_HZ: (f64, f64) = (50.0, 105.0);
/// A response further off the fit than this is not described by it, dB.
const MISFIT_DB: f64 = 0.4;
/// An octave part whose level re its source differs by more than this between the ladders opens with
/// the level, dB.
const OPENS_DB: f64 = 2.0;
/// An octave part below this is none, dB re the tone.
const NO_OCTAVE_DB: f64 = -50.0;

pub use self::clip::ClipPoint;

/// One rung of the tone ladder.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// Tone in Hz.
    pub hz: f64,
    /// Level it was played at, peak in dBFS.
    pub played_dbfs: f64,
    /// Octave part at the device's input, dB re the tone: the half, the direct response at the half
    /// taken out; `None` when the direct response there is not known.
    pub octave_db: Option<f64>,
    /// One and a half times the tone: belongs to the effect, dB re the tone.
    pub one_and_a_half_db: f64,
    /// Harmonics 2 to 5, dB re the tone: clipping.
    pub harmonics_db: f64,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Gain of the mid band, dB.
    pub gain_db: f64,
    /// Whether it inverts, from the phase of the mid band; `None` when that is not near 0 or 180°.
    pub inverts: Option<bool>,
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
    let channel = take.best()?;
    let response = linear(channel)?;
    let (direct, left_over_db) = direct(response);
    let misfit = direct.misfit(response);
    let rungs = rungs(channel, response);
    let opens = opens(&rungs);
    let octave_db = opens.map(|(_, loud)| loud).or_else(|| octave_level(&rungs));
    let clip = clip(&channel.tones);
    let source_hz = octave_db.and_then(|level| source(&rungs, level));
    let settings = settings(&direct, octave_db, source_hz);
    let power: f64 = channel.silence.iter().map(|n| 10f64.powf(n.dbfs / 10.0)).sum();
    Some(Device {
        gain_db: direct.gain_db,
        inverts: inverts(response),
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
    fitted: Shape,
}

impl Direct {
    /// The place where the response is furthest from the fit, when that is no scatter.
    fn misfit(&self, response: &Response) -> Option<(f64, f64)> {
        let off = |hz: f64| {
            let told = response.smooth.at(hz);
            let off = told.db - self.gain_db - self.fitted.level_db(hz);
            (hz, off, off.abs() > MISFIT_DB.max(4.0 * told.sd_db))
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
        (12f64.ln(), 200f64.ln()),
        (0.2f64.ln(), 4f64.ln()),
        (8f64.ln(), 60f64.ln()),
    ];
    let count = points.len() as f64;
    let tried = [(Order::Off, 4), (Order::Second, 5), (Order::Fourth, 5)].map(|(order, n)| {
        let residuals = |x: &[f64]| -> Vec<f64> {
            let shape = Shape::at(x, order);
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
    let shape = Shape::at(x, *order);
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
        low_band: (x[1].abs() > 0.2).then(|| (x[2].exp(), x[3].exp(), x[1])),
        high_pass: order,
        fitted: shape,
    };
    (found, (low.iter().sum::<f64>() / low.len().max(1) as f64).sqrt())
}

/// Gain of the direct response at `hz`, from the lines near it.
fn direct_at(response: &Response, hz: f64) -> Option<f64> {
    let clear = |l: &&LineValue| l.power > 100.0 * l.variance;
    let at = response.lines.partition_point(|l| l.hz < hz);
    let above = response.lines[at..].iter().find(clear)?;
    let below = response.lines[..at].iter().rfind(clear)?;
    if above.hz / below.hz > 1.3 {
        return None;
    }
    let share = (hz / below.hz).ln() / (above.hz / below.hz).ln();
    let [a, b] = [below, above].map(|l| power_to_db(l.power) + response.gain_db);
    Some(a + share * (b - a))
}

fn rungs(channel: &ChannelReading, response: &Response) -> Vec<Rung> {
    let ladder = channel.tones.iter().filter(|t| t.hz < 300.0 && t.played_dbfs < -10.0);
    ladder
        .map(|tone| {
            let re_tone = |multiple: f64| {
                gain_to_db(tone.amplitude(multiple) / tone.amplitude(1.0).max(1e-12))
            };
            let harmonics: f64 = (2..=5).map(|n| tone.amplitude(f64::from(n)).powi(2)).sum();
            Rung {
                hz: tone.hz,
                played_dbfs: tone.played_dbfs,
                octave_db: direct_at(response, tone.hz / 2.0)
                    .map(|gain| gain_to_db(tone.amplitude(0.5)) - tone.played_dbfs - gain),
                one_and_a_half_db: re_tone(1.5),
                harmonics_db: gain_to_db(harmonics.sqrt() / tone.amplitude(1.0).max(1e-12)),
            }
        })
        .collect()
}

/// The octave part's level: the middle of the rungs in the heart of the source band, where
/// nothing clips.
fn octave_level(rungs: &[Rung]) -> Option<f64> {
    let heart = rungs
        .iter()
        .filter(|r| (OCTAVE_HZ.0..OCTAVE_HZ.1).contains(&r.hz) && r.harmonics_db < CLEAN_DB);
    let levels: Vec<f64> = heart.filter_map(|r| r.octave_db).collect();
    let level = median(levels.iter().copied());
    (!levels.is_empty() && level > NO_OCTAVE_DB).then_some(level)
}

/// Tones whose half is within 3 dB of the level.
fn source(rungs: &[Rung], level: f64) -> Option<(f64, f64)> {
    let halved =
        || rungs.iter().filter(|r| r.octave_db.is_some_and(|db| db > level - 3.0)).map(|r| r.hz);
    Some((halved().reduce(f64::min)?, halved().reduce(f64::max)?))
}

/// Change of the half over change of the tone, in the heart of the source band.
fn level_law(rungs: &[Rung]) -> Option<f64> {
    let heart = |r: &&Rung| (OCTAVE_HZ.0..OCTAVE_HZ.1).contains(&r.hz) && r.harmonics_db < CLEAN_DB;
    let slopes: Vec<f64> = rungs
        .iter()
        .filter(heart)
        .flat_map(|a| rungs.iter().filter(heart).map(move |b| (a, b)))
        .filter(|(a, b)| a.hz == b.hz && a.played_dbfs < b.played_dbfs)
        .filter_map(|(a, b)| {
            Some(1.0 + (b.octave_db? - a.octave_db?) / (b.played_dbfs - a.played_dbfs))
        })
        .collect();
    (!slopes.is_empty()).then(|| median(slopes))
}

/// Levels of the octave part at the quiet and the loud ladder, where they differ.
fn opens(rungs: &[Rung]) -> Option<(f64, f64)> {
    let at = |loud: bool| {
        let heart = rungs.iter().filter(|r| {
            (OCTAVE_HZ.0..OCTAVE_HZ.1).contains(&r.hz) && (r.played_dbfs > -19.0) == loud
        });
        let levels: Vec<f64> = heart.filter_map(|r| r.octave_db).collect();
        (!levels.is_empty()).then(|| median(levels))
    };
    let (quiet, loud) = (at(false)?, at(true)?);
    let heard = quiet.max(loud) > NO_OCTAVE_DB;
    (heard && (quiet - loud).abs() > OPENS_DB).then_some((quiet, loud))
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
