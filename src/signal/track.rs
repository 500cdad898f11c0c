//! The measuring track: silence, markers, level tones, the comb at three
//! levels, loud tones. Played from a stick through what is to be measured,
//! recorded by anything, and found again by its markers.
//!
//! Samples are rounded to 2⁻²⁸ of full scale, so that a mathematical library's
//! last bits do not make two tracks of one.
//!
//! Its markers say what it is: version and level in the first number, form,
//! end and sample rate in the second.

pub mod comb;
pub mod layout;
pub mod marker;

use std::f64::consts::TAU;

use crate::units::{db_to_gain, seconds_to_samples};
use comb::PERIOD_S;
use layout::{Content, FADE_S, Form, Section, VERSION};
use marker::Marker;

/// Sample rates a marker can name, in Hz.
const RATES_HZ: [f64; 6] = [44_100.0, 48_000.0, 88_200.0, 96_000.0, 176_400.0, 192_000.0];

/// One step of the track's level, in dB.
pub const LEVEL_STEP_DB: f64 = 6.0;

/// Steps of level a marker can name: 0, −6, −12 and −18 dB.
pub const LEVEL_STEPS: u8 = 4;

/// What a pair of markers says about its track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Label {
    /// Version of the track.
    pub version: u8,
    /// How far the whole track is below its normal level, in steps of [`LEVEL_STEP_DB`].
    pub level_steps: u8,
    /// The form.
    pub form: Form,
    /// Sample rate it was made for in Hz; `None` when no common one.
    pub sample_rate_hz: Option<f64>,
}

impl Label {
    /// The label of a track of this program.
    pub fn new(form: Form, level_steps: u8, sample_rate_hz: f64) -> Self {
        let sample_rate_hz = RATES_HZ.into_iter().find(|rate| *rate == sample_rate_hz);
        Self {
            version: VERSION,
            level_steps: level_steps.min(LEVEL_STEPS - 1),
            form,
            sample_rate_hz,
        }
    }

    /// The marker of the start or the end.
    pub fn marker(&self, end: bool) -> Marker {
        let rate = RATES_HZ.iter().position(|r| Some(*r) == self.sample_rate_hz);
        let role = 2 * u8::from(self.form == Form::Long) + u8::from(end);
        Marker {
            what: LEVEL_STEPS * (self.version - 1) + self.level_steps,
            which: role + 4 * rate.unwrap_or(RATES_HZ.len()) as u8,
        }
    }

    /// What a marker says: the label, and whether the marker ends the track.
    pub fn read(marker: Marker) -> (Self, bool) {
        let role = marker.which % 4;
        let label = Self {
            version: marker.what / LEVEL_STEPS + 1,
            level_steps: marker.what % LEVEL_STEPS,
            form: if role >= 2 { Form::Long } else { Form::Short },
            sample_rate_hz: RATES_HZ.get(usize::from(marker.which / 4)).copied(),
        };
        (label, role % 2 == 1)
    }

    /// The level of the whole track in dB re its normal level.
    pub fn level_db(&self) -> f64 {
        -LEVEL_STEP_DB * f64::from(self.level_steps)
    }
}

/// The track, sample by sample. Allocates in [`Track::new`] only.
pub struct Track {
    label: Label,
    sample_rate_hz: f64,
    sections: Vec<Section>,
    /// The whole track's gain, and the peak of each section, full scale at 1.
    gain: f64,
    peaks: Vec<f64>,
    combs: [Vec<f64>; 2],
}

impl Track {
    /// A track of one form, `level_steps` of [`LEVEL_STEP_DB`] below its normal level, at any
    /// sample rate in Hz that has a whole number of samples in 0.1 s.
    pub fn new(form: Form, level_steps: u8, sample_rate_hz: f64) -> Self {
        let period = seconds_to_samples(PERIOD_S, sample_rate_hz);
        let label = Label::new(form, level_steps, sample_rate_hz);
        let sections = form.sections();
        let peak = |section: &Section| section.content.peak_dbfs().map_or(0.0, db_to_gain);
        Self {
            label,
            sample_rate_hz,
            gain: db_to_gain(label.level_db()),
            peaks: sections.iter().map(peak).collect(),
            sections,
            combs: [0, 1].map(|channel| comb::period(channel, period)),
        }
    }

    /// What its markers say.
    pub fn label(&self) -> Label {
        self.label
    }

    /// Length in samples.
    pub fn samples(&self) -> usize {
        seconds_to_samples(self.label.form.seconds(), self.sample_rate_hz)
    }

    /// The sample number `n`, left and right, full scale at ±1.
    pub fn frame(&self, n: usize) -> [f64; 2] {
        const FINE: f64 = (1u64 << 28) as f64;
        self.exact(n).map(|x| (x * FINE).round() / FINE)
    }

    fn exact(&self, n: usize) -> [f64; 2] {
        let t_s = n as f64 / self.sample_rate_hz;
        // Half a sample of grace: a section starts on its sample whatever the rounding.
        let now_s = t_s + 0.5 / self.sample_rate_hz;
        let next = self.sections.partition_point(|s| s.start_s <= now_s);
        let Some(at) = next.checked_sub(1) else { return [0.0; 2] };
        let (section, peak, gain) = (&self.sections[at], self.peaks[at], self.gain);
        let since = n - seconds_to_samples(section.start_s, self.sample_rate_hz);
        let since_s = since as f64 / self.sample_rate_hz;
        let both = |value: f64| [gain * value; 2];
        match section.content {
            Content::Silence => [0.0; 2],
            Content::Marker { end } => both(marker::PEAK * self.label.marker(end).at(since_s)),
            Content::Tone { hz, .. } => {
                let peak = peak * fade(since_s, section.seconds);
                both(peak * libm::sin(TAU * hz * since_s))
            }
            Content::Comb { .. } => {
                let peak = gain * peak * fade(since_s, section.seconds);
                [0, 1].map(|c| peak * self.combs[c][since % self.combs[c].len()])
            }
            Content::Pulse => both(bump(since_s)),
        }
    }
}

/// Raised-cosine fades at both ends of a section.
fn fade(t_s: f64, seconds: f64) -> f64 {
    let edge = (t_s.min(seconds - t_s) / FADE_S).clamp(0.0, 1.0);
    0.5 - 0.5 * libm::cos(TAU * edge / 2.0)
}

/// The pulse: half a period of a squared sine over 20 ms, at half of full scale.
fn bump(t_s: f64) -> f64 {
    let place = t_s / 0.02;
    if place < 1.0 { 0.5 * libm::sin(TAU * place / 2.0).powi(2) } else { 0.0 }
}
