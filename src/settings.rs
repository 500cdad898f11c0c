//! Every setting of the signal path, declared once.
//!
//! Key, name, unit, range and default stand in the one table below. Host
//! parameters, preset files, `--set` and the reports are all built from it.
//! [`Settings`] itself is a plain value: whoever has one can hand it on.

mod text;
mod value;

pub use text::read_number;
pub use value::{Choice, Kind, Plain, Setting, Unit};

use Unit::{Db, Dbfs, Degrees, Hz, Octaves, Quality};
use value::{choice, declare, number, off_below, on_off, one_of, stepped};

choice! {
    /// What is heard at the output.
    Hear {
        /// Dry and octave part together, through every stage.
        Blend = "blend",
        /// The octave part alone.
        Octave = "octave",
        /// The dry part alone.
        Dry = "dry",
        /// What comes out minus what came in.
        Difference = "difference",
    }
}

choice! {
    /// How the octave part is made.
    Method {
        /// Component-wise phase halving.
        Tracked = "tracked",
        /// Whole-band phase halving.
        Halved = "halved",
        /// A classic frequency divider, for comparison and teaching.
        Divided = "divided",
    }
}

choice! {
    /// Purity against quickness of the octave part.
    Response {
        /// Purest lines.
        Clean = "clean",
        /// Earliest onset.
        Fast = "fast",
    }
}

choice! {
    /// What the low band filters.
    ActsOn {
        /// Dry and octave part together.
        Blend = "blend",
        /// The octave part only; the dry part stays untouched.
        Octave = "octave",
    }
}

choice! {
    /// Order of the protective high-pass.
    Order {
        /// No high-pass.
        Off = "off",
        /// 12 dB per octave, Butterworth.
        Second = "2",
        /// 24 dB per octave, Butterworth.
        Fourth = "4",
    }
}

/// Hands the one table of settings to another macro: groups in the order of the line, in each a
/// setting a line: field, type, key, name, kind, what it does.
macro_rules! every_setting {
    ($to:ident) => {
        $to! {
    whole {
        bypass: bool = "bypass", "Bypass", on_off(),
            "output = input, bit for bit";
        listen: Hear = "listen", "Listen", one_of(Hear::WORDS, Hear::Blend as usize),
            "what is heard";
    }
    input = "Input" {
        input_trim_db: f32 = "input.trim_db", "Input trim", number(Db, -24.0, 24.0, 0.0),
            "gain before everything";
    }
    dry = "Dry" {
        dry_level_db: f32 = "dry.level_db", "Dry level", off_below(Db, OFF_DB, OFF_DB, 12.0, 0.0),
            "level of the untouched part";
    }
    octave = "Octave part" {
        octave_level_db: f32 = "octave.level_db", "Octave level", off_below(Db, OFF_DB, OFF_DB, 12.0, -6.0),
            "level of the octave part, relative to its source";
        octave_method: Method = "octave.method", "Octave method", one_of(Method::WORDS, Method::Tracked as usize),
            "component-wise phase halving, whole-band phase halving, or a classic divider";
        octave_response: Response = "octave.response", "Octave response", one_of(Response::WORDS, Response::Clean as usize),
            "purity against onset";
        octave_from_hz: f32 = "octave.from_hz", "Source from", stepped(Hz, 25.0, 100.0, 30.0),
            "lower edge of the source band";
        octave_to_hz: f32 = "octave.to_hz", "Source to", stepped(Hz, 60.0, 200.0, 160.0),
            "upper edge of the source band";
        octave_floor_hz: f32 = "octave.floor_hz", "Octave floor", off_below(Hz, 0.0, 10.0, 50.0, 18.0),
            "no octave note below this frequency";
        octave_phase_deg: f32 = "octave.phase_deg", "Octave phase", number(Degrees, -180.0, 180.0, 0.0),
            "phase of the octave part";
    }
    low_band = "Low band" {
        low_band_gain_db: f32 = "low_band.gain_db", "Band gain", number(Db, -18.0, 18.0, 0.0),
            "gain of the parametric band";
        low_band_centre_hz: f32 = "low_band.centre_hz", "Band centre", stepped(Hz, 16.0, 160.0, 45.0),
            "centre of the parametric band";
        low_band_width_oct: f32 = "low_band.width_oct", "Band width", stepped(Octaves, 0.2, 4.0, 1.0),
            "bandwidth between the half-gain points";
        low_band_acts_on: ActsOn = "low_band.acts_on", "Band acts on", one_of(ActsOn::WORDS, ActsOn::Blend as usize),
            "what the parametric band filters";
    }
    closed_box = "Closed box" {
        closed_box_on: bool = "closed_box.on", "Closed box", on_off(),
            "low-end equalisation of a sealed box, after the low band";
        closed_box_from_hz: f32 = "closed_box.from_hz", "Box from", stepped(Hz, 15.0, 120.0, 40.0),
            "resonance of the box as it is";
        closed_box_from_q: f32 = "closed_box.from_q", "Box Q from", stepped(Quality, 0.3, 2.0, 0.9),
            "quality of the box as it is";
        closed_box_to_hz: f32 = "closed_box.to_hz", "Box to", stepped(Hz, 10.0, 80.0, 25.0),
            "resonance that it is to become";
        closed_box_to_q: f32 = "closed_box.to_q", "Box Q to", stepped(Quality, 0.3, 1.2, 0.71),
            "quality that it is to become";
    }
    high_pass = "High-pass" {
        high_pass_order: Order = "high_pass.order", "High-pass", one_of(Order::WORDS, Order::Off as usize),
            "order of the protective high-pass, after the blend";
        high_pass_hz: f32 = "high_pass.hz", "HP corner", stepped(Hz, 8.0, 60.0, 20.0),
            "-3 dB frequency of the protective high-pass";
    }
    output = "Output" {
        output_gain_db: f32 = "output.gain_db", "Output gain", number(Db, -24.0, 24.0, 0.0),
            "gain at the output, separate from the effect levels";
        output_ceiling: bool = "output.ceiling", "Ceiling", on_off(),
            "safety limiter";
        output_ceiling_dbfs: f32 = "output.ceiling_dbfs", "Peak ceiling", number(Dbfs, -12.0, 0.0, -1.0),
            "true-peak ceiling of the safety limiter";
    }
        }
    };
}
#[cfg(feature = "plugin")]
pub(crate) use every_setting;

every_setting!(declare);

impl Id {
    /// Its place in [`ALL`] and in plain values.
    pub const fn index(self) -> usize {
        self as usize
    }

    /// Its key, name, range and default.
    pub const fn setting(self) -> &'static Setting {
        &ALL[self as usize]
    }
}

/// At this level or below a part is off, in dB: the `off` of the levels above.
pub const OFF_DB: f32 = -60.0;

impl Settings {
    /// Whether the octave part is off by its level.
    pub fn octave_is_off(&self) -> bool {
        self.octave_level_db <= OFF_DB
    }

    /// Whether the dry part is off by its level.
    pub fn dry_is_off(&self) -> bool {
        self.dry_level_db <= OFF_DB
    }
}
