//! Everything one take says, in little memory: the samples themselves may go.

use super::blocks::{Alarm, Blocks};
use super::capture::Take;
use super::channels::{Hears, Relation, ears, relation};
use super::noise::{Hum, NoiseBand, Silence, with_signal};
use super::resample::GRID_HZ;
use super::response::{BandValue, Ears, Response};
use super::sounding::{SoundingBand, sounding};
use super::statistics::median;
use super::tones::ToneReading;
use crate::signal::track::Label;
use crate::signal::track::layout::Content;
use crate::units::power_to_db;

/// Error that a codec adds and the scatter understates, dB.
const LOSSY_FLOOR_DB: f64 = 0.3;
/// Noise with the signal this far above the silence's is a codec's, dB ...
const CODEC_LIKE_DB: f64 = 20.0;
/// ... unless it is further below the comb's lines than any codec's: rounding to 16 bit is 100 dB below.
const CODEC_BELOW_DB: f64 = -75.0;

/// A capture whose samples reach this was driven to full scale (−0.1 dBFS).
pub(super) const FULL_SCALE: f32 = 0.9886;

/// What a take is read for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// A radio: the scatter over single blocks.
    Radio,
    /// A device that may halve: the scatter over pairs of blocks.
    Device,
}

/// The comb at one level in one channel.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelReading {
    /// Level it was played at, peak in dBFS.
    pub peak_dbfs: f64,
    /// The response; `None` when the section cannot be used.
    pub response: Option<Response>,
    /// What is wrong with the section.
    pub alarms: Vec<Alarm>,
    /// The noise it was heard in, third-octave bands.
    pub noise: Vec<NoiseBand>,
    /// Error beyond the scatter, dB: more than 0 where a codec was at work.
    pub floor_db: f64,
}

impl LevelReading {
    /// Third-octave bands, their standard deviation never below the floor.
    pub fn bands(&self) -> Vec<BandValue> {
        let mut bands = self.response.as_ref().map_or(Vec::new(), Response::bands);
        for band in &mut bands {
            band.sd_db = band.sd_db.max(self.floor_db);
            band.half_95_db = band.half_95_db.max(2.0 * self.floor_db);
        }
        bands
    }
}

/// One channel of a take.
#[derive(Clone, Debug, PartialEq)]
pub struct ChannelReading {
    /// What it hears.
    pub hears: Hears,
    /// The comb, from the quietest level up.
    pub levels: Vec<LevelReading>,
    /// Noise in the track's silence.
    pub silence: Vec<NoiseBand>,
    /// How loud the bands of the loudest comb sound, whatever makes them.
    pub sounding: Vec<SoundingBand>,
    /// Tones in the track's silence: hum, whine.
    pub hum: Vec<Hum>,
    /// The tones in the order of the track.
    pub tones: Vec<ToneReading>,
}

impl ChannelReading {
    /// The loudest level that can be used.
    pub fn loudest(&self) -> Option<(&LevelReading, &Response)> {
        self.levels.iter().rev().find_map(|level| Some((level, level.response.as_ref()?)))
    }

