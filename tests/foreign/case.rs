//! A case: a name, gear built from a seed, captures, and what is true of them.

use underpin::signal::track::layout::Form;

use crate::chance::Chance;
use crate::dynamics::{Dynamics, Stereo};
use crate::equaliser::coupling;
use crate::filter::Filter;
use crate::program::Ask;
use crate::radio::Radio;
use crate::rails::Rails;
use crate::truth::{Channel, Clean, Depends, Truth, bands_hz};
use crate::wire::{Tones, Wire};

/// Most cases run at this rate: nothing above 6 kHz is looked at.
pub(crate) const RATE: f64 = 24_000.0;

/// A file of the case.
pub(crate) struct File {
    pub(crate) name: String,
    pub(crate) rate: f64,
    pub(crate) channels: Vec<Vec<f32>>,
}

/// What a case gives to the program, and what is true.
pub(crate) struct Scene {
    pub(crate) captures: Vec<File>,
    pub(crate) loop_back: Option<File>,
    pub(crate) truth: Truth,
    /// What the program is asked.
    pub(crate) question: Ask,
}

type Build = Box<dyn Fn(&mut Chance, u64) -> Scene + Sync + Send>;

/// A named case.
pub(crate) struct Case {
    pub(crate) name: String,
    /// What it is about: one line of the table of groups.
    pub(crate) group: &'static str,
    /// Nothing in it is a reason to leave anything open.
    pub(crate) clean: bool,
    build: Build,
}

impl Case {
    pub(crate) fn new(
        group: &'static str,
        name: impl Into<String>,
        build: impl Fn(&mut Chance, u64) -> Scene + Sync + Send + 'static,
    ) -> Self {
        Self { name: name.into(), group, clean: false, build: Box::new(build) }
    }

    /// The same, counted among the clean ones.
    pub(crate) fn clean(self) -> Self {
        Self { clean: true, ..self }
    }

    pub(crate) fn scene(&self, seed: u64) -> Scene {
        let of_name =
            self.name.bytes().fold(seed, |h, b| h.wrapping_mul(31).wrapping_add(b.into()));
        (self.build)(&mut Chance::new(of_name), of_name)
    }
}

/// A radio on a wire, the usual way: volume steps of one radio, all through one wire.
pub(crate) struct Bench {
    pub(crate) radio: Radio,
    pub(crate) wire: Wire,
    /// Volume of each capture, dB.
    pub(crate) steps: Vec<f64>,
    /// What the linear part is at a step, when it follows the knob.
    pub(crate) follows: Option<fn(&Filter, f64, f64) -> Filter>,
    pub(crate) form: Form,
    pub(crate) loop_back: bool,
    pub(crate) truth: Truth,
    /// Only the left output is recorded.
    pub(crate) one_channel: bool,
}

impl Bench {
    /// One step, stereo, a good recorder.
    pub(crate) fn new(chance: &mut Chance, linear: Filter) -> Self {
        let mut radio = Radio::new(RATE, linear);
        radio.volume_db = chance.even(-10.0, -4.0);
        let wire = Wire { lead_s: chance.even(0.2, 1.5), ..Wire::default() };
        let truth = Truth {
            channels: Vec::new(),
            depends: Depends::Fixed,
            level_dependent: false,
            clean: Clean::NotAsked,
            relation: Some((false, 0.0, 0.0)),
            hidden: false,
            hum: None,
            no_tones: false,
            recorder_inside: true,
            flat: false,
            must_say: Vec::new(),
            must_not_say: Vec::new(),
            device: None,
            may_refuse: false,
        };
        let steps = vec![radio.volume_db];
        Self {
            radio,
            wire,
            steps,
            follows: None,
            form: Form::Short,
            loop_back: false,
            truth,
            one_channel: false,
        }
    }

    /// At these volumes, the knob turned up from step to step.
    pub(crate) fn at(mut self, steps: &[f64]) -> Self {
        self.steps = steps.to_vec();
        self
    }

