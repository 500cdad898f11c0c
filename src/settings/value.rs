//! The kinds a setting can be of, and the macros that declare them.
//!
//! Every value has a plain form, one `f32`: the number itself, 0 or 1 for a
//! switch, the index for a choice. Hosts, files and tests speak plain values.

use super::Id;

/// The unit of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// A gain in decibels.
    Db,
    /// A level in decibels re digital full scale.
    Dbfs,
    /// A frequency in hertz.
    Hz,
    /// A width in octaves.
    Octaves,
    /// A phase in degrees.
    Degrees,
    /// A quality, which has no unit.
    Quality,
}

impl Unit {
    /// The unit as written after a number.
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::Db => "dB",
            Unit::Dbfs => "dBFS",
            Unit::Hz => "Hz",
            Unit::Octaves => "oct",
            Unit::Degrees => "°",
            Unit::Quality => "",
        }
    }
}

/// What values a setting takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// Off or on; off by default.
    Switch,
    /// One of a list of words; the plain value is the index.
    Choice {
        /// The words, in the order of their plain values.
        words: &'static [&'static str],
        /// Index of the default.
        default: usize,
    },
    /// A number.
    Number {
        /// Its unit.
        unit: Unit,
        /// Smallest value (when there is an `off`, smallest value that is on).
        min: f32,
        /// Largest value.
        max: f32,
        /// Default value.
        default: f32,
        /// The value that means "off", if there is one; it lies at or below `min`.
        off: Option<f32>,
        /// True when equal ratios, not equal differences, are equal steps to a hand.
        ratio: bool,
    },
}

/// One setting: its key, its words and its kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Which one it is.
    pub id: Id,
    /// The key in preset files, `--set` and host parameters, e.g. `low_band.gain_db`.
    pub key: &'static str,
    /// A short name for a screen.
    pub name: &'static str,
    /// One phrase on what it does.
    pub about: &'static str,
    /// What values it takes.
    pub kind: Kind,
}

impl Setting {
    /// The default, as a plain value.
    pub const fn default(&self) -> f32 {
        match self.kind {
            Kind::Switch => 0.0,
            Kind::Choice { default, .. } => default as f32,
            Kind::Number { default, .. } => default,
        }
    }

    /// The nearest value the setting can take; NaN gives the default.
    pub fn clamp(&self, plain: f32) -> f32 {
        if plain.is_nan() {
            return self.default();
        }
        match self.kind {
            Kind::Switch => f32::from(plain >= 0.5),
            Kind::Choice { words, .. } => plain.round().clamp(0.0, (words.len() - 1) as f32),
            Kind::Number { min, max, off, .. } => match off {
                Some(off) if plain < min => off,
                _ => plain.clamp(min, max),
            },
        }
    }

    /// The group of the key, e.g. `low_band` of `low_band.gain_db`; empty for a key without one.
    pub fn group(&self) -> &'static str {
        self.key.split_once('.').map_or("", |(group, _)| group)
    }
}

/// A value with a plain form.
pub trait Plain: Copy {
    /// The value as one number.
    fn to_plain(self) -> f32;
    /// The value a number stands for; a number in range is assumed.
    fn from_plain(plain: f32) -> Self;
}

impl Plain for f32 {
    fn to_plain(self) -> f32 {
        self
    }
    fn from_plain(plain: f32) -> Self {
        plain
    }
}

impl Plain for bool {
    fn to_plain(self) -> f32 {
        f32::from(self)
    }
    fn from_plain(plain: f32) -> Self {
        plain >= 0.5
    }
}

/// A value that is one of a list of words.
pub trait Choice: Plain + PartialEq + 'static {
    /// Every variant, in the order of their plain values.
    const ALL: &'static [Self];
    /// The variants' words, in the same order.
    const WORDS: &'static [&'static str];
    /// This variant's word.
    fn word(self) -> &'static str {
        Self::WORDS[self.to_plain() as usize]
    }
}

/// A switch, off by default.
pub(super) const fn on_off() -> Kind {
    Kind::Switch
}

/// A choice with the index of its default.
pub(super) const fn one_of(words: &'static [&'static str], default: usize) -> Kind {
    Kind::Choice { words, default }
}

/// A number whose equal differences are equal steps.
pub(super) const fn number(unit: Unit, min: f32, max: f32, default: f32) -> Kind {
    Kind::Number { unit, min, max, default, off: None, ratio: false }
}

/// A number whose equal ratios are equal steps.
pub(super) const fn stepped(unit: Unit, min: f32, max: f32, default: f32) -> Kind {
    Kind::Number { unit, min, max, default, off: None, ratio: true }
}

/// A number that is off at `off` and below `min`.
pub(super) const fn off_below(unit: Unit, off: f32, min: f32, max: f32, default: f32) -> Kind {
    Kind::Number { unit, min, max, default, off: Some(off), ratio: false }
}

macro_rules! choice {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $word:literal,)* }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $name { $($(#[$doc])* $variant,)* }

        impl Plain for $name {
            fn to_plain(self) -> f32 {
                self as usize as f32
            }
            fn from_plain(plain: f32) -> Self {
                Self::ALL[(plain as usize).min(Self::ALL.len() - 1)]
            }
        }

        impl Choice for $name {
            const ALL: &'static [Self] = &[$(Self::$variant),*];
            const WORDS: &'static [&'static str] = &[$($word),*];
        }
    };
}

macro_rules! declare {
    ($($group:ident $(= $title:literal)? {
        $($field:ident: $type:ty = $key:literal, $name:literal, $kind:expr, $about:literal;)*
    })*) => {
        /// One value for every setting.
        ///
        /// ```
        /// use underpin::settings::{Id, Settings};
        ///
        /// let settings = Settings::default().with("low_band.centre_hz", "38 Hz")?;
        /// assert_eq!(settings.low_band_centre_hz, 38.0);
        /// assert_eq!(settings.changed().next(), Some((Id::low_band_centre_hz.setting(), 38.0)));
        /// assert!(settings.with("low_band.centre_hz", "loud").is_err());
        /// # Ok::<(), String>(())
        /// ```
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct Settings {
            $($(#[doc = concat!("`", $key, "`: ", $about, ".")] pub $field: $type,)*)*
        }

        /// Which setting: its place in the order of the line, spelled like its field.
        #[allow(non_camel_case_types, reason = "each is spelled like the field it stands for")]
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Id {
            $($(#[doc = concat!("`", $key, "`.")] $field,)*)*
        }

        /// Every setting, in the order of the line.
        pub const ALL: &[Setting] = &[
            $($(Setting { id: Id::$field, key: $key, name: $name, about: $about, kind: $kind },)*)*
        ];

        impl Settings {
            /// Every value in its plain form, in the order of [`ALL`].
            pub fn to_plain(&self) -> [f32; ALL.len()] {
                [$($(self.$field.to_plain(),)*)*]
            }

            /// Settings from plain values in the order of [`ALL`], each clamped to its range.
            pub fn from_plain(plain: [f32; ALL.len()]) -> Self {
                let mut of = ALL.iter().zip(plain).map(|(setting, plain)| setting.clamp(plain));
                Self { $($($field: <$type>::from_plain(of.next().unwrap_or_default()),)*)* }
            }
        }
    };
}

pub(super) use {choice, declare};
