//! What arrives at an input: its level and spectrum, and the measuring track as it comes; what a take
//! says at once, and everything kept so that it can be diagnosed like a file.

use serde_json::{Value, json};
use underpin::audio::encode::{Coder, Format, Spec, header};
use underpin::measure::{Ask, Measure};
use underpin::planning::capture::{Capture, Refusal, Take};
use underpin::planning::diagnose::diagnose_at;
use underpin::planning::take_reading::{Purpose, TakeReading};
use underpin::plot::Scene;
use underpin::plot::low_end::{Beside, low_end};
use underpin::plot::scene::Rect;
use underpin::report::{Sheet, diagnosis, inline, underlined};
use underpin::units::gain_to_db;

use crate::asked::number;

/// The longest that is kept, in seconds: four long tracks.
const MOST_S: f64 = 720.0;

/// Seconds over which the spectrum is averaged before it begins afresh.
const AVERAGED_S: f64 = 8.0;

/// Frames of the level that is told: a third of a second at 48 kHz.
const LEVEL_FRAMES: usize = 16_384;

/// A sample this near to full scale counts as driven to it (−0.1 dBFS).
const FULL_SCALE: f32 = 0.9886;

/// An input that is listened to.
pub(crate) struct Listening {
    rate_hz: f64,
    capture: Capture,
    measure: Measure,
    kept: Vec<Vec<f32>>,
    /// What was recognised so far, one sentence each.
    told: Vec<String>,
    takes: Vec<TakeReading>,
    /// What the takes say together.
    finding: Option<String>,
    full: u64,
}

impl Listening {
    pub(crate) fn new(asked: &Value) -> Result<Self, String> {
        let rate_hz = number(asked, "rate", 48_000.0);
        let channels = number(asked, "channels", 1.0).clamp(1.0, 2.0) as usize;
        Ok(Self {
            rate_hz,
            capture: Capture::new(rate_hz as u32, channels).map_err(|why| why.to_string())?,
            measure: Measure::new(rate_hz, channels, &Ask::default()),
            kept: vec![Vec::new(); channels],
            told: Vec::new(),
            takes: Vec::new(),
            finding: None,
            full: 0,
        })
    }

    /// Hears what arrives.
    pub(crate) fn hear(&mut self, channels: &[&[f32]]) {
        let heard: Vec<&[f32]> = channels.iter().copied().take(self.kept.len()).collect();
        if heard.len() < self.kept.len() || self.seconds() > MOST_S {
            return;
        }
        for (kept, channel) in self.kept.iter_mut().zip(&heard) {
            kept.extend_from_slice(channel);
        }
        let loud = |x: &&f32| x.abs() >= FULL_SCALE;
        self.full += heard.iter().map(|c| c.iter().filter(loud).count() as u64).sum::<u64>();
        self.measure(&heard);
        let (told, takes) = (&mut self.told, &mut self.takes);
        let known = takes.len();
        self.capture.push(&heard, |found| note(found, told, takes));
        if takes.len() > known {
            self.find();
        }
    }

    fn measure(&mut self, heard: &[&[f32]]) {
        let wide = |channel: &&[f32]| channel.iter().map(|x| f64::from(*x)).collect();
        let wide: Vec<Vec<f64>> = heard.iter().map(wide).collect();
        self.measure.push(&wide.iter().map(Vec::as_slice).collect::<Vec<_>>());
    }

    /// Says what the takes say together, as a diagnosis of them as files would.
    fn find(&mut self) {
        let mut sheet = Sheet::default();
        match diagnose_at(&self.takes, None, None) {
            Some(found) => diagnosis(&mut sheet, &found),
            None => sheet.finding = "Every take is damaged or silent: nothing can be said.".into(),
        }
        self.finding = Some(underlined(&sheet.finding));
    }

    fn seconds(&self) -> f64 {
        self.kept[0].len() as f64 / self.rate_hz
    }

    /// Level, spectrum, time, and what was recognised and found.
    pub(crate) fn told(&mut self, asked: &Value) -> Value {
        let level = |channel: &Vec<f32>| {
            let last = &channel[channel.len().saturating_sub(LEVEL_FRAMES)..];
            let peak = last.iter().fold(0f32, |peak, x| peak.max(x.abs()));
            gain_to_db(peak.into())
        };
        json!({
            "seconds": self.seconds(),
            "peaks_dbfs": self.kept.iter().map(level).collect::<Vec<_>>(),
            "full_scale": self.full,
            "takes": self.takes.len(),
            "told": self.told,
            "finding": self.finding,
            "is_full": self.seconds() > MOST_S,
            "svg": self.drawn(number(asked, "width", 682.0).clamp(260.0, 1600.0)),
        })
    }

    /// The low end of what arrived last.
    fn drawn(&mut self, width: f64) -> Option<String> {
        let readings = self.measure.reading();
        if readings.seconds > AVERAGED_S {
            self.measure.reset();
        }
        let mut scene = Scene::new(width, 220.0, "Levels of the low end at the input");
        let rect = Rect::new(34.0, 4.0, width - 34.0, 192.0);
        low_end(&mut scene, rect, &readings, Beside::default()).map(|_| inline(&scene))
    }

    /// Everything that was heard, as a WAV of 32-bit floats.
    pub(crate) fn wav(self) -> Vec<u8> {
        let frames = self.kept[0].len() as u64;
        let spec = Spec {
            sample_rate_hz: self.rate_hz,
            channels: self.kept.len(),
            format: Format::F32,
            seed: 1,
            frames: Some(frames),
        };
        let mut coder = Coder::new(spec);
        coder.encode(&self.kept);
        [header(&spec, Some(frames)), coder.bytes].concat()
    }
}

fn note(found: Result<Take, Refusal>, told: &mut Vec<String>, takes: &mut Vec<TakeReading>) {
    match found {
        Ok(take) => {
            let name = format!("take {}", takes.len() + 1);
            told.push(format!("{name} is complete; it began at {:.1} s", take.start_s));
            takes.push(TakeReading { name, ..TakeReading::new(&take, Purpose::Radio) });
        }
        Err(why) => told.push(why.to_string()),
    }
}
