//! Settings for hardware that is bought: as numbers to type in, as coefficients, as a specification,
//! with a list of what to look at on its other side.

use crate::figures::{level, short};
use crate::planning::hardware::{
    Qualities, RATES_HZ, Section, Typed, error_db, in_single_precision, sections, width_oct,
};
use crate::report::sheet::table;
use crate::report::{Figure, Figures, Sheet, Table};
use crate::settings::{Order, Settings};

/// What to look at when it is bought and built in (common practice, no source).
const CHECKLIST: [[&str; 2]; 9] = [
    [
        "does the radio look for its loudspeakers?",
        "some report a fault without a load: resistors of 50 to 100 ohm across its outputs, able to carry their power",
    ],
    [
        "how does the device turn on?",
        "remote wire, by signal, or by the offset of a bridged output; by signal it may sleep in quiet passages",
    ],
    [
        "bridged outputs of the radio",
        "half the supply on both wires: differential inputs only, never ground a wire",
    ],
    [
        "most input voltage",
        "volts r.m.s. at the highest clean volume, with the margin of `underpin gains`",
    ],
    [
        "ground",
        "one point, short; a whine that follows the engine asks for an isolating transformer or differential inputs",
    ],
    ["output voltage", "what the amplifier needs at its gain's lower half"],
    ["latency", "under 10 ms, or the subwoofer comes late; the line here has none"],
    ["memory", "settings survive a battery change; write them down beside the device"],
    [
        "fuse and wire",
        "fuse at the battery, wire for the current; battery negative off before any work",
    ],
];

/// Fills `sheet` with settings for hardware.
pub fn hardware(sheet: &mut Sheet, settings: &Settings) {
    sheet.settings = Some(*settings);
    sheet.finding = finding(settings).into();
    sheet.figures.extend(band(settings));
    sheet.tables.push(typed(settings));
    sheet.tables.extend(coefficients(settings));
    sheet.tables.push(checklist());
    sheet.admit("how a device defines the width of its band: measure it with `underpin identify`");
    sheet.next = "type it in, play the long track through the device and hold it against this: \
                  underpin identify track.wav device.wav"
        .into();
}

fn finding(settings: &Settings) -> String {
    let count = sections(settings, RATES_HZ[1]).len();
    match count {
        0 => "The settings need no equaliser.".into(),
        1 => "The settings need one second-order section.".into(),
        count => format!("The settings need {count} second-order sections."),
    }
}

/// The one band in every definition of its width.
fn band(settings: &Settings) -> Option<Figures> {
    let gain = f64::from(settings.low_band_gain_db);
    if gain == 0.0 {
        return None;
    }
    let q = Qualities::new(gain, settings.low_band_width_oct.into());
    let centre = f64::from(settings.low_band_centre_hz);
    let width = |q: f64| width_oct(q);
    let figures = vec![
        Figure::new("band_gain_db", "gain", gain, "dB").decimals(2),
        Figure::new("band_centre_hz", "centre", centre, "Hz").decimals(2),
        Figure::new("q_half_gain", "Q between the half-gain points", q.half_gain, "").decimals(3),
        Figure::new("width_half_gain_oct", "the same as a width", width(q.half_gain), "oct")
            .decimals(3),
        Figure::new("q_poles", "Q of the poles (of the zeros for a cut)", q.poles, "").decimals(3),
        Figure::new("width_poles_oct", "the same as a width", width(q.poles), "oct").decimals(3),
        Figure::new("q_three_db", "Q between the points 3 dB off the top", q.three_db, "")
            .decimals(3),
        Figure::new("width_three_db_oct", "the same as a width", q.three_db.map(width), "oct")
            .decimals(3),
    ];
    Some(Figures::new("Parametric band", "one filter, three definitions of its width", figures))
}

fn typed(settings: &Settings) -> Table {
    let mut rows = Vec::new();
    if settings.low_band_gain_db != 0.0 {
        let band = Typed::new(settings);
        rows.push(vec![
            "parametric band".into(),
            format!(
                "{} Hz, {} dB, Q {}",
                short(band.centre_hz, 0),
                level(band.gain_db, 1),
                level(band.q, 2)
            ),
            format!("{} dB off by rounding", level(band.error_db, 2)),
        ]);
    }
    if settings.closed_box_on {
        let s = settings;
        let words =
            [s.closed_box_from_hz, s.closed_box_from_q, s.closed_box_to_hz, s.closed_box_to_q]
                .map(|value| short(value.into(), 3));
        let [f0, q0, fp, qp] = words;
        let told = format!("f0 {f0} Hz, Q0 {q0}, fp {fp} Hz, Qp {qp}");
        rows.push(vec![
            "closed box".into(),
            told,
            "as coefficients, or a device that takes these four".into(),
        ]);
    }
    let order = match settings.high_pass_order {
        Order::Off => None,
        Order::Second => Some(12),
        Order::Fourth => Some(24),
    };
    if let Some(slope) = order {
        let told = format!(
            "Butterworth, {slope} dB per octave, -3 dB at {} Hz",
            short(settings.high_pass_hz.into(), 1)
        );
        rows.push(vec!["high-pass".into(), told, "after any synthesis".into()]);
    }
    table(
        "To type in",
        "any parametric equaliser; Q between the half-gain points",
        &["what", "set", "note"],
        rows,
    )
}

/// One table a sample rate.
fn coefficients(settings: &Settings) -> Vec<Table> {
    let one = |rate_hz: f64| {
        let all = sections(settings, rate_hz);
        let number = |c: f64| format!("{c:.15}");
        let row = |s: &Section| {
            let numbers = s.b.into_iter().chain(s.a).map(number);
            std::iter::once(s.stage.to_string()).chain(numbers).collect::<Vec<_>>()
        };
        let [exact, single] =
            [all.clone(), in_single_precision(&all)].map(|s| error_db(&s, settings, rate_hz));
        let note = format!(
            "a0 = 1; change the sign of a1, a2 where a device wants it; kept in 32-bit floats {} dB off, in 64-bit {} dB",
            level(single, 3),
            level(exact, 3)
        );
        let title = format!("Coefficients at {} kHz", short(rate_hz / 1000.0, 1));
        let head = ["stage", "b0", "b1", "b2", "a1", "a2"];
        (!all.is_empty()).then(|| table(&title, &note, &head, all.iter().map(row)))
    };
    RATES_HZ.into_iter().filter_map(one).collect()
}

fn checklist() -> Table {
    let rows = CHECKLIST.map(|row| row.map(String::from).to_vec());
    let note = "what to look at when it is bought and built in; common practice, no source; local codes come first";
    table("Hardware", note, &["what", "look for"], rows)
}
