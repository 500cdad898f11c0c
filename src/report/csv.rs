//! What a view shows as a table for a spreadsheet: comma-separated, units in the heads.
//!
//! A point is the decimal mark and an empty cell says that nothing was measured. The
//! figures are those of the readings, not of the pixels.

use crate::analysis::scope::Scope;
use crate::measure::Readings;
use crate::measure::layers::{BandLayers, Layers, asked};
use crate::plot::lines;
use crate::report::{Figures, Run, Sheet, Table as WordTable};
use crate::units::SILENCE_DB;

/// Distance of two rows of a spectrum: 1/24 octave (IEC 61260-1, base 10).
const STEPS_AN_OCTAVE: f64 = 24.0;

/// The range of a spectrum's rows, in Hz.
const RANGE_HZ: (f64, f64) = (12.5, 20_000.0);

/// Rows of cells under one head.
struct Table(String);

impl Table {
    fn new(head: &[&str]) -> Self {
        Self(head.join(",") + "\n")
    }

    fn row(&mut self, cells: &[String]) {
        self.0 += &(cells.join(",") + "\n");
    }
}

/// Every table for a spreadsheet that the sheet holds, each with its name: the figures of its
/// pictures, then its tables of words.
pub fn all(sheet: &Sheet) -> Vec<(String, String)> {
    let only = |run: &Run| Sheet { runs: vec![run.clone()], ..sheet.clone() };
    let [broad, tone] = [sheet.broad(), sheet.tone()].map(|run| run.map(only));
    let (broad, tone) = (broad.as_ref(), tone.as_ref());
    let pictures = [
        ("responses", responses(sheet)),
        ("spectrum", broad.and_then(spectrum)),
        ("bands", broad.and_then(bands)),
        ("lines", tone.and_then(partials)),
        ("waves", tone.and_then(scope)),
    ];
    let figures = sheet.figures.iter().map(Figures::table);
    let words = figures
        .chain(sheet.tables.iter().cloned())
        .map(|table| (table.title.clone(), of_words(&table)));
    let pictures = pictures.into_iter().filter_map(|(name, told)| Some((name.into(), told?)));
    pictures.chain(words).collect()
}

/// The responses, one row a point.
fn responses(sheet: &Sheet) -> Option<String> {
    let curves = &sheet.responses.as_ref()?.curves;
    let mut table = Table::new(&["response", "frequency_hz", "db_re_mid_band"]);
    for drawn in curves {
        for (hz, level) in drawn.curve.points() {
            table.row(&[quoted(&drawn.name), number(*hz, 3), db(*level)]);
        }
    }
    (!curves.is_empty()).then_some(table.0)
}

/// A table of words, as the sheet has it.
fn of_words(words: &WordTable) -> String {
    let line = |cells: &[String]| cells.iter().map(|cell| quoted(cell)).collect::<Vec<_>>();
    let mut table = Table(String::new());
    table.row(&line(&words.head));
    words.rows.iter().for_each(|row| table.row(&line(row)));
    table.0
}

/// A cell in quotes where a comma, a quote or a turn of line would end it (RFC 4180).
fn quoted(cell: &str) -> String {
    match cell.contains([',', '"', '\n', '\r']) {
        true => format!("\"{}\"", cell.replace('"', "\"\"")),
        false => cell.into(),
    }
}

/// The spectrum of the broad run, smoothed as it is drawn; of a tone every 1/24 octave the
/// strongest line beside it. The frequencies are exact: 1000 Hz · 10^(0.3·n/24).
pub fn spectrum(sheet: &Sheet) -> Option<String> {
    let run = sheet.runs.first()?;
    let rows = steps().map(|hz| (hz, &run.readings));
    if run.is_tone() {
        let mut table = Table::new(&["frequency_hz", "radio_gives_dbfs", "comes_out_dbfs"]);
        for (hz, readings) in rows {
            let (before, after) = lines::read(readings, hz);
            table.row(&[number(hz, 3), db(before), after.map_or(String::new(), db)]);
        }
        return Some(table.0);
    }
    let mut table = Table::new(&[
        "frequency_hz",
        "radio_gives_db_re_200_1000_hz",
        "octave_part_adds_db",
        "low_band_adds_db",
        "comes_out_db_re_200_1000_hz",
        "target_db_re_200_1000_hz",
    ]);
    for (hz, readings) in rows {
        let Some(standing) = Layers::smoothed_at(readings, hz) else { continue };
        let mut cells = vec![number(hz, 3)];
        cells.extend(layers(&standing, readings));
        cells.push(asked(sheet.target.as_ref(), hz).map_or(String::new(), db));
        table.row(&cells);
    }
    Some(table.0)
}

