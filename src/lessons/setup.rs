//! What a lesson plays: a signal, a radio before the line where there is one, settings, and a rail
//! behind it where something clips.

use crate::measure::{Ask, Measure, Readings};
use crate::path::{Listen, Path, Tap};
use crate::plot::oscillogram::Stretch;
use crate::settings::{Order, Settings};
use crate::signal::{Kind, Source};
use crate::units::seconds_to_samples;

/// Sample rate of the lessons in Hz.
pub(super) const RATE_HZ: f64 = 48_000.0;

/// Samples worked on at a time; nothing depends on it.
const BLOCK: usize = 4096;

/// One thing that is played.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// What it is, in a few words.
    pub name: String,
    /// What goes in.
    pub signal: Kind,
    /// Seed of what is random in it.
    pub seed: u64,
    /// Seconds that settle, unheard, and seconds measured.
    pub seconds: (f64, f64),
    /// Corner in Hz of a radio of fourth order before the line; `None` for none.
    pub radio_hz: Option<f32>,
    /// The line.
    pub settings: Settings,
    /// Where something behind the line clips, as a share of full scale.
    pub clips_at: Option<f64>,
    /// The tone whose lines are read, in Hz.
    pub tone_hz: Option<f64>,
    /// How much of its waves is shown, in seconds.
    pub shown_s: f64,
}

/// What was measured of a setup, and a stretch of its waves.
#[derive(Clone, Debug, PartialEq)]
pub struct Played {
    /// What was measured.
    pub readings: Readings,
    /// Its waves, from where measuring began.
    pub waves: Stretch,
}

/// Measures the line, and keeps a stretch of it.
struct Ears {
    measure: Measure,
    waves: Stretch,
    /// Frames before the stretch, and in it.
    skip: usize,
    frames: usize,
}

impl Listen for Ears {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        self.measure.hear(tap, channels);
        if let Some(channel) = channels.first() {
            self.keep(tap, channel);
        }
    }
}

impl Ears {
    fn keep(&mut self, tap: Tap, samples: &[f64]) {
        let kept = match tap {
            Tap::Before => &mut self.waves.before,
            Tap::Octave => &mut self.waves.octave,
            Tap::After => &mut self.waves.after,
            _ => return,
        };
        let room = (self.skip + self.frames).saturating_sub(kept.len());
        kept.extend(&samples[..room.min(samples.len())]);
    }

    fn played(mut self) -> Played {
        let Stretch { before, octave, after, .. } = &mut self.waves;
        for kept in [before, octave, after] {
            kept.drain(..self.skip.min(kept.len()));
        }
        Played { readings: self.measure.reading(), waves: self.waves }
    }
}

impl Setup {
    /// A signal through settings, nothing before or behind; 3 s settle, `seconds` are measured.
    pub fn new(name: &str, signal: Kind, seconds: f64, settings: Settings) -> Self {
        Self {
            name: name.into(),
            signal,
            seed: 7,
            seconds: (3.0, seconds),
            radio_hz: None,
            settings,
            clips_at: None,
            tone_hz: None,
            shown_s: 0.1,
        }
    }

    /// What is played, in one line.
    pub(super) fn told(&self) -> String {
        let changed: Vec<String> = self
            .settings
            .changed()
            .map(|(setting, plain)| format!("{}={}", setting.key, setting.show(plain)))
            .collect();
        match changed.is_empty() {
            true => format!("{}: the settings as they start", self.name),
            false => format!("{}: {}", self.name, changed.join(", ")),
        }
    }

    /// What goes into the line, from its start.
    ///
    /// # Errors
    /// One sentence when the signal cannot be made.
    pub fn sound(&self) -> Result<Vec<f32>, String> {
        let source = Source::new(&self.signal, RATE_HZ, self.seed)?;
        let length = seconds_to_samples(self.seconds.0 + self.seconds.1, RATE_HZ);
        let mut sound: Vec<f32> = source.map(|x| x as f32).take(length).collect();
        sound.resize(length, 0.0);
        if let Some(corner_hz) = self.radio_hz {
            line(&radio(corner_hz)).process(&mut [&mut sound], &mut ());
        }
        Ok(sound)
    }

    /// Plays it and measures both sides.
    ///
    /// # Errors
    /// As [`Setup::sound`].
    pub fn played(&self) -> Result<Played, String> {
        let (settle_s, _) = self.seconds;
        let ask = Ask { tone_hz: self.tone_hz, strata: true, skip_s: settle_s, ..Ask::default() };
        let mut ears = Ears {
            measure: Measure::new(RATE_HZ, 1, &ask),
            waves: Stretch { seconds: self.shown_s, ..Stretch::default() },
            skip: seconds_to_samples(settle_s, RATE_HZ),
            frames: seconds_to_samples(self.shown_s, RATE_HZ),
        };
        let mut sound = self.sound()?;
        let mut path = line(&self.settings);
        for block in sound.chunks_mut(BLOCK) {
            match self.clips_at {
                None => path.process(&mut [block], &mut ears),
                Some(rail) => {
                    let before: Vec<f64> = block.iter().map(|x| f64::from(*x)).collect();
                    path.process(&mut [block], &mut ());
                    let after: Vec<f64> =
                        block.iter().map(|x| f64::from(*x).clamp(-rail, rail)).collect();
                    ears.measure.push_pair(&[&before], &[&after]);
                    ears.keep(Tap::Before, &before);
                    ears.keep(Tap::After, &after);
                }
            }
        }
        Ok(ears.played())
    }
}

fn line(settings: &Settings) -> Path {
    let mut path = Path::new(RATE_HZ, 1);
    path.set(settings);
    path
}

/// A radio that keeps low bass from its loudspeakers: fourth order.
fn radio(corner_hz: f32) -> Settings {
    Settings { high_pass_order: Order::Fourth, high_pass_hz: corner_hz, ..plain() }
}

/// The line without an octave part.
pub(super) fn plain() -> Settings {
    Settings { octave_level_db: -60.0, ..Settings::default() }
}
