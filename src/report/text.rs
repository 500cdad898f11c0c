//! The sheet as plain text: tables a person reads at a glance, in a car, at night.
//!
//! Plain ASCII figures, no colour, at most 79 columns for figures; what was
//! missed says MISSED, so nothing hangs on hue or on a symbol.

mod grid;

use crate::figures::{ascii, difference, frequency, level, percent, short};
use crate::measure::layers::{Layers, asked};
use crate::plot::tone::name;
use crate::report::{Figures, Limit, Proof, QUIET_DB, Run, Sheet, Table, finding};
use grid::Grid;
use std::iter::once;

/// Columns in a line of running text.
const LINE: usize = 78;

/// The sheet as plain text, ending with a line end.
pub fn text(sheet: &Sheet) -> String {
    let preset = sheet.preset.as_ref().map(|preset| format!("settings \"{}\"", clean(preset)));
    let head = once(clean(&sheet.subject)).chain(preset).collect::<Vec<_>>().join(", ");
    let parts = [
        wrap(&head),
        wrap(&finding(sheet).plain()),
        proofs(sheet),
        verdicts(sheet),
        bands(sheet),
        lines(sheet),
        runs(sheet),
        figures(sheet),
        tables(sheet),
        settings(sheet),
        list("Cannot be known from this", &sheet.unknown),
        list("Before you play it loud", &sheet.cautions),
        provenance(sheet),
        next(sheet),
    ];
    let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    ascii(&parts.join("\n"))
}

/// Text from outside without line ends and control characters, so that it cannot forge a table
/// or steer a terminal.
fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// Words in lines of at most [`LINE`] columns; a longer word keeps a line of its own.
fn wrap(text: &str) -> String {
    let lines = lines_of(text, LINE);
    if lines == [""] { String::new() } else { lines.join("\n") + "\n" }
}

fn lines_of(text: &str, columns: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in clean(text).split_whitespace() {
        let line = lines.last_mut().filter(|line| {
            line.is_empty() || line.chars().count() + 1 + word.chars().count() <= columns
        });
        match line {
            Some(line) if line.is_empty() => line.push_str(word),
            Some(line) => {
                line.push(' ');
                line.push_str(word);
            }
            None => lines.push(word.into()),
        }
    }
    lines
}

fn proofs(sheet: &Sheet) -> String {
    let mut grid = Grid::new("Held against limits", &["", ">figure", ">limit", "", ""]);
    for proof in &sheet.proofs {
        let number = |value: f64| level(value, proof.decimals);
        let limit = match proof.limit {
            Limit::AtMost(most) => format!("<= {}", number(most)),
            Limit::AtLeast(least) => format!(">= {}", number(least)),
            Limit::Within(least, most) => format!("{} to {}", number(least), number(most)),
        };
        let figure = proof.figure.map_or("-".into(), number);
        grid.row([clean(&proof.name), figure, limit, proof.unit.into(), verdict(proof).into()]);
    }
    grid.show()
}

fn verdict(proof: &Proof) -> &'static str {
    match proof.met() {
        Some(true) => "kept",
        Some(false) => "MISSED",
        None => "open",
    }
}

/// What to do where.
fn verdicts(sheet: &Sheet) -> String {
    let mut grid = Grid::new("What to do where", &[">", "", ">", "", ""]);
    for stretch in sheet.responses.iter().flat_map(|responses| &responses.verdicts) {
        let [from, to] = [stretch.from_hz, stretch.to_hz].map(|hz| short(hz, 0));
        grid.row([from, "to".into(), to, "Hz".into(), stretch.verdict.words().into()]);
    }
    grid.show()
}

/// One-third octaves: what arrives, who added what, what comes out, how far it is off.
fn bands(sheet: &Sheet) -> String {
    let Some(run) = sheet.broad() else { return String::new() };
    let strata = Layers::thirds(&run.readings, 16.0, 1000.0);
    let target = sheet.target.as_ref();
    let of_radio = target.is_some() || sheet.original.is_some();
    let (given, out) = match (strata.has_layers, of_radio) {
        (true, true) => (">radio", ">out"),
        (true, false) => (">arrives", ">out"),
        (false, _) => (">before", ">after"),
    };
    let mut head = vec![">Hz", if strata.has_out { given } else { ">level" }];
    if strata.has_layers {
        head.extend([">octave", ">low band"]);
    }
    if strata.has_out {
        head.push(out);
    }
    if target.is_some() {
        head.extend([">target", ">off by"]);
    }
    head.push(">dBFS");
    let title = format!("One-third octaves, {}, dB re mean of 200 Hz to 1 kHz", clean(&run.name));
    let mut grid = Grid::new(&title, &head);
    for band in &strata.bands {
        let mut row = vec![frequency(band.hz), difference(band.given)];
        if strata.has_layers {
            row.extend([band.octave_added(), band.low_band_added()].map(difference));
        }
        if strata.has_out {
            row.push(difference(band.out));
        }
        if target.is_some() {
            let asked = asked(target, band.hz);
            row.push(asked.map_or("none".into(), difference));
            row.push(asked.map_or("-".into(), |asked| difference(band.out - asked)));
        }
        row.push(dbfs(run, band.hz));
        grid.row(row);
    }
    grid.show()
}

/// The level of a band of what came out, dBFS.
fn dbfs(run: &Run, nominal_hz: f64) -> String {
    let band = run.out().bands.iter().find(|band| band.nominal_hz == nominal_hz);
    band.map_or("-".into(), |band| level(band.level_db, 1))
}

