//! The invented car: a radio that keeps low bass from its small loudspeakers,
//! more of it the louder it plays, and the two things that recorded it.

use std::f64::consts::{PI, TAU};

use super::internal;
use crate::cli::failure::Failure;
use crate::planning::capture::Capture;
use crate::planning::take_reading::{Purpose, TakeReading};
use crate::signal::random::Random;
use crate::signal::track::Track;
use crate::signal::track::layout::Form;
use crate::signal::{Kind, Pink, Source};
use crate::units::{db_to_gain, power_to_db};

/// Sample rate of the recorder in Hz.
pub(super) const RATE_HZ: f64 = 48_000.0;

/// Sample rate the captures are simulated at in Hz: the planning looks at nothing above 6 kHz.
const CAPTURED_AT_HZ: f64 = 20_000.0;

/// What the player takes for that rate: its clock is 500 ppm off.
const PLAYED_AT_HZ: f64 = 20_010.0;

/// How much slower than the recorder's clock that makes the player's.
pub(super) const CLOCK_PPM: f64 = 1e6 * (PLAYED_AT_HZ / CAPTURED_AT_HZ - 1.0);

/// The radio's own noise, pink, and the recorder's, white: dBFS r.m.s.
const RADIO_NOISE_DBFS: f64 = -64.0;
const RECORDER_NOISE_DBFS: f64 = -88.0;

/// The radio's noise repeats after this time: no multiple of the track's blocks.
const NOISE_PERIOD_S: f64 = 4.7;

/// A volume step of the radio.
#[derive(Clone, Copy)]
pub(super) struct Step {
    /// What the knob says.
    pub(super) knob: u32,
    gain_db: f32,
    pub(super) corner_hz: f32,
}

/// The steps that were recorded: the corner of a fourth-order high-pass rises with the volume.
pub(super) const STEPS: [Step; 4] = [
    Step { knob: 10, gain_db: -23.0, corner_hz: 42.0 },
    Step { knob: 16, gain_db: -17.0, corner_hz: 47.0 },
    Step { knob: 22, gain_db: -11.0, corner_hz: 53.0 },
    Step { knob: 28, gain_db: -5.0, corner_hz: 60.0 },
];

/// The step the owner listens at.
pub(super) const USUAL: Step = STEPS[3];

/// What records.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Recorder {
    /// A line recorder of 16 bits.
    Line,
    /// A line that codes its 8 bits by ITU-T G.711 (the continuous μ-law).
    Coded,
}

/// Sound of the music player at 48 kHz, as the radio gives it at a step.
///
/// # Errors
/// None in practice: the noise can be made.
pub(super) fn radio(step: Step, sound: Vec<f32>) -> Result<Vec<f32>, Failure> {
    radio_at(RATE_HZ, step, sound)
}

fn radio_at(rate_hz: f64, step: Step, mut sound: Vec<f32>) -> Result<Vec<f32>, Failure> {
    let mut high_pass = HighPass::new(step.corner_hz.into(), rate_hz);
    let gain = db_to_gain(step.gain_db.into());
    let own = Pink { level_dbfs: RADIO_NOISE_DBFS, period_s: NOISE_PERIOD_S, ..Pink::default() };
    let own = Source::new(&Kind::Pink(own), rate_hz, step.knob.into()).map_err(internal)?;
    for (x, own) in sound.iter_mut().zip(own) {
        *x = (gain * high_pass.next((*x).into()) + own) as f32;
    }
    Ok(sound)
}

/// The radio's own high-pass, Butterworth of fourth order: two sections of the Audio EQ Cookbook (W3C
/// Note, 2021). It is no stage of the line, so that what is found is not found by what made it.
struct HighPass([Section; 2]);

impl HighPass {
    fn new(corner_hz: f64, rate_hz: f64) -> Self {
        let w = TAU * corner_hz / rate_hz;
        Self([1.0, 3.0].map(|nth| Section::new(w, 0.5 / libm::cos(PI / 8.0 * nth))))
    }

    fn next(&mut self, x: f64) -> f64 {
        self.0.iter_mut().fold(x, |x, section| section.next(x))
    }
}

