//! All takes together: what the radio takes out, what that depends on, what is
//! left to lift, and how loud is clean.

use super::beside::{Beside, are_apart, beside};
use super::channels::{Hears, Relation};
use super::clean::{CleanVolume, LoudTone, highest_clean};
use super::content::{BandContent, Content, border, contents, mark_reach};
use super::noise::NoiseBand;
use super::polarity::inverts;
use super::problem::Problem;
use super::response::{BandValue, Response};
use super::roll_off::{Interval, RollOff, points, roll_off};
use super::solve::Solver;
use super::steps::{MOST_DISTORTION_DB, SAME_GAIN_DB, bass_readings, gain_change_db, loud_tones};
use super::take_reading::{ChannelReading, LevelReading, TakeReading};
use super::take_summary::TakeSummary;
use super::volume::{Dependence, VolumeVerdict, explain};
use crate::curve::Curve;
use crate::signal::track::layout::{BASS_HZ, Form, LEVEL_HZ};

/// Ripple of a response that is not its roll-off, dB.
const RIPPLE_DB: f64 = 0.15;
/// Noise within this of the recorder's own is the recorder's, dB.
const OWN_NOISE_DB: f64 = 3.0;
/// Distortion of its own above which a recorder cannot judge any, as a share.
const MOST_RECORDER_THD: f64 = 0.003;
/// Steps this far apart tell whether noise follows the volume, dB.
const FAR_STEPS_DB: f64 = 6.0;

/// What one channel of the radio does.
#[derive(Clone, Debug, PartialEq)]
pub struct ChannelDiagnosis {
    /// Which channel of the track it carries.
    pub hears: Hears,
    /// Level of the comb it is judged by, peak dBFS.
    pub level_dbfs: f64,
    /// Response in third-octave bands.
    pub bands: Vec<BandValue>,
    /// The smooth response: (Hz, dB re the mid band).
    pub curve: Vec<(f64, f64)>,
    /// The response's lines, for a picture: (Hz, dB re the mid band, standard deviation).
    pub lines: Vec<(f64, f64, f64)>,
    /// Its roll-off.
    pub roll_off: RollOff,
    /// What is left, band by band.
    pub contents: Vec<BandContent>,
    /// Above this bands stand clear of the noise, Hz.
    pub border_hz: Option<f64>,
    /// The same with its 95 % interval.
    pub border: Option<Interval>,
    /// Down to here one band of 12 dB makes it flat within 1.5 dB, Hz; `None` when it does nowhere.
    pub reach_hz: Option<f64>,
    /// Gain of the mid band, dB.
    pub gain_db: f64,
    /// Whether it inverts, from the track to the capture (a loop-back takes the recorder's part
    /// out); `None` when the phase of the mid band does not tell.
    pub inverts: Option<bool>,
}

/// The diagnosis.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// All takes.
    pub takes: Vec<TakeSummary>,
    /// Which take the channels are judged by.
    pub judged_by: usize,
    /// The channels.
    pub channels: Vec<ChannelDiagnosis>,
    /// How the second channel stands to the first.
    pub relation: Option<Relation>,
    /// How each further channel stands to the first: (its place in the capture, relation).
    pub relations: Vec<(usize, Relation)>,
    /// What the bass depends on.
    pub volume: VolumeVerdict,
    /// How much the gain itself follows the level, dB from quiet to loud, and whether a loop-back
    /// shows that the radio does it; `None` when it does not.
    pub gain_follows_level: Option<(f64, bool)>,
    /// Whether captures are of several outputs or sources, by their names: then they are no volume
    /// steps.
    pub outputs: bool,
    /// Those outputs or sources, each re the first.
    pub beside: Vec<Beside>,
    /// The highest clean volume by the level tone and by the bass tone.
    pub clean: [CleanVolume; 2],
    /// Whether noise that may be the recorder's (or a codec's) hides the radio's.
    pub own_noise: bool,
    /// Whether a loop-back took the recorder out of the figures.
    pub without_recorder: bool,
}

/// Diagnoses all takes by the one that serves best; `loop_back` is player and recorder alone.
/// `None` when no take says anything.
pub fn diagnose(takes: &[TakeReading], loop_back: Option<&TakeReading>) -> Option<Diagnosis> {
    diagnose_at(takes, loop_back, None)
}