/// The frequencies of a spectrum's rows.
fn steps() -> impl Iterator<Item = f64> {
    let at = |n: i32| 1000.0 * 10f64.powf(0.3 * f64::from(n) / STEPS_AN_OCTAVE);
    (-200..200).map(at).filter(|hz| (RANGE_HZ.0..=RANGE_HZ.1).contains(hz))
}

/// What arrives, what octave part and low band add, what comes out.
fn layers(standing: &BandLayers, readings: &Readings) -> [String; 4] {
    let inside = |value| if readings.strata.is_some() { db(value) } else { String::new() };
    let out = if readings.after.is_some() { db(standing.out) } else { String::new() };
    [db(standing.given), inside(standing.octave_added()), inside(standing.low_band_added()), out]
}

/// One-third octaves, nominal and exact, in dBFS and as drawn.
pub fn bands(sheet: &Sheet) -> Option<String> {
    let readings = &sheet.runs.first()?.readings;
    let mut table = Table::new(&[
        "nominal_hz",
        "exact_hz",
        "from_hz",
        "to_hz",
        "radio_gives_dbfs",
        "comes_out_dbfs",
        "radio_gives_db_re_200_1000_hz",
        "octave_part_adds_db",
        "low_band_adds_db",
        "comes_out_db_re_200_1000_hz",
        "target_db_re_200_1000_hz",
    ]);
    let strata = Layers::thirds(readings, 0.0, f64::MAX);
    for (i, band) in readings.before.bands.iter().enumerate() {
        let after = readings.after.as_ref().and_then(|side| side.bands.get(i));
        let mut cells = vec![band.nominal_hz.to_string()];
        cells.extend([band.centre_hz, band.from_hz, band.to_hz].map(|hz| number(hz, 4)));
        cells.push(db(band.level_db));
        cells.push(after.map_or(String::new(), |band| db(band.level_db)));
        let standing = strata.bands.get(i);
        cells.extend(standing.map_or(Default::default(), |band| layers(band, readings)));
        cells.push(asked(sheet.target.as_ref(), band.nominal_hz).map_or(String::new(), db));
        table.row(&cells);
    }
    Some(table.0)
}

/// The lines beside a tone; the tone itself has order 1.
pub fn partials(sheet: &Sheet) -> Option<String> {
    let partials = sheet.runs.first()?.out().partials.as_ref()?;
    let mut table = Table::new(&["order", "frequency_hz", "db_re_tone", "dbfs", "phase_deg"]);
    let tone = [number(1.0, 4), number(partials.tone_hz, 4), db(0.0), db(partials.tone_dbfs)];
    table.row(&[&tone[..], &[String::new()]].concat());
    for line in partials.below.iter().chain(&partials.odd_halves).chain(&partials.above) {
        table.row(&[
            number(line.order, 4),
            number(line.hz, 4),
            db(line.re_tone_db),
            db(line.dbfs),
            number(line.phase_deg, 1),
        ]);
    }
    Some(table.0)
}

/// The waves of a tone standing still.
pub fn scope(sheet: &Sheet) -> Option<String> {
    sheet.runs.first()?.readings.scope.as_ref().map(waves)
}

/// Waves standing still, as shares of full scale.
pub fn waves(scope: &Scope) -> String {
    let mut table = Table::new(&["time_ms", "dry", "octave_part", "comes_out"]);
    let step_ms = 1000.0 * scope.span_s / scope.out.len().max(1) as f64;
    for (i, out) in scope.out.iter().enumerate() {
        let at = |wave: &[f64]| wave.get(i).map_or(String::new(), |value| number(*value, 6));
        let time = number(i as f64 * step_ms, 4);
        table.row(&[time, at(&scope.dry), at(&scope.octave), number(*out, 6)]);
    }
    table.0
}

/// A level to a thousandth; nothing where there is silence or no number.
fn db(value: f64) -> String {
    if value <= SILENCE_DB { String::new() } else { number(value, 3) }
}

fn number(value: f64, decimals: usize) -> String {
    if value.is_finite() { format!("{value:.decimals$}") } else { String::new() }
}
