//! A closed box in words, figures and pictures: as it is, as it is to become, what that costs.

use crate::curve::Curve;
use crate::figures::{difference, frequency, level, short};
use crate::planning::closed_box::{Alignment, Driver, Loudest, loudest};
use crate::planning::nearest_band::{NEAR_DB, NearestBand};
use crate::plot::Cause;
use crate::plot::limits::limits;
use crate::plot::responses::{Drawn, Responses};
use crate::plot::scene::{Rect, Scene};
use crate::report::sheet::table;
use crate::report::{Figure, Figures, Picture, Sentence, Sheet, Table};
use crate::settings::{Order, Settings};
use crate::units::db_to_power;

/// What is told of a closed box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoxTold {
    /// The box as it is.
    pub from: Alignment,
    /// What it is to become; `None` when nothing was asked.
    pub to: Option<Alignment>,
    /// The driver, as far as it is known.
    pub driver: Driver,
    /// Lowest frequency that has to be played, Hz.
    pub down_to_hz: f64,
}

/// Gains above this are asked with care (common practice, no source).
const MUCH_DB: f64 = 15.0;

/// Nominal mid frequencies of the table, Hz (ISO 266).
const THIRDS_HZ: [f64; 12] =
    [12.5, 16.0, 20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0];

/// What the linear model leaves out (common practice, no source).
const BEYOND: [[&str; 2]; 6] = [
    [
        "suspension and motor at large excursion",
        "resonance and quality move; harmonics rise long before the cone hits",
    ],
    ["a hot coil", "its resistance rises by up to half: 1 to 4 dB less, and a higher quality"],
    [
        "data sheets",
        "resonance and quality of one driver lie 10 to 20 % beside the sheet: measure the built box",
    ],
    ["stuffing", "the box acts up to a fifth larger and its quality is lower"],
    ["leaks", "a leaky box has a lower quality and whistles at large excursion"],
    [
        "the cabin",
        "a closed car adds up to 12 dB per octave below some 60 Hz: measure before asking for more",
    ],
];

/// Fills `sheet` with a box.
pub fn closed_box(sheet: &mut Sheet, told: &BoxTold) {
    let band = told.to.map(|to| told.nearest(&to));
    sheet.finding = finding(told, band.as_ref());
    sheet.responses = Some(responses(told, band.as_ref()));
    sheet.pictures.extend(picture(told));
    sheet.figures.push(box_figures(&told.from));
    if let (Some(to), Some(band)) = (&told.to, &band) {
        sheet.figures.extend([equaliser(told, to), one_band(band)]);
    }
    sheet.figures.extend(loudness(told));
    sheet.tables.push(by_frequency(told));
    let beyond = BEYOND.map(|row| row.map(String::from).to_vec());
    let note = "what a real driver does beside the linear model; common practice, no source";
    sheet.tables.push(table("Beyond the model", note, &["what", "does"], beyond));
    sheet.admit("how loud it is in a car: levels here are those in the open, 1 m from the box on the ground");
    sheet.admit("how far this driver is from its data sheet");
    if told.lift_db() > MUCH_DB {
        sheet.cautions.push(format!(
            "more than {MUCH_DB:.0} dB of lift drives any box to its stop: use a high-pass below"
        ));
    }
    sheet.cautions.push(
        "a low tone at full power heats the coil far more than music: a few seconds at most".into(),
    );
    sheet.next = next(told);
}

impl BoxTold {
    fn nearest(&self, to: &Alignment) -> NearestBand {
        let from_hz = self.down_to_hz;
        NearestBand::find(from_hz, 200.0, |hz| self.from.gain_to_db(to, hz))
    }

    /// The settings of the line that do it, with room for the lift and a high-pass below what is played;
    /// `None` when nothing was asked.
    pub fn settings(&self) -> Option<Settings> {
        let to = self.to?;
        let mut settings = Settings {
            octave_level_db: -60.0,
            closed_box_on: true,
            closed_box_from_hz: self.from.hz as f32,
            closed_box_from_q: self.from.q as f32,
            closed_box_to_hz: to.hz as f32,
            closed_box_to_q: to.q as f32,
            high_pass_order: Order::Second,
            // Half an octave below what has to be played (common practice, no source).
            high_pass_hz: (self.down_to_hz * std::f64::consts::FRAC_1_SQRT_2) as f32,
            output_ceiling: true,
            ..Settings::default()
        };
        settings.output_gain_db =
            -self.from.gain_to_db(&to, self.down_to_hz).max(0.0).ceil() as f32;
        Some(Settings::from_plain(settings.to_plain()))
    }

    /// What the box gives with the equaliser, or without when none was asked.
    fn after(&self) -> Alignment {
        self.to.unwrap_or(self.from)
    }

    /// Largest lift in dB.
    fn lift_db(&self) -> f64 {
        self.to.map_or(0.0, |to| self.from.dc_gain_to_db(&to))
    }