/// The same, judged by the take of a name where one is told.
pub fn diagnose_at(
    takes: &[TakeReading],
    loop_back: Option<&TakeReading>,
    at: Option<usize>,
) -> Option<Diagnosis> {
    let judged_by = at.or_else(|| usual(takes))?;
    let judge = &takes[judged_by];
    let channels: Vec<ChannelDiagnosis> = judge
        .channels
        .iter()
        .filter(|channel| channel.hears != Hears::Nothing)
        .filter_map(|channel| Judging { channel, judge, takes, loop_back }.diagnosed())
        .collect();
    let summaries: Vec<TakeSummary> = takes.iter().map(TakeSummary::new).collect();
    let fit = |i: &usize| !summaries[*i].automatic_gain;
    let fits: Vec<&TakeReading> = (0..takes.len()).filter(fit).map(|i| &takes[i]).collect();
    let outputs = are_apart(takes);
    let mut volume =
        explain(&bass_readings(if outputs { &fits[..1.min(fits.len())] } else { &fits }));
    if outputs {
        volume.dependence = Dependence::Undecided;
    }
    let gain_follows_level = gain_follows_level(&summaries, loop_back);
    if gain_follows_level.is_some() && !volume.dependence.has_level() {
        volume.dependence = Dependence::Undecided;
    }
    let own_noise =
        channels.iter().flat_map(|c| &c.contents).any(|c| c.content == Content::Uncertain);
    Some(Diagnosis {
        judged_by,
        relation: judge.relations.first().map(|(_, relation)| relation.clone()),
        relations: judge.relations.clone(),
        volume,
        gain_follows_level,
        outputs,
        beside: if outputs { beside(takes) } else { Vec::new() },
        clean: [LEVEL_HZ, BASS_HZ].map(|hz| clean(hz, &fits, loop_back)),
        takes: summaries,
        own_noise,
        without_recorder: loop_back.is_some(),
        channels,
    })
}

/// The take to judge by: one that is not distorted and went through no codec, a long one before
/// short ones, then the loudest.
fn usual(takes: &[TakeReading]) -> Option<usize> {
    let rank = |take: &TakeReading| -> Option<(u8, bool, f64)> {
        let (level, response) = take.best()?.loudest()?;
        let clean = response.distortion_db < MOST_DISTORTION_DB;
        let merits = u8::from(clean) + u8::from(level.floor_db == 0.0);
        Some((merits, take.label.form == Form::Long, response.gain_db))
    };
    (0..takes.len())
        .filter_map(|i| Some((i, rank(&takes[i])?)))
        .reduce(|a, b| {
            let later = b.1.0.cmp(&a.1.0).then(b.1.1.cmp(&a.1.1)).then(b.1.2.total_cmp(&a.1.2));
            if later.is_gt() { b } else { a }
        })
        .map(|(i, _)| i)
}

/// How the gain follows the level: the largest change of a take, when a loop-back's is none of it.
fn gain_follows_level(
    takes: &[TakeSummary],
    loop_back: Option<&TakeReading>,
) -> Option<(f64, bool)> {
    let heard = takes.iter().filter(|take| !take.full_scale).map(|take| take.gain_change_db);
    let most = heard.fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
    let own = loop_back.map(|take| gain_change_db(take).abs());
    let radio = own.is_some_and(|own| own < SAME_GAIN_DB / 2.0);
    (most.abs() > SAME_GAIN_DB).then_some((most, radio))
}

fn clean(hz: f64, fits: &[&TakeReading], loop_back: Option<&TakeReading>) -> CleanVolume {
    let own = loop_back.and_then(TakeReading::best);
    let recorder_thd = own.map_or(0.0, |c| c.tones.iter().map(|t| t.thd()).fold(0.0, f64::max));
    let unclipped =
        |take: &&&TakeReading| !take.is_driven_to_full_scale() && recorder_thd < MOST_RECORDER_THD;
    let tones: Vec<LoudTone> =
        fits.iter().filter(unclipped).flat_map(|take| loud_tones(take, hz)).collect();
    highest_clean(&tones)
}

/// The loudest level that is not distorted, or else the quietest that can be used.
fn undistorted(channel: &ChannelReading) -> Option<(&LevelReading, &Response)> {
    let usable = || channel.levels.iter().filter_map(|l| Some((l, l.response.as_ref()?)));
    usable().rfind(|(_, r)| r.distortion_db < MOST_DISTORTION_DB).or_else(|| usable().next())
}

