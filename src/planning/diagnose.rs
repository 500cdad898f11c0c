//! All takes together: what the radio takes out, what that depends on, what is
//! left to lift, and how loud is clean.

use super::blocks::Alarm;
use super::channels::{Hears, Relation};
use super::clean::{CleanVolume, LoudTone, highest_clean};
use super::content::{BandContent, Content, border_hz, contents};
use super::polarity::inverts;
use super::response::{BandValue, Response};
use super::roll_off::{RollOff, points, roll_off};
use super::take_reading::{ChannelReading, LevelReading, TakeReading};
use super::volume::{BassReading, VolumeVerdict, explain};
use crate::signal::track::layout::{BASS_HZ, Form, LEVEL_HZ};

/// Bands the volume verdict looks at, exact mid frequencies in Hz: 31.5 to 100.
const BASS_BANDS_HZ: [f64; 6] = [31.623, 39.811, 50.119, 63.096, 79.433, 100.0];
/// Ripple of a response that is not its roll-off, dB.
const RIPPLE_DB: f64 = 0.15;
/// A comb with more than this on its free lines is distorted, dB.
const MOST_DISTORTION_DB: f64 = -30.0;
/// A capture whose samples reach this was driven to full scale (−0.1 dBFS).
const FULL_SCALE: f32 = 0.9886;
/// A gain that differs by more than this between levels is not one gain, dB.
const SAME_GAIN_DB: f64 = 0.5;
/// Noise within this of the recorder's own is the recorder's, dB.
const OWN_NOISE_DB: f64 = 3.0;
/// Distortion of its own above which a recorder cannot judge any, as a share.
const MOST_RECORDER_THD: f64 = 0.003;

/// What one channel of the radio does.
#[derive(Clone, Debug, PartialEq)]
pub struct ChannelDiagnosis {
    /// Which channel of the track it carries.
    pub hears: Hears,
    /// Response in third-octave bands.
    pub bands: Vec<BandValue>,
    /// The response's lines, for a picture: (Hz, dB re the mid band, standard deviation).
    pub lines: Vec<(f64, f64, f64)>,
    /// Its roll-off.
    pub roll_off: RollOff,
    /// Attenuated or gone, band by band.
    pub contents: Vec<BandContent>,
    /// Above this every band can be lifted, Hz.
    pub border_hz: Option<f64>,
    /// Gain of the mid band, dB.
    pub gain_db: f64,
    /// Whether it inverts, from the track to the capture (a loop-back takes the recorder's part
    /// out); `None` when the phase of the mid band does not tell.
    pub inverts: Option<bool>,
}

/// One take in short.
#[derive(Clone, Debug, PartialEq)]
pub struct TakeSummary {
    /// Where it starts in its file, seconds.
    pub start_s: f64,
    /// Clock of the player against the recorder's, ppm.
    pub clock_ppm: f64,
    /// Form of the track.
    pub form: Form,
    /// Volume: gain of the mid band, dB; `None` when nothing could be read.
    pub volume_db: Option<f64>,
    /// Whether the level moves on its own: no decision about levels rests on this take.
    pub automatic_gain: bool,
    /// Whether the recorder was driven to full scale.
    pub full_scale: bool,
    /// Whether a lossy codec was at work: no level is told finer than its error.
    pub lossy: bool,
    /// Bands whose level depends on the signal's: (Hz, dB from quiet to loud).
    pub level_dependent: Vec<(f64, f64)>,
    /// What is wrong with it, by comb level: (peak in dBFS, alarm).
    pub alarms: Vec<(f64, Alarm)>,
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
    /// What the bass depends on.
    pub volume: VolumeVerdict,
    /// The highest clean volume by the level tone and by the bass tone.
    pub clean: [CleanVolume; 2],
    /// Whether the capture's own noise (recorder or codec) hides the radio's.
    pub own_noise: bool,
}