    fn loudest(&self) -> Option<Loudest> {
        loudest(&self.driver, &self.from, &self.after(), self.down_to_hz)
    }
}

fn finding(told: &BoxTold, band: Option<&NearestBand>) -> Sentence {
    let from = &told.from;
    let is = Sentence::default()
        .name(Cause::Given, "The box as it is")
        .say(format!(" is 3 dB down at {} Hz", short(from.f3_hz(), 1)));
    let is = match from.peak() {
        Some((hz, db)) if db >= 0.1 => {
            is.say(format!(" and peaks by {} dB at {} Hz.", short(db, 1), short(hz, 0)))
        }
        _ => is.say(" and has no peak."),
    };
    let (Some(to), Some(band)) = (&told.to, band) else { return is };
    let at = told.down_to_hz;
    let gain = from.gain_to_db(to, at);
    let is =
        is.say(" To be 3 dB down at ").name(Cause::Out, format!("{} Hz", short(to.f3_hz(), 1)));
    let is = is.say(format!(
        " it needs {} dB at {} Hz, {} times the power there.",
        difference(gain),
        frequency(at),
        short(db_to_power(gain), 1)
    ));
    let does = if band.is_enough() { "comes within" } else { "misses it by" };
    is.say(" ")
        .name(Cause::LowBand, "One parametric band")
        .say(format!(" {does} {} dB.", level(band.worst_db.abs(), 1)))
}

fn responses(told: &BoxTold, band: Option<&NearestBand>) -> Responses {
    let drawn = |name: &str, cause, db: &dyn Fn(f64) -> f64| Drawn {
        name: name.into(),
        cause,
        curve: Curve::sampled(16.0, 1000.0, 180, db),
    };
    let mut curves = vec![drawn("box as it is", Cause::Given, &|hz| told.from.response_db(hz))];
    if let (Some(to), Some(band)) = (&told.to, band) {
        let with = |hz: f64| told.from.response_db(hz) + band.response_db(hz);
        curves.push(drawn("with one band", Cause::LowBand, &with));
        curves.push(drawn("equalised", Cause::Out, &|hz| to.response_db(hz)));
    }
    Responses { curves, verdicts: Vec::new() }
}

/// What is asked at most, under the limits of excursion and power.
fn picture(told: &BoxTold) -> Option<Picture> {
    let driver = &told.driver;
    let loud = told.loudest()?;
    let drawn = |name: &str, cause, db: &dyn Fn(f64) -> f64| Drawn {
        name: name.into(),
        cause,
        curve: Curve::sampled(12.5, 200.0, 160, db),
    };
    let mut ends = Vec::new();
    if driver.excursion_limit_db(20.0).is_some() {
        let at = |hz| driver.excursion_limit_db(hz).unwrap_or_default();
        ends.push(drawn("excursion ends here", Cause::Fault, &at));
    }
    if driver.power_limit_db(&told.from, 20.0).is_some() {
        let at = |hz| driver.power_limit_db(&told.from, hz).unwrap_or_default();
        ends.push(drawn("power ends here", Cause::Target, &at));
    }
    let mut asked = vec![drawn("as loud as it goes", Cause::Out, &|hz| {
        loud.level_db + told.after().response_db(hz)
    })];
    if told.to.is_some()
        && let Some(plain) = loudest(driver, &told.from, &told.from, told.down_to_hz)
    {
        let db = |hz| plain.level_db + told.from.response_db(hz);
        asked.push(drawn("without equaliser", Cause::Given, &db));
    }
    let draw = |width: f64| {
        let mut scene = Scene::new(width, 254.0, "Highest levels of the box and what ends them");
        limits(&mut scene, Rect::new(34.0, 4.0, width - 34.0, 226.0), &asked, &ends).map(|_| scene)
    };
    Some(Picture {
        title: "As loud as it goes".into(),
        note: format!("sines down to {} Hz", frequency(told.down_to_hz)),
        unit: "dB SPL, 1 m, half space".into(),
        wide: draw(Picture::WIDE)?,
        narrow: draw(Picture::NARROW)?,
    })
}

fn box_figures(from: &Alignment) -> Figures {
    let peak = from.peak();
    let mut figures = vec![
        Figure::new("fc_hz", "resonance in the box, fc", from.hz, "Hz"),
        Figure::new("qtc", "quality in the box, Qtc", from.q, "").decimals(3),
        Figure::new("f3_hz", "3 dB down at, f3", from.f3_hz(), "Hz"),
    ];
    if let Some((hz, db)) = peak {
        figures.push(Figure::new("peak_db", "peak", db, "dB").decimals(2));
        figures.push(Figure::new("peak_hz", "peak at", hz, "Hz"));
    }
    Figures::new("Box as it is", "closed; Small 1972", figures)
}