/// The sum of lines that are neither the effect nor harmonics; without them it is not shown.
const ODD: &str = "beside: odd halves";

fn odd_ratio(lines: &[crate::analysis::partials::Line]) -> f64 {
    lines.iter().map(|l| crate::units::db_to_power(l.re_tone_db)).sum::<f64>().sqrt()
}

/// What stands beside each tone; the figures stand under the lines they sum, never together.
fn lines(sheet: &Sheet) -> String {
    let tones = sheet.runs.iter().filter_map(|run| run.out().partials.as_ref());
    let table = |p: &crate::analysis::partials::Partials| {
        let title =
            format!("Beside the {} Hz tone at {} dBFS", short(p.tone_hz, 2), level(p.tone_dbfs, 1));
        let mut grid = Grid::new(&title, &["", ">Hz", ">dB re tone", ">of the tone", ""]);
        let sides = [
            (&p.below, Some(("below: the effect", p.below_ratio))),
            (&p.odd_halves, Some((ODD, odd_ratio(&p.odd_halves)))),
            (&p.above, Some(("above: harmonics", p.thd_f))),
        ];
        for (lines, sum) in sides {
            for line in lines.iter().filter(|line| line.re_tone_db >= QUIET_DB) {
                let share = percent(crate::units::db_to_gain(line.re_tone_db));
                let mains = if line.near_mains { "near the mains" } else { "" };
                let figures = [short(line.hz, 2), difference(line.re_tone_db), share];
                grid.row([name(line)].into_iter().chain(figures).chain([mains.into()]));
            }
            if let Some((words, ratio)) =
                sum.filter(|(words, _)| *words != ODD || !lines.is_empty())
            {
                grid.row([words.into(), String::new(), String::new(), percent(ratio)]);
            }
        }
        grid.show()
    };
    tones.map(table).collect::<Vec<_>>().join("\n")
}

fn runs(sheet: &Sheet) -> String {
    let head = ["", ">arrives", ">comes out", ">true peak", ">clipped"];
    let mut grid = Grid::new("Runs, dBFS r.m.s. (full-scale sine = 0) and dBTP", &head);
    let row = |run: &Run| {
        let out = run.out();
        let after = run.readings.after.as_ref();
        let clipped = out.clipping.digital_runs + out.clipping.flat_runs;
        [
            clean(&run.name),
            level(run.readings.before.level.rms_dbfs, 1),
            after.map_or("-".into(), |side| level(side.level.rms_dbfs, 1)),
            level(out.level.true_peak_dbtp, 1),
            if clipped == 0 { "no".into() } else { format!("{clipped} TIMES") },
        ]
    };
    sheet.runs.iter().for_each(|run| grid.row(row(run)));
    grid.show()
}

/// The numbers that were asked for.
fn figures(sheet: &Sheet) -> String {
    join_tables(sheet.figures.iter().map(Figures::table))
}

/// The tables of words; their last column is free to be long.
fn tables(sheet: &Sheet) -> String {
    join_tables(sheet.tables.iter().cloned())
}

/// What to do next.
fn next(sheet: &Sheet) -> String {
    if sheet.next.is_empty() { String::new() } else { wrap(&format!("Next: {}", sheet.next)) }
}

fn join_tables(tables: impl Iterator<Item = Table>) -> String {
    let table = |table: Table| {
        let table = table.without_empty_columns();
        let title = [clean(&table.title), clean(&table.note)];
        let title = title.into_iter().filter(|words| !words.is_empty());
        let side = |i| if table.is_numeric(i) { ">" } else { "" };
        let head = table.head.iter().enumerate();
        let head: Vec<String> =
            head.map(|(i, head)| format!("{}{}", side(i), clean(head))).collect();
        let head: Vec<&str> = head.iter().map(String::as_str).collect();
        let mut grid = Grid::new(&title.collect::<Vec<_>>().join(", "), &head);
        table.rows.iter().for_each(|row| grid.row(row.iter().map(|cell| clean(cell))));
        grid.show()
    };
    tables.map(table).collect::<Vec<_>>().join("\n")
}

/// The settings that differ from their defaults.
fn settings(sheet: &Sheet) -> String {
    let Some(settings) = &sheet.settings else { return String::new() };
    let mut grid = Grid::new("Settings that differ from their defaults", &["key", ">value"]);
    settings.changed().for_each(|(s, plain)| grid.row([s.key.to_string(), s.show(plain)]));
    match grid.is_empty() {
        true => "Settings: all at their defaults\n".into(),
        false => grid.show(),
    }
}

fn list(title: &str, items: &[String]) -> String {
    match items {
        [] => String::new(),
        items => {
            let item = |item: &String| format!("  {}\n", lines_of(item, LINE - 4).join("\n    "));
            let items: String = items.iter().map(item).collect();
            format!("{title}\n{items}")
        }
    }
}

fn provenance(sheet: &Sheet) -> String {
    let provenance = &sheet.provenance;
    let seed = provenance.seed.map_or(String::new(), |seed| format!(", seed {seed}"));
    let mut words = format!("underpin {}{seed}\n", clean(&provenance.version));
    for input in &provenance.inputs {
        words += &format!("SHA-256 {}  {}\n", clean(&input.sha256), clean(&input.name));
    }
    words
}