/// Diagnoses all takes; `loop_back` is player and recorder alone. `None` when no take says
/// anything.
pub fn diagnose(takes: &[TakeReading], loop_back: Option<&TakeReading>) -> Option<Diagnosis> {
    let judged_by = usual(takes)?;
    let judge = &takes[judged_by];
    let own = loop_back.and_then(TakeReading::best);
    let mut own_noise = false;
    let channels = judge
        .channels
        .iter()
        .filter_map(|channel| diagnosed(channel, own, &mut own_noise))
        .collect();
    let summaries: Vec<TakeSummary> = takes.iter().map(summary).collect();
    let fit = |i: &usize| !summaries[*i].automatic_gain;
    let fits: Vec<usize> = (0..takes.len()).filter(fit).collect();
    let bass: Vec<BassReading> = fits.iter().flat_map(|&i| bass_readings(&takes[i])).collect();
    let recorder_thd = own.map_or(0.0, |c| c.tones.iter().map(|t| t.thd()).fold(0.0, f64::max));
    let loud = |hz: f64| {
        let unclipped = |i: &&usize| !summaries[**i].full_scale && recorder_thd < MOST_RECORDER_THD;
        let tones: Vec<LoudTone> =
            fits.iter().filter(unclipped).flat_map(|&i| loud_tones(&takes[i], hz)).collect();
        highest_clean(&tones)
    };
    Some(Diagnosis {
        judged_by,
        channels,
        relation: judge.relation.clone(),
        volume: explain(&bass),
        clean: [loud(LEVEL_HZ), loud(BASS_HZ)],
        takes: summaries,
        own_noise,
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

/// The loudest level that is not distorted, or else the quietest that can be used.
fn undistorted(channel: &ChannelReading) -> Option<(&LevelReading, &Response)> {
    let usable = || channel.levels.iter().filter_map(|l| Some((l, l.response.as_ref()?)));
    usable().rfind(|(_, r)| r.distortion_db < MOST_DISTORTION_DB).or_else(|| usable().next())
}

fn diagnosed(
    channel: &ChannelReading,
    own: Option<&ChannelReading>,
    own_noise: &mut bool,
) -> Option<ChannelDiagnosis> {
    let (level, heard) = undistorted(channel)?;
    let response = match own.and_then(|own| own.loudest()) {
        Some((_, loop_back)) => heard.without(loop_back),
        None => heard.clone(),
    };
    let corrected = LevelReading { response: Some(response), ..level.clone() };
    let response = corrected.response.as_ref()?;
    let bands = corrected.bands();
    let mut contents = contents(&bands, &level.noise, heard.gain_db);
    // What the capture's own noise hides is not gone from the radio.
    for content in contents.iter_mut().filter(|c| c.content == Content::Gone) {
        let recorder = own.and_then(|own| own.silence.iter().find(|n| n.hz == content.hz));
        let recorder = recorder.is_some_and(|n| content.noise_dbfs < n.dbfs + OWN_NOISE_DB);
        if recorder || level.floor_db > 0.0 {
            content.content = Content::Uncertain;
            *own_noise = true;
        }
    }
    Some(ChannelDiagnosis {
        hears: channel.hears,
        lines: points(response),
        roll_off: roll_off(&points(response), RIPPLE_DB.max(level.floor_db)),
        border_hz: border_hz(&contents),
        contents,
        bands,
        gain_db: response.gain_db,
        inverts: inverts(response),
    })
}

fn summary(take: &TakeReading) -> TakeSummary {
    let best = take.best();
    let usable: Vec<(&LevelReading, &Response)> = best.map_or(Vec::new(), |c| {
        c.levels.iter().filter_map(|l| Some((l, l.response.as_ref()?))).collect()
    });
    let gains = || usable.iter().map(|(_, r)| r.gain_db);
    let spread = gains().fold(f64::MIN, f64::max) - gains().fold(f64::MAX, f64::min);
    let clean = best.is_some_and(|c| c.tones.iter().all(|t| t.thd() < 0.01));
    let level_dependent = level_dependent(&usable);
    // A recorder's gain moves all bands alike, a limiter of the bass does not.
    let uneven = level_dependent.iter().map(|(_, db)| db.abs()).fold(0.0, f64::max);
    let alike = uneven < spread / 2.0;
    let moves =
        usable.iter().any(|(l, _)| l.alarms.iter().any(|a| matches!(a, Alarm::GainMoves(_))));
    TakeSummary {
        start_s: take.start_s,
        clock_ppm: take.clock_ppm,
        form: take.label.form,
        volume_db: usable.first().map(|(_, r)| r.gain_db),
        automatic_gain: moves || spread > SAME_GAIN_DB && clean && alike,
        full_scale: take.peak >= FULL_SCALE,
        lossy: usable.iter().any(|(level, _)| level.floor_db > 0.0),
        level_dependent,
        alarms: best.map_or(Vec::new(), |c| {
            c.levels.iter().flat_map(|l| l.alarms.iter().map(|a| (l.peak_dbfs, *a))).collect()
        }),
    }
}

/// Bands that differ between the quietest and the loudest level by more than 0.5 dB and 3 sd.
fn level_dependent(usable: &[(&LevelReading, &Response)]) -> Vec<(f64, f64)> {
    let (Some(quiet), Some(loud)) = (usable.first(), usable.last()) else { return Vec::new() };
    let loud_bands = loud.0.bands();
    quiet
        .0
        .bands()
        .iter()
        .filter(|b| b.is_shown())
        .filter_map(|q| {
            let l = loud_bands.iter().find(|l| l.hz == q.hz && l.is_shown())?;
            let change = l.db - q.db;
            (change.abs() > SAME_GAIN_DB.max(3.0 * l.sd_db.hypot(q.sd_db)))
                .then_some((q.hz, change))
        })
        .collect()
}

/// The bass bands at every level of a take that shows all of them. A limiter distorts: only a
/// recorder that clips is a reason to leave a level out.
fn bass_readings(take: &TakeReading) -> Vec<BassReading> {
    let Some(channel) = take.best() else { return Vec::new() };
    let usable = || channel.levels.iter().filter_map(|l| Some((l, l.response.as_ref()?)));
    let Some(volume_db) = usable().next().map(|(_, r)| r.gain_db) else { return Vec::new() };
    usable()
        .filter(|(_, r)| take.peak < FULL_SCALE || r.distortion_db < MOST_DISTORTION_DB)
        .filter_map(|(level, _)| {
            let all = level.bands();
            let bands = BASS_BANDS_HZ
                .iter()
                .map(|hz| {
                    let band = all.iter().find(|b| (b.hz / hz - 1.0).abs() < 0.01)?;
                    band.is_shown().then_some((band.hz, band.db, band.sd_db))
                })
                .collect::<Option<Vec<_>>>()?;
            Some(BassReading { volume_db, level_dbfs: level.peak_dbfs, bands })
        })
        .collect()
}

/// The loud tones at `hz`, their level counted as volume re a tone of −1 dBFS: one 5 dB quieter
/// clips 5 dB later, be it so in the track or the whole track played lower.
fn loud_tones(take: &TakeReading, hz: f64) -> Vec<LoudTone> {
    let Some(channel) = take.best() else { return Vec::new() };
    let Some(volume_db) =
        channel.levels.iter().find_map(|l| l.response.as_ref()).map(|r| r.gain_db)
    else {
        return Vec::new();
    };
    channel
        .tones
        .iter()
        .filter(|t| t.hz == hz && t.played_dbfs > -16.0)
        .map(|t| LoudTone {
            volume_db: volume_db + t.played_dbfs + 1.0,
            thd: t.thd(),
            third: t.amplitude(3.0) / t.amplitude(1.0).max(1e-12),
            floor: t.thd_floor(),
        })
        .collect()
}