/// A channel, the take it is judged by, and all it is held against.
struct Judging<'a> {
    channel: &'a ChannelReading,
    judge: &'a TakeReading,
    takes: &'a [TakeReading],
    loop_back: Option<&'a TakeReading>,
}

impl Judging<'_> {
    fn diagnosed(&self) -> Option<ChannelDiagnosis> {
        let (level, heard) = self.level()?;
        let response = match self.own().and_then(|own| own.loudest()) {
            Some((_, loop_back)) => heard.without(loop_back),
            None => heard.clone(),
        };
        let corrected = LevelReading { response: Some(response), ..level.clone() };
        let response = corrected.response.as_ref()?;
        let bands = corrected.bands();
        let mut contents = contents(&bands, &level.noise, heard.gain_db);
        for content in contents.iter_mut().filter(|c| c.content == Content::Gone) {
            // What the recorder's noise may hide is not gone from the radio, nor what a codec's may.
            if level.floor_db > 0.0 || content.with_signal || !self.is_the_radio_s(content) {
                content.content = Content::Uncertain;
            }
        }
        let curve = response.curve();
        let reach_hz = reach_hz(&curve, &contents);
        mark_reach(&mut contents, reach_hz);
        let border = border(&contents);
        Some(ChannelDiagnosis {
            hears: self.channel.hears,
            level_dbfs: level.peak_dbfs,
            lines: points(response),
            roll_off: roll_off(&points(response), RIPPLE_DB.max(level.floor_db)),
            border_hz: border.map(|b| b.value),
            border,
            reach_hz,
            contents,
            curve,
            bands,
            gain_db: response.gain_db,
            inverts: inverts(response),
        })
    }

    /// The level to judge by: the loudest that is not distorted; where the take follows the level,
    /// the quietest, which is nearest to what is linear.
    fn level(&self) -> Option<(&LevelReading, &Response)> {
        let take = TakeSummary::new(self.judge);
        let follows = !take.level_dependent.is_empty() || take.gain_change_db.abs() > SAME_GAIN_DB;
        let mut usable = self.channel.levels.iter().filter_map(|l| Some((l, l.response.as_ref()?)));
        if follows { usable.next() } else { undistorted(self.channel) }
    }

    /// The channel of the loop-back that hears the same, or the best it has.
    fn own(&self) -> Option<&ChannelReading> {
        self.loop_back?.hearing(self.channel.hears)
    }

    /// Whether the noise in a band is the radio's for sure: the recorder alone has less, or it
    /// follows the volume.
    fn is_the_radio_s(&self, content: &BandContent) -> bool {
        let at = |noise: &[NoiseBand]| noise.iter().find(|n| n.hz == content.hz).copied();
        match self.own() {
            Some(own) => {
                at(&own.silence).is_some_and(|n| content.noise_dbfs > n.dbfs + OWN_NOISE_DB)
            }
            None => self.takes.iter().any(|other| self.follows_the_volume(other, content)),
        }
    }

    fn follows_the_volume(&self, other: &TakeReading, content: &BandContent) -> bool {
        let gain = |take: &TakeReading| Some(take.best()?.loudest()?.1.gain_db);
        let noise = |take: &TakeReading| {
            take.best()?.silence.iter().find(|n| n.hz == content.hz).map(|n| (n.dbfs, n.sd_db))
        };
        let (Some(a), Some(b)) = (gain(self.judge), gain(other)) else { return false };
        let (Some(x), Some(y)) = (noise(self.judge), noise(other)) else { return false };
        let (louder, noisier) = (a - b, x.0 - y.0);
        louder > FAR_STEPS_DB && noisier > louder / 2.0 && noisier > OWN_NOISE_DB + x.1.hypot(y.1)
    }
}

/// Down to where one band of equalisation reaches.
fn reach_hz(curve: &[(f64, f64)], contents: &[BandContent]) -> Option<f64> {
    let given = Curve::new(curve.iter().copied());
    let problem = Problem { down_to_hz: 20.0, ..Problem::new(given, contents.to_vec()) };
    if problem.needs_nothing() {
        return Some(problem.down_to_hz);
    }
    Solver::unprotected(&problem).reach().reach_hz
}
