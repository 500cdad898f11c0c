//! One parameter seen through its setting: built from it, read as its plain
//! value, moved by a hand.

use crate::settings::{ActsOn, Choice, Hear, Id, Kind, Method, Order, Plain, Response, Setting};
use nice_plug::context::gui::ParamSetter;
use nice_plug::params::enums::{Enum, EnumParam};
use nice_plug::params::range::FloatRange;
use nice_plug::params::{BoolParam, FloatParam, Param};
use std::sync::Arc;

/// Grid of the numbers that hosts send, in the unit of the setting.
const STEP: f32 = 0.01;

/// A parameter as its setting's plain value.
pub trait Slot: Send + Sync {
    /// The value the line follows, modulation by the host included. `[audio thread]`
    fn heard(&self) -> f32;
    /// The value that is set. `[main thread]`
    fn set(&self) -> f32;
    /// Says that a hand takes the parameter. `[main thread]`
    fn take(&self, setter: &ParamSetter);
    /// Moves the parameter to a plain value, between take and leave. `[main thread]`
    fn put(&self, setter: &ParamSetter, plain: f32);
    /// Says that the hand leaves it. `[main thread]`
    fn leave(&self, setter: &ParamSetter);
}

/// A value that hosts know as a parameter of a kind.
pub trait Hosted {
    /// The kind.
    type Parameter: Slot;
}

impl Hosted for f32 {
    type Parameter = FloatParam;
}

impl Hosted for bool {
    type Parameter = BoolParam;
}

/// A parameter that is built from its setting.
pub(super) trait Build {
    fn build(setting: &'static Setting) -> Self;
}

macro_rules! hand {
    ($convert:expr) => {
        fn take(&self, setter: &ParamSetter) {
            setter.begin_set_parameter(self);
        }
        fn put(&self, setter: &ParamSetter, plain: f32) {
            setter.set_parameter(self, $convert(plain));
        }
        fn leave(&self, setter: &ParamSetter) {
            setter.end_set_parameter(self);
        }
    };
}

impl Slot for FloatParam {
    fn heard(&self) -> f32 {
        decimal(self.modulated_plain_value())
    }
    fn set(&self) -> f32 {
        decimal(self.unmodulated_plain_value())
    }
    hand!(|plain| plain);
}

impl Slot for BoolParam {
    fn heard(&self) -> f32 {
        self.modulated_plain_value().to_plain()
    }
    fn set(&self) -> f32 {
        self.unmodulated_plain_value().to_plain()
    }
    hand!(bool::from_plain);
}

impl<T: Choice + Enum + Send + Sync> Slot for EnumParam<T> {
    fn heard(&self) -> f32 {
        self.modulated_plain_value().to_plain()
    }
    fn set(&self) -> f32 {
        self.unmodulated_plain_value().to_plain()
    }
    hand!(T::from_plain);
}

impl Build for FloatParam {
    fn build(setting: &'static Setting) -> Self {
        FloatParam::new(setting.name, setting.default(), range(setting))
            .with_step_size(STEP)
            .with_value_to_string(Arc::new(|plain| setting.show(setting.clamp(decimal(plain)))))
            .with_string_to_value(Arc::new(|text| setting.typed(text)))
    }
}

impl Build for BoolParam {
    fn build(setting: &'static Setting) -> Self {
        let param = BoolParam::new(setting.name, bool::from_plain(setting.default()))
            .with_value_to_string(Arc::new(|on: bool| setting.show(on.to_plain())))
            .with_string_to_value(Arc::new(|text| setting.parse(text).ok().map(bool::from_plain)));
        if setting.id == Id::bypass { param.make_bypass() } else { param }
    }
}

impl<T: Choice + Enum> Build for EnumParam<T> {
    fn build(setting: &'static Setting) -> Self {
        EnumParam::new(setting.name, T::from_plain(setting.default()))
    }
}

/// The range of a number: in equal steps for a hand, whether differences or ratios.
fn range(setting: &Setting) -> FloatRange {
    let Kind::Number { min, max, off, ratio, .. } = setting.kind else {
        return FloatRange::Linear { min: 0.0, max: 1.0 };
    };
    let min = off.unwrap_or(min).min(min);
    if !ratio {
        return FloatRange::Linear { min, max };
    }
    // The geometric mean in the middle of the way.
    let middle = ((min * max).sqrt() - min) / (max - min);
    FloatRange::Skewed { min, max, factor: 0.5f32.ln() / middle.ln() }
}

/// The single-precision number nearest to the decimal in hundredths, for a
/// value that is such a decimal but for the rounding of the host's way.
fn decimal(plain: f32) -> f32 {
    // Adding zero makes of minus zero the zero that is written without a sign.
    let hundredths = ((f64::from(plain) * 100.0).round() / 100.0) as f32 + 0.0;
    let same = (plain - hundredths).abs() <= 4.0 * f32::EPSILON * plain.abs();
    if same { hundredths } else { plain }
}

macro_rules! known_to_hosts {
    ($($choice:ty: $shown:expr),*) => {$(
        impl Hosted for $choice {
            type Parameter = EnumParam<Self>;
        }

        impl Enum for $choice {
            fn variants() -> &'static [&'static str] {
                $shown
            }
            fn ids() -> Option<&'static [&'static str]> {
                Some(Self::WORDS)
            }
            fn to_index(self) -> usize {
                self.to_plain() as usize
            }
            fn from_index(index: usize) -> Self {
                Self::from_plain(index as f32)
            }
        }
    )*};
}

known_to_hosts!(
    ActsOn: Self::WORDS,
    Hear: Self::WORDS,
    Method: Self::WORDS,
    // A host shows the value alone: "4" would be the fourth of what?
    Order: &["off", "12 dB/oct", "24 dB/oct"],
    Response: Self::WORDS
);
