//! The methods beside each other, the octave part alone: what each makes of one tone and of two.
//!
//! One tone shows how clean a half is; two show whether a method halves each of them or the wave
//! they make together.

use crate::measure::{Ask, Readings, Side};
use crate::prove::{RATE_HZ, SEED, measured};
use crate::report::Table;
use crate::settings::{Choice, Hear, Method, Order, Response, Settings};
use crate::signal::{Kind, Source, Tone};
use crate::units::{db_to_power, power_to_db};

/// Where in the source band, in octaves from edge to edge, the one tone and the two lie.
const ONE: f64 = 1.0 / 2.0;
const TWO: [f64; 2] = [1.0 / 3.0, 2.0 / 3.0];

/// Level of each tone, dBFS.
const LEVEL_DBFS: f64 = -15.0;

/// Time to settle and time measured, in seconds.
const SETTLE_S: f64 = 3.0;
const MEASURED_S: f64 = 2.0;

/// What is looked at, in Hz: all that an octave part of the low end could leave.
const ALL_HZ: (f64, f64) = (4.0, 400.0);

/// Half the width of a line under the Hann window of two seconds, in Hz.
const LINE_HZ: f64 = 1.25;

/// Fainter than this re the half is not told: the rounding of 20 bits (common practice), in dB.
const FAINT_DB: f64 = -120.0;

/// Every method, the component-wise one in both its responses.
const ALL: [(Method, Response); 4] = [
    (Method::Tracked, Response::Clean),
    (Method::Tracked, Response::Fast),
    (Method::Halved, Response::Clean),
    (Method::Divided, Response::Clean),
];

/// A level below this is silence, dB.
const SILENCE_DB: f64 = -200.0;

/// A table of all methods, and one of the lines of the octave part with these settings.
///
/// # Errors
/// One sentence when a tone cannot be made.
pub(super) fn tables(settings: &Settings) -> Result<Vec<Table>, String> {
    let alone = alone(settings);
    let two = TWO.map(|share| inside(settings, share));
    let rows = ALL.iter().map(|(method, response)| {
        row(&Settings { octave_method: *method, octave_response: *response, ..alone })
    });
    let head =
        ["method", "half re the tone, dB", "all else re the half, dB", "two tones: all else, dB"];
    let methods = Table {
        title: "Methods beside each other".into(),
        note: format!(
            "the octave part alone of {} Hz, then of {} and {} Hz, each tone {LEVEL_DBFS} dBFS; all from {} to {} Hz",
            inside(settings, ONE),
            two[0],
            two[1],
            ALL_HZ.0,
            ALL_HZ.1
        ),
        head: head.map(String::from).to_vec(),
        rows: rows.collect::<Result<_, _>>()?,
    };
    Ok(vec![methods, lines(&alone)?])
}

/// The same settings with nothing but the octave part heard, at the level of its source, and no
/// filter behind it.
fn alone(settings: &Settings) -> Settings {
    Settings {
        bypass: false,
        listen: Hear::Octave,
        input_trim_db: 0.0,
        octave_level_db: 0.0,
        low_band_gain_db: 0.0,
        closed_box_on: false,
        high_pass_order: Order::Off,
        output_gain_db: 0.0,
        output_ceiling: false,
        ..*settings
    }
}

/// A frequency so far inside the source band, in Hz: even, so that its half lies on a bin.
fn inside(settings: &Settings, share: f64) -> f64 {
    let [from, to] = [settings.octave_from_hz, settings.octave_to_hz].map(f64::from);
    2.0 * (from * (to / from).powf(share) / 2.0).round()
}

fn row(settings: &Settings) -> Result<Vec<String>, String> {
    let (one_hz, two_hz) = (inside(settings, ONE), TWO.map(|share| inside(settings, share)));
    let one = heard(&[one_hz], None, settings)?;
    let two = heard(&two_hz, None, settings)?;
    let tone = one.before.spectrum.line_dbfs(one_hz);
    let half = out(&one).map(|after| after.spectrum.line_dbfs(one_hz / 2.0) - tone);
    let half = half.filter(|db| *db > SILENCE_DB);
    let told = |db: Option<f64>| match db {
        Some(db) if db < FAINT_DB => format!("< \u{2212}{:.0}", -FAINT_DB),
        // What rounds to zero has no sign.
        Some(db) => format!("{:.1}", (10.0 * db).round() / 10.0 + 0.0).replace('-', "\u{2212}"),
        None => "none".into(),
    };
    let name = match settings.octave_method {
        Method::Tracked => {
            format!("{}, {}", settings.octave_method.word(), settings.octave_response.word())
        }
        method => method.word().into(),
    };
    Ok(vec![name, told(half), told(else_db(&one, &[one_hz])), told(else_db(&two, &two_hz))])
}

/// The lines of the octave part of the one tone; its half has order one here.
fn lines(settings: &Settings) -> Result<Table, String> {
    let one_hz = inside(settings, ONE);
    let half_hz = one_hz / 2.0;
    let heard = heard(&[one_hz], Some(half_hz), settings)?;
    let partials = out(&heard).and_then(|after| after.partials.as_ref());
    let row = |order: f64, hz: f64, db: f64| {
        vec![
            format!("{:.3}", order / 2.0),
            format!("{hz:.2}"),
            format!("{db:.1}").replace('-', "\u{2212}"),
        ]
    };
    let mut rows = Vec::new();
    if let Some(partials) = partials {
        rows.push(row(1.0, partials.tone_hz, 0.0));
        let all = partials.below.iter().chain(&partials.odd_halves).chain(&partials.above);
        let loud = all.filter(|line| line.re_tone_db > FAINT_DB);
        rows.extend(loud.map(|line| row(line.order, line.hz, line.re_tone_db)));
    }
    Ok(Table {
        title: "Lines of the octave part alone".into(),
        note: format!("{one_hz} Hz in, with these settings; order re the tone, level re the half"),
        head: ["order", "Hz", "dB"].map(String::from).to_vec(),
        rows,
    })
}

fn heard(hz: &[f64], tone_hz: Option<f64>, settings: &Settings) -> Result<Readings, String> {
    let tone = |hz: &f64| Tone { hz: *hz, level_dbfs: LEVEL_DBFS, ..Tone::default() };
    let source = Source::new(&Kind::Tones(hz.iter().map(tone).collect()), RATE_HZ, SEED)?;
    let ask = Ask { tone_hz, skip_s: SETTLE_S, ..Ask::default() };
    Ok(measured(source, settings, SETTLE_S + MEASURED_S, &ask))
}

fn out(readings: &Readings) -> Option<&Side> {
    readings.after.as_ref()
}

/// Everything but the halves of the tones, re all the halves together, dB.
fn else_db(readings: &Readings, tones_hz: &[f64]) -> Option<f64> {
    let spectrum = &out(readings)?.spectrum;
    let near = |hz: &f64| spectrum.power_between(hz / 2.0 - LINE_HZ, hz / 2.0 + LINE_HZ);
    let halves: f64 = tones_hz.iter().map(near).sum();
    let all = spectrum.power_between(ALL_HZ.0, ALL_HZ.1);
    (halves > db_to_power(SILENCE_DB)).then(|| power_to_db((all - halves).max(1e-30) / halves))
}