fn equaliser(told: &BoxTold, to: &Alignment) -> Figures {
    let gain = told.from.gain_to_db(to, told.down_to_hz);
    let figures = vec![
        Figure::new("to_hz", "resonance it is to have, fp", to.hz, "Hz"),
        Figure::new("to_q", "quality it is to have, Qp", to.q, "").decimals(3),
        Figure::new("to_f3_hz", "3 dB down at", to.f3_hz(), "Hz"),
        Figure::new("dc_gain_db", "gain far below, 40 log10(f0/fp)", told.lift_db(), "dB")
            .decimals(2),
        Figure::new("gain_at_lowest_db", "gain at the lowest frequency played", gain, "dB")
            .decimals(2),
        Figure::new("power_factor", "power there", db_to_power(gain), "times").decimals(2),
        Figure::new("excursion_factor", "excursion there", db_to_power(gain).sqrt(), "times")
            .decimals(2),
    ];
    let note = format!("lowest frequency played: {} Hz", frequency(told.down_to_hz));
    Figures::new("Equalised", &note, figures)
}

fn one_band(band: &NearestBand) -> Figures {
    let verdict = if band.is_enough() { "is enough" } else { "is not enough" };
    let figures = vec![
        Figure::new("band_gain_db", "gain", band.gain_db, "dB").decimals(2),
        Figure::new("band_centre_hz", "centre", band.centre_hz, "Hz"),
        Figure::new("band_width_oct", "width between half-gain points", band.width_oct, "oct")
            .decimals(2),
        Figure::new("band_error_db", "largest error up to 200 Hz", band.worst_db, "dB").decimals(2),
        Figure::new("band_error_hz", "largest error at", band.worst_hz, "Hz"),
    ];
    let note = format!("{verdict}: {NEAR_DB:.0} dB is the limit (common practice, no source)");
    Figures::new("Nearest one parametric band", &note, figures)
}

fn loudness(told: &BoxTold) -> Option<Figures> {
    let loud = told.loudest()?;
    let ends = if loud.by_excursion { "excursion" } else { "power" };
    let mut figures = vec![
        Figure::new("loudest_db_spl", "highest level of the flat part", loud.level_db, "dB SPL"),
        Figure::new("loudest_ends_hz", &format!("ended by the {ends} at"), loud.hz, "Hz"),
    ];
    if let Some(db) = told.driver.one_watt_db() {
        figures.push(Figure::new("one_watt_db_spl", "1 W into the nominal load", db, "dB SPL"));
    }
    if told.to.is_some()
        && let Some(plain) = loudest(&told.driver, &told.from, &told.from, told.down_to_hz)
    {
        let less = plain.level_db - loud.level_db;
        figures.push(Figure::new(
            "loudness_lost_db",
            "less than without the equaliser",
            less,
            "dB",
        ));
    }
    Some(Figures::new("As loud as it goes", "a sine, 1 m, half space", figures))
}

/// One row a third octave; columns that need a value nobody gave are left out.
fn by_frequency(told: &BoxTold) -> Table {
    let (driver, after) = (&told.driver, told.after());
    let loud = told.loudest().map(|loud| loud.level_db);
    let shown = |value: Option<f64>, digits| value.map_or(String::new(), |v| level(v, digits));
    let rows = THIRDS_HZ.map(|hz| {
        let gain = told.to.map(|to| told.from.gain_to_db(&to, hz));
        let asked = loud.map(|db| db + after.response_db(hz));
        let excursion = asked.and_then(|db| driver.excursion_mm(db, hz));
        let power = asked.and_then(|db| driver.power_w(&told.from, db, hz));
        vec![
            frequency(hz),
            difference(told.from.response_db(hz)),
            gain.map_or(String::new(), difference),
            gain.map_or(String::new(), |_| difference(after.response_db(hz))),
            shown(gain.map(db_to_power), 2),
            shown(asked, 1),
            shown(excursion, 1),
            shown(power, 0),
            shown(driver.excursion_limit_db(hz), 1),
            shown(driver.power_limit_db(&told.from, hz), 1),
        ]
    });
    let head = [
        "Hz",
        "box dB",
        "gain dB",
        "then dB",
        "power x",
        "asked dB SPL",
        "mm peak",
        "W",
        "by Xmax dB SPL",
        "by power dB SPL",
    ];
    table("By frequency", "asked: at the highest level of the flat part", &head, rows)
}

fn next(told: &BoxTold) -> String {
    match (told.to.is_some(), told.loudest().is_some()) {
        (false, _) => "say what it is to become with --to-hz and --to-q, to see what that costs".into(),
        (true, false) => "add --sd, --xmax, --power, --qes and the driver's --fs and --vas, to see how loud it goes before it ends".into(),
        (true, true) => "write the settings with --preset box.toml, then underpin prove --preset box.toml".into(),
    }
}