    /// Records everything; the truth's channels are filled in from the radio.
    pub(crate) fn scene(mut self, order: Option<usize>, seed: u64) -> Scene {
        let loudest = self.steps.iter().copied().fold(f64::MIN, f64::max);
        self.truth.channels = self.channels(order, loudest);
        if let Tones::Hum(hz, dbfs) = self.wire.tones {
            self.truth.hum = Some((hz, dbfs));
        }
        self.truth.no_tones = matches!(self.wire.tones, Tones::None) && self.wire.chime.is_none();
        self.truth.clean = self.clean();
        self.truth.recorder_inside = !self.loop_back;
        let captures = (0..self.steps.len()).map(|i| self.capture(i, seed)).collect();
        let loop_back = self.loop_back.then(|| {
            let straight = Radio {
                noise_dbfs: -120.0,
                ..Radio::new(self.radio.rate, Filter::none(self.radio.rate))
            };
            let sound =
                Radio { volume_db: -3.0 - self.wire.gain_db, ..straight }.plays(Form::Short, seed);
            self.file("loop-back".into(), &sound, seed ^ 77)
        });
        Scene { captures, loop_back, truth: self.truth, question: Ask::Diagnose }
    }

    fn at_step(&self, volume_db: f64) -> Radio {
        let mut radio = Radio { volume_db, ..self.radio.clone() };
        if let Some(follows) = self.follows {
            radio.linear = radio.linear.map(|linear| follows(&linear, volume_db, self.radio.rate));
        }
        radio
    }

    fn capture(&self, i: usize, seed: u64) -> File {
        let sound = self.at_step(self.steps[i]).plays(self.form, seed.wrapping_add(i as u64));
        self.file(format!("step-{}", i + 1), &sound, seed.wrapping_add(1000 + i as u64))
    }

    fn file(&self, name: String, sound: &Stereo, seed: u64) -> File {
        let mut channels = self.wire.record(sound, self.radio.rate, seed);
        if self.one_channel {
            channels.truncate(1);
        }
        File { name, rate: self.radio.rate, channels }
    }

    fn channels(&self, order: Option<usize>, volume_db: f64) -> Vec<Channel> {
        let radio = self.at_step(volume_db);
        let roll_off = self.wire.roll_off_hz.filter(|_| !self.loop_back);
        let count = if self.one_channel { 1 } else { 2 };
        (0..count)
            .map(|c| {
                let recorder =
                    roll_off.map_or(Filter::none(radio.rate), |hz| coupling(hz, radio.rate));
                let noise = |hz| (hz, radio.noise_db(hz) + self.wire.gain_db);
                let capture = |hz| (hz, sum_db(noise(hz).1, self.wire.noise_db(hz)));
                Channel {
                    response: radio.linear[c].clone().then(recorder),
                    below_db: 0.0,
                    above_db: 0.0,
                    noise_dbfs: bands_hz().map(noise).collect(),
                    capture_noise_dbfs: bands_hz().map(capture).collect(),
                    gain_db: volume_db + self.wire.gain_db,
                    order,
                    inverts: false,
                }
            })
            .collect()
    }

    /// The rails come after the high-pass: a tone at −1 dBFS arrives with its gain there.
    fn clean(&self) -> Clean {
        let still =
            matches!((&self.radio.early, &self.radio.late), (Dynamics::None, Dynamics::None));
        if !still || self.wire.automatic {
            return Clean::NotAsked;
        }
        let loss = |hz: f64| self.radio.linear[0].db(hz);
        match (self.radio.rails, self.radio.rails.one_percent_dbfs()) {
            (Rails::None, _) => Clean::Never,
            (Rails::Crossover(_), _) => self.clean_of_crossover(),
            (_, None) => Clean::Never,
            (_, Some(rail)) => {
                Clean::At([997.0, 45.0].map(|hz| rail + 1.0 - loss(hz) + self.wire.gain_db))
            }
        }
    }

    /// A dead zone bends quiet tones most: where the quietest step's loud tone has less than 1 %
    /// every step is clean, else no figure of a clip is true.
    fn clean_of_crossover(&self) -> Clean {
        let quietest = self.steps.iter().copied().fold(f64::MAX, f64::min);
        let peak = 10f64.powf((quietest - 1.0) / 20.0);
        if self.radio.rails.distortion(peak) > 0.01 { Clean::Odd } else { Clean::Never }
    }
}

/// Powers add.
fn sum_db(a: f64, b: f64) -> f64 {
    10.0 * (10f64.powf(a / 10.0) + 10f64.powf(b / 10.0)).log10()
}
