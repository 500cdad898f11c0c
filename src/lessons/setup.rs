//! What a lesson plays: a signal, a radio before the line where there is one, settings, and a rail
//! behind it where something clips.

use crate::measure::{Ask, Measure, Readings};
use crate::path::Path;
use crate::settings::{Order, Settings};
use crate::signal::{Kind, Source};
use crate::units::seconds_to_samples;

/// Sample rate of the lessons in Hz.
const RATE_HZ: f64 = 48_000.0;

/// Samples worked on at a time; nothing depends on it.
const BLOCK: usize = 4096;

/// One thing that is played.
#[derive(Clone, Debug)]
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

    /// Plays it and measures both sides.
    ///
    /// # Errors
    /// One sentence when the signal cannot be made.
    pub fn measured(&self) -> Result<Readings, String> {
        let source = Source::new(&self.signal, RATE_HZ, self.seed)?;
        let (settle_s, seconds) = self.seconds;
        let ask = Ask { tone_hz: self.tone_hz, strata: true, skip_s: settle_s, ..Ask::default() };
        let mut measure = Measure::new(RATE_HZ, 1, &ask);
        let length = seconds_to_samples(settle_s + seconds, RATE_HZ);
        let mut sound: Vec<f32> = source.map(|x| x as f32).take(length).collect();
        sound.resize(length, 0.0);
        if let Some(corner_hz) = self.radio_hz {
            line(&radio(corner_hz)).process(&mut [&mut sound], &mut ());
        }
        let mut path = line(&self.settings);
        for block in sound.chunks_mut(BLOCK) {
            match self.clips_at {
                None => path.process(&mut [block], &mut measure),
                Some(rail) => {
                    let before: Vec<f64> = block.iter().map(|x| f64::from(*x)).collect();
                    path.process(&mut [block], &mut ());
                    let after = block.iter().map(|x| f64::from(*x).clamp(-rail, rail));
                    measure.push_pair(&[&before], &[&after.collect::<Vec<_>>()]);
                }
            }
        }
        Ok(measure.reading())
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