    fn new(take: &Take, samples: &[f32], purpose: Purpose) -> Self {
        let (level_db, pairs) = (take.label.level_db(), purpose == Purpose::Device);
        let (mut combs, mut tones, mut silence) = (Vec::new(), Vec::new(), Silence::default());
        let mut loudest = None;
        for section in take.label.form.sections() {
            match section.content {
                Content::Comb { peak_dbfs } => {
                    let peak_dbfs = peak_dbfs + level_db;
                    combs.push((peak_dbfs, Blocks::new(samples, &section, peak_dbfs, pairs)));
                    // The track rises from the quietest comb to the loudest.
                    loudest = Some(section);
                }
                Content::Tone { hz, peak_dbfs } => tones.push(ToneReading::new(
                    samples,
                    section.start_s,
                    section.seconds,
                    hz,
                    peak_dbfs + level_db,
                )),
                Content::Silence => {
                    let [from, to] =
                        [section.start_s + 0.3, section.start_s + section.seconds - 0.3]
                            .map(|s| ((s * GRID_HZ) as usize).min(samples.len()));
                    silence = Silence::new(&samples[from..to]);
                }
                Content::Marker { .. } | Content::Pulse => {}
            }
        }
        let best = combs.iter().rev().find(|(_, b)| b.usable());
        let (hears, ears) = best.map_or((Hears::Nothing, Ears::NONE), |(_, blocks)| ears(blocks));
        let levels = combs
            .into_iter()
            .map(|(peak_dbfs, blocks)| {
                let response = (blocks.usable() && hears != Hears::Nothing)
                    .then(|| Response::new(&blocks, &ears, pairs));
                let noise = response
                    .as_ref()
                    .map_or(silence.noise.clone(), |r| with_signal(&silence.noise, &r.noise_dbfs));
                let over = noise.iter().zip(&silence.noise).map(|(n, s)| n.dbfs - s.dbfs);
                let lossy = !pairs
                    && median(over) > CODEC_LIKE_DB
                    && response.as_ref().is_some_and(|r| noise_below_lines_db(r) > CODEC_BELOW_DB);
                let floor_db = if lossy { LOSSY_FLOOR_DB } else { 0.0 };
                LevelReading { peak_dbfs, response, alarms: blocks.alarms, noise, floor_db }
            })
            .collect();
        let sounding =
            loudest.map_or(Vec::new(), |section| sounding(samples, &section, &silence.noise));
        Self { hears, levels, silence: silence.noise, sounding, hum: silence.hum, tones }
    }
}

/// The middle of what the scatter of single blocks is below the lines it stands at, dB.
fn noise_below_lines_db(response: &Response) -> f64 {
    let pairs = response.lines.iter().zip(&response.noise_dbfs);
    median(pairs.map(|(line, noise)| noise.1 - power_to_db(line.weight) - response.gain_db))
}

/// One take, read.
#[derive(Clone, Debug, PartialEq)]
pub struct TakeReading {
    /// What the capture is called; empty until somebody names it.
    pub name: String,
    /// What the markers say.
    pub label: Label,
    /// Where it starts in the file, seconds.
    pub start_s: f64,
    /// How much slower the player's clock runs than the recorder's, ppm.
    pub clock_ppm: f64,
    /// Highest sample of the take, full scale at 1.
    pub peak: f32,
    /// The channels of the capture.
    pub channels: Vec<ChannelReading>,
    /// How each further channel stands to the first: (its place, relation).
    pub relations: Vec<(usize, Relation)>,
}

impl TakeReading {
    /// Reads a take.
    pub fn new(take: &Take, purpose: Purpose) -> Self {
        let channels: Vec<ChannelReading> = take
            .channels
            .iter()
            .map(|samples| ChannelReading::new(take, samples, purpose))
            .collect();
        let first = channels.first().and_then(ChannelReading::loudest);
        let relations = (1..channels.len())
            .filter_map(|i| Some((i, relation(first?.1, channels[i].loudest()?.1)?)))
            .collect();
        let Take { label, start_s, clock_ppm, peak, .. } = *take;
        let name = String::new();
        Self { name, label, start_s, clock_ppm, peak, channels, relations }
    }

    /// The same from a file of a lossy codec: its error is on every level.
    #[must_use]
    pub fn coded(mut self) -> Self {
        let levels = self.channels.iter_mut().flat_map(|c| &mut c.levels);
        levels.for_each(|level| level.floor_db = LOSSY_FLOOR_DB);
        self
    }

    /// Whether the recorder reached full scale (−0.1 dBFS).
    pub fn is_driven_to_full_scale(&self) -> bool {
        self.peak >= FULL_SCALE
    }

    /// The channel that hears what another one does, or the best there is.
    pub fn hearing(&self, hears: Hears) -> Option<&ChannelReading> {
        let same = |c: &&ChannelReading| c.hears == hears && c.loudest().is_some();
        self.channels.iter().find(same).or_else(|| self.best())
    }

    /// The channel to judge by: the one with the highest gain.
    pub fn best(&self) -> Option<&ChannelReading> {
        let gain = |c: &ChannelReading| c.loudest().map_or(f64::MIN, |(_, r)| r.gain_db);
        self.channels
            .iter()
            .filter(|c| c.hears != Hears::Nothing && c.loudest().is_some())
            // Of equals the first.
            .rev()
            .max_by(|a, b| gain(a).total_cmp(&gain(b)))
    }
}
