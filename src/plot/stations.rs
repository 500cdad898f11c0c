//! The stations of the line: each stage with its settings as words.

use crate::analysis::level::Level;
use crate::figures::{difference, level, short};
use crate::plot::Ink;
use crate::settings::{ActsOn, Hear, Method, Order, Response, Settings};
use crate::units::SILENCE_DB;

/// One stage on the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// What it is called.
    pub name: &'static str,
    /// Its main setting.
    pub value: String,
    /// Its further settings, a few words each.
    pub notes: Vec<String>,
    /// The colour of its cause.
    pub ink: Ink,
    /// False when it changes nothing.
    pub is_on: bool,
}

/// One end of the line: what was measured there.
#[derive(Clone, Debug, PartialEq)]
pub struct End {
    /// What it is called.
    pub name: &'static str,
    /// The level, without its unit.
    pub value: String,
    /// Unit and further figures.
    pub notes: Vec<String>,
}

impl Station {
    fn new(name: &'static str, ink: Ink, is_on: bool, value: String, notes: Vec<String>) -> Self {
        Self { name, value, notes, ink, is_on }
    }

    /// Gain before everything.
    pub fn trim(settings: &Settings) -> Self {
        let value = difference(settings.input_trim_db.into());
        Self::new("trim", Ink::Text, settings.input_trim_db != 0.0, value, vec![])
    }

    /// The untouched part.
    pub fn dry(settings: &Settings) -> Self {
        let (value, is_on) = or_off(settings.dry_level_db);
        Self::new("dry", Ink::Text, is_on, value, vec![])
    }

    /// The octave part.
    pub fn octave(settings: &Settings) -> Self {
        let (value, is_on) = or_off(settings.octave_level_db);
        let method = match settings.octave_method {
            Method::Tracked => "tracked",
            Method::Halved => "halved",
            Method::Divided => "divided",
        };
        let response = match settings.octave_response {
            Response::Clean => "clean",
            Response::Fast => "fast",
        };
        let (from, to) = (settings.octave_from_hz, settings.octave_to_hz);
        let mut notes =
            vec![format!("{}\u{2013}{} Hz", short(from.into(), 1), short(to.into(), 1))];
        if settings.octave_floor_hz > 0.0 {
            notes.push(format!("floor {}", short(settings.octave_floor_hz.into(), 1)));
        }
        notes.extend([method.to_string(), response.to_string()]);
        if settings.octave_phase_deg != 0.0 {
            notes.push(format!("{}\u{b0}", short(settings.octave_phase_deg.into(), 1)));
        }
        Self::new("octave part", Ink::Octave, is_on, value, notes)
    }

    /// The low band.
    pub fn low_band(settings: &Settings) -> Self {
        let on = match settings.low_band_acts_on {
            ActsOn::Blend => "on blend",
            ActsOn::Octave => "on octave part",
        };
        let notes = vec![
            format!("{} Hz {on}", short(settings.low_band_centre_hz.into(), 1)),
            format!("{} oct wide", short(settings.low_band_width_oct.into(), 2)),
        ];
        let gain = settings.low_band_gain_db;
        let value = format!("{} dB", difference(gain.into()));
        Self::new("low band", Ink::Low, gain != 0.0, value, notes)
    }

    /// The closed box: what it is and what it is to become.
    pub fn closed_box(settings: &Settings) -> Self {
        let corner =
            |hz: f32, q: f32| format!("{} Hz, Q {}", short(hz.into(), 1), short(q.into(), 2));
        let s = settings;
        let value = match s.closed_box_on {
            true => format!(
                "{} to {}",
                corner(s.closed_box_from_hz, s.closed_box_from_q),
                corner(s.closed_box_to_hz, s.closed_box_to_q)
            ),
            false => "off".into(),
        };
        Self::new("closed box", Ink::Low, s.closed_box_on, value, vec![])
    }

    /// The protective high-pass.
    pub fn high_pass(settings: &Settings) -> Self {
        let order = match settings.high_pass_order {
            Order::Off => return Self::new("high-pass", Ink::Text, false, "off".into(), vec![]),
            Order::Second => "2nd order",
            Order::Fourth => "4th order",
        };
        let value = format!("{} Hz", short(settings.high_pass_hz.into(), 1));
        Self::new("high-pass", Ink::Text, true, value, vec![order.into()])
    }

    /// Gain and ceiling at the output.
    pub fn output(settings: &Settings) -> Self {
        let ceiling = match settings.output_ceiling {
            true => format!("ceiling {} dBFS", short(settings.output_ceiling_dbfs.into(), 1)),
            false => "ceiling off".into(),
        };
        let gain = settings.output_gain_db;
        let value = format!("{} dB", difference(gain.into()));
        Self::new("output", Ink::Text, gain != 0.0, value, vec![ceiling])
    }
}

/// `−6.0 dB`, or `off` at the lower end of a level, with whether it is on.
fn or_off(level_db: f32) -> (String, bool) {
    let is_on = level_db > -60.0;
    (if is_on { format!("{} dB", difference(level_db.into())) } else { "off".into() }, is_on)
}

impl End {
    /// Where the signal arrives.
    pub fn given(measured: Option<&Level>) -> Self {
        let peak = |m: &Level| format!("peak {}", level(m.peak_dbfs, 1));
        Self::of("radio gives", measured, peak)
    }

    /// Where it comes out, with the room that is left below full scale.
    pub fn out(measured: Option<&Level>) -> Self {
        let room = |m: &Level| match -m.true_peak_dbtp {
            room if !room.is_finite() => "\u{2013}".into(),
            room if room >= 0.0 => format!("{} dB left", level(room, 1)),
            room => format!("{} dB over", level(-room, 1)),
        };
        Self::of("comes out", measured, room)
    }

    fn of(name: &'static str, measured: Option<&Level>, note: impl Fn(&Level) -> String) -> Self {
        let Some(measured) = measured else {
            return Self { name, value: String::new(), notes: Vec::new() };
        };
        if measured.peak_dbfs <= SILENCE_DB {
            return Self { name, value: "silent".into(), notes: Vec::new() };
        }
        let value = level(measured.rms_dbfs, 1);
        let notes = vec!["dBFS r.m.s.".into(), note(measured)];
        Self { name, value, notes }
    }
}

/// What is said about the line as a whole: bypass, or another post that is heard.
pub fn remark(settings: &Settings) -> Option<&'static str> {
    match (settings.bypass, settings.listen) {
        (true, _) => Some("bypass: what comes out is what the radio gives"),
        (_, Hear::Blend) => None,
        (_, Hear::Octave) => Some("heard: the octave part alone"),
        (_, Hear::Dry) => Some("heard: the dry part alone"),
        (_, Hear::Difference) => Some("heard: the difference"),
    }
}
