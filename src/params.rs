//! Settings ↔ host parameters: every setting of the line is one parameter with
//! the same id, range, words and default.
//!
//! Hosts know values as positions between 0 and 1 in single precision. Numbers
//! that come from a host therefore lie on a grid of hundredths, and each is the
//! single-precision number nearest to its decimal: a preset's values survive
//! the way through a host bit for bit.

mod slot;
mod state;

pub use slot::Slot;
pub use state::{Kept, Loads, SCHEMA, admit};

use crate::settings::{ALL, ActsOn, Hear, Method, Order, Response, Setting, Settings};
use atomic_float::AtomicF32;
use nice_plug::params::enums::EnumParam;
use nice_plug::params::{BoolParam, FloatParam, Params};
use slot::Build;
use std::sync::atomic::AtomicU8;

/// Declares one group of parameters: a field a setting, in the order of the line.
macro_rules! group {
    ($(#[$about:meta])* $name:ident { $($field:ident: $type:ty = $key:tt,)* }) => {
        $(#[$about])*
        #[derive(Params)]
        pub struct $name {
            $(#[doc = concat!("`", $key, "`.")] #[id = $key] pub $field: $type,)*
        }

        impl $name {
            fn new() -> Self {
                Self { $($field: Build::build(setting($key)),)* }
            }

            fn slots(&self) -> impl Iterator<Item = &dyn Slot> {
                [$(&self.$field as &dyn Slot),*].into_iter()
            }
        }
    };
}

group! {
    /// What stands above the line.
    Whole { bypass: BoolParam = "bypass", listen: EnumParam<Hear> = "listen", }
}
group! {
    /// Before everything.
    Input { trim_db: FloatParam = "input.trim_db", }
}
group! {
    /// The untouched part.
    Dry { level_db: FloatParam = "dry.level_db", }
}
group! {
    /// The octave part.
    Octave {
        level_db: FloatParam = "octave.level_db",
        method: EnumParam<Method> = "octave.method",
        response: EnumParam<Response> = "octave.response",
        from_hz: FloatParam = "octave.from_hz",
        to_hz: FloatParam = "octave.to_hz",
        floor_hz: FloatParam = "octave.floor_hz",
        phase_deg: FloatParam = "octave.phase_deg",
    }
}
group! {
    /// The parametric band.
    LowBand {
        gain_db: FloatParam = "low_band.gain_db",
        centre_hz: FloatParam = "low_band.centre_hz",
        width_oct: FloatParam = "low_band.width_oct",
        acts_on: EnumParam<ActsOn> = "low_band.acts_on",
    }
}
group! {
    /// The protective high-pass.
    HighPass { order: EnumParam<Order> = "high_pass.order", hz: FloatParam = "high_pass.hz", }
}
group! {
    /// The end of the line.
    Output {
        gain_db: FloatParam = "output.gain_db",
        ceiling: BoolParam = "output.ceiling",
        ceiling_dbfs: FloatParam = "output.ceiling_dbfs",
    }
}

/// Every host parameter, and what is saved beside them.
#[derive(Params)]
pub struct HostParams {
    /// Bypass and listening post.
    #[nested]
    pub whole: Whole,
    /// Trim.
    #[nested(group = "Input")]
    pub input: Input,
    /// Level of the untouched part.
    #[nested(group = "Dry")]
    pub dry: Dry,
    /// The octave part.
    #[nested(group = "Octave part")]
    pub octave: Octave,
    /// The low band.
    #[nested(group = "Low band")]
    pub low_band: LowBand,
    /// The protective high-pass.
    #[nested(group = "High-pass")]
    pub high_pass: HighPass,
    /// Output gain and ceiling.
    #[nested(group = "Output")]
    pub output: Output,
    /// Schema number, and what a newer version saved that this one does not know.
    #[persist = "kept"]
    pub loads: Loads,
    /// Zoom of the window, 0.75 to 3.
    #[persist = "zoom"]
    pub zoom: AtomicF32,
    /// Colours of the window: 0 day, 1 night, 2 high contrast.
    #[persist = "palette"]
    pub palette: AtomicU8,
}

impl HostParams {
    /// Every parameter at its default.
    pub fn new() -> Self {
        Self {
            whole: Whole::new(),
            input: Input::new(),
            dry: Dry::new(),
            octave: Octave::new(),
            low_band: LowBand::new(),
            high_pass: HighPass::new(),
            output: Output::new(),
            loads: Loads::default(),
            zoom: AtomicF32::new(1.0),
            palette: AtomicU8::new(0),
        }
    }

    /// Every parameter with its setting, in the order of the line.
    pub fn slots(&self) -> impl Iterator<Item = (&'static Setting, &dyn Slot)> {
        let parts = self.whole.slots().chain(self.input.slots()).chain(self.dry.slots());
        let parts = parts.chain(self.octave.slots()).chain(self.low_band.slots());
        ALL.iter().zip(parts.chain(self.high_pass.slots()).chain(self.output.slots()))
    }

    /// What the line is to do now, modulation by the host included. `[audio thread]`
    pub fn heard(&self) -> Settings {
        self.settings(|slot| slot.heard())
    }

    /// What is set, modulation by the host left out. `[main thread]`
    pub fn set(&self) -> Settings {
        self.settings(|slot| slot.set())
    }

    fn settings(&self, value: impl Fn(&dyn Slot) -> f32) -> Settings {
        let mut plain = [0.0; ALL.len()];
        for (plain, (_, slot)) in plain.iter_mut().zip(self.slots()) {
            *plain = value(slot);
        }
        Settings::from_plain(plain)
    }
}

impl Default for HostParams {
    fn default() -> Self {
        Self::new()
    }
}

/// The setting with this key; a test holds that every key above is one.
fn setting(key: &str) -> &'static Setting {
    ALL.iter().find(|setting| setting.key == key).unwrap_or(&ALL[0])
}