/// b0, a1, a2 of a section whose other coefficients follow, and what it remembers.
struct Section {
    b0: f64,
    a: [f64; 2],
    kept: [f64; 2],
}

impl Section {
    /// At `w` radians per sample, with quality `q`.
    fn new(w: f64, q: f64) -> Self {
        let (alpha, cosine) = (libm::sin(w) / (2.0 * q), libm::cos(w));
        let a0 = 1.0 + alpha;
        let a = [-2.0 * cosine / a0, (1.0 - alpha) / a0];
        Self { b0: (1.0 + cosine) / 2.0 / a0, a, kept: [0.0; 2] }
    }

    fn next(&mut self, x: f64) -> f64 {
        let y = self.b0 * x + self.kept[0];
        self.kept = [self.kept[1] - 2.0 * self.b0 * x - self.a[0] * y, self.b0 * x - self.a[1] * y];
        y
    }
}

/// The left channel of the track, as the player plays it.
pub(super) fn played() -> Vec<f32> {
    let track = Track::new(Form::Short, 0, PLAYED_AT_HZ);
    (0..track.samples()).map(|n| track.frame(n)[0] as f32).collect()
}

/// One take of what was `played`, as the recorder's file holds it: at a step of the radio, or of the
/// player alone for the loop-back.
///
/// # Errors
/// None in practice: the track is whole.
pub(super) fn take(
    played: &[f32],
    step: Option<Step>,
    recorder: Recorder,
) -> Result<TakeReading, Failure> {
    let mut stored = match step {
        Some(step) => radio_at(CAPTURED_AT_HZ, step, played.to_vec())?,
        None => played.to_vec(),
    };
    let seed = step.map_or(1, |step| step.knob.into());
    let mut hiss = Hiss::new(RECORDER_NOISE_DBFS, seed);
    for x in &mut stored {
        *x = recorder.stores((f64::from(*x) + hiss.next()).clamp(-1.0, 1.0)) as f32;
    }

    let mut capture =
        Capture::new(CAPTURED_AT_HZ as u32, 1).map_err(|why| internal(why.to_string()))?;
    let mut found = Vec::new();
    capture.push(&[&stored], |take| found.push(take));
    capture.finish(|take| found.push(take));
    let take = found.into_iter().next().ok_or_else(|| internal("the track was lost".into()))?;
    let name = match (step, recorder) {
        (None, _) => "loop-back".into(),
        (Some(step), Recorder::Line) => format!("step {}", step.knob),
        (Some(step), Recorder::Coded) => format!("step {}, coded", step.knob),
    };
    take.map(|take| TakeReading { name, ..TakeReading::new(&take, Purpose::Radio) })
        .map_err(|why| internal(why.to_string()))
}

impl Recorder {
    fn stores(self, x: f64) -> f64 {
        match self {
            Self::Line => (x * 32_767.0).round() / 32_767.0,
            Self::Coded => {
                const MU: f64 = 255.0;
                // ln(1 + μ)
                const SPAN: f64 = 8.0 * std::f64::consts::LN_2;
                // A little softer than the line: of two takes at one step the cleaner is to judge.
                let x = 0.89 * x;
                let coded = x.signum() * libm::log1p(MU * x.abs()) / SPAN;
                let kept = (coded * 127.0).round() / 127.0;
                kept.signum() * libm::expm1(kept.abs() * SPAN) / MU
            }
        }
    }
}

/// White noise of a level.
struct Hiss {
    random: Random,
    peak: f64,
}

impl Hiss {
    /// `dbfs` is re a full-scale sine, as AES17 has it.
    fn new(dbfs: f64, seed: u64) -> Self {
        // Even over ±p has a mean square of p²/3, a sine of peak 1 has 1/2.
        Self { random: Random::new(seed), peak: (1.5f64).sqrt() * db_to_gain(dbfs) }
    }

    fn next(&mut self) -> f64 {
        self.peak * (2.0 * self.random.unit() - 1.0)
    }
}

/// Loss of the radio at a step in dB, as it was invented: a Butterworth high-pass of fourth order.
pub(super) fn planted_db(step: Step, hz: f64) -> f64 {
    -power_to_db(1.0 + (f64::from(step.corner_hz) / hz).powi(8))
}
