//! The tables of the report: words of the finding, and every figure in full.

use crate::figures::{difference, frequency, level, percent, short, true_minus};
use crate::plot::tone::name;
use crate::report::svg::escape;
use crate::report::{Limit, Proof, QUIET_DB, Run, Sheet, Table};
use crate::units::db_to_gain;

/// The tables of words that the sheet brings, where they are the finding itself: without a run.
pub(super) fn words(sheet: &Sheet) -> String {
    if sheet.runs.is_empty() { tables(sheet) } else { String::new() }
}

fn tables(sheet: &Sheet) -> String {
    let figures = sheet.figures.iter().map(|figures| table(&figures.table()));
    figures.chain(sheet.tables.iter().map(table)).collect()
}

/// The second page: every figure in full.
pub(super) fn figures(sheet: &Sheet) -> String {
    let further = if sheet.runs.is_empty() { String::new() } else { tables(sheet) };
    let parts = [
        proofs(sheet),
        further,
        runs(sheet),
        lines(sheet),
        bands(sheet),
        settings(sheet),
        inputs(sheet),
    ];
    match parts.concat() {
        empty if empty.is_empty() => empty,
        parts => format!("<div class=\"figures\">\n{parts}</div>\n"),
    }
}

/// A figure with its unit.
pub(super) fn figure(proof: &Proof, figure: f64) -> String {
    let unit = if proof.unit.is_empty() { "" } else { " " };
    format!("{}{unit}{}", level(figure, proof.decimals), escape(proof.unit))
}

/// A table from plain words; cells that read as numbers are set to the right.
fn table(table: &Table) -> String {
    let table = table.without_empty_columns();
    let rows = table.rows.iter().map(|row| row.iter().map(|cell| escape(cell)).collect());
    let columns: Vec<(String, bool)> = table
        .head
        .iter()
        .enumerate()
        .map(|(i, head)| (escape(head), table.is_numeric(i)))
        .collect();
    grid(&escape(&table.title), &escape(&table.note), &columns, rows)
}

/// A table of ready cells: the first cell of a row is heavy; columns marked true go to the right.
fn grid(
    title: &str,
    note: &str,
    columns: &[(String, bool)],
    rows: impl Iterator<Item = Vec<String>>,
) -> String {
    let class = |column: usize| match columns.get(column) {
        Some((_, true)) => " class=\"n\"",
        _ if column == 0 => " class=\"strong\"",
        _ => "",
    };
    let cells = |tag: &str, row: &[String], is_head: bool| -> String {
        let cell = |(i, words): (usize, &String)| {
            let class = if is_head { class(i).replace("strong", "") } else { class(i).into() };
            // A column of marks has no name; a head without words would be one without meaning.
            let tag = if words.is_empty() { "td" } else { tag };
            format!("<{tag}{class}>{words}</{tag}>")
        };
        row.iter().enumerate().map(cell).collect()
    };
    // A few figures stand closer together than a line of words.
    let slim = columns.len() <= 3 && columns.iter().all(|column| column.1);
    let slim = if slim { " class=\"slim\"" } else { "" };
    let head: Vec<String> = columns.iter().map(|column| column.0.clone()).collect();
    let body: String = rows.map(|row| format!("<tr>{}</tr>\n", cells("td", &row, false))).collect();
    format!(
        "<section><h2>{title} <small>{note}</small></h2>\n<div class=\"scroll\" tabindex=\"0\"><table{slim}>\
         <thead><tr>{}</tr></thead>\n<tbody>\n{body}</tbody></table></div></section>\n",
        cells("th", &head, true)
    )
}

fn columns(words: &[(&str, bool)]) -> Vec<(String, bool)> {
    words.iter().map(|(words, right)| ((*words).into(), *right)).collect()
}

fn proofs(sheet: &Sheet) -> String {
    if sheet.proofs.is_empty() {
        return String::new();
    }
    let row = |proof: &Proof| {
        let number = |value: f64| level(value, proof.decimals);
        let limit = match proof.limit {
            Limit::AtMost(most) => format!("≤ {}", number(most)),
            Limit::AtLeast(least) => format!("≥ {}", number(least)),
            Limit::Within(least, most) => format!("{} to {}", number(least), number(most)),
        };
        let kept = match proof.met() {
            Some(true) => "kept",
            Some(false) => "<b class=\"plate\">missed</b>",
            None => "<b class=\"open\">open</b>",
        };
        let figure = proof.figure.map_or("\u{2013}".into(), number);
        vec![escape(&proof.name), figure, limit, escape(proof.unit), kept.into()]
    };
    let head = [("", false), ("figure", true), ("limit", true), ("unit", false), ("", false)];
    grid("Held against limits", "", &columns(&head), sheet.proofs.iter().map(row))
}

/// Levels of every run, and for tones the two figures, each in its own column.
fn runs(sheet: &Sheet) -> String {
    if sheet.runs.is_empty() {
        return String::new();
    }
    let has_tone = sheet.tone().is_some();
    let row = |run: &Run| {
        let (before, out) = (&run.readings.before, run.out());
        let clipped = match out.clipping.digital_runs + out.clipping.flat_runs {
            0 => "no".to_string(),
            runs => format!("<b class=\"plate\">{runs}×</b>"),
        };
        let after = run.readings.after.as_ref();
        let mut cells = vec![
            escape(&run.name),
            level(before.level.rms_dbfs, 1),
            after.map_or("\u{2013}".into(), |side| level(side.level.rms_dbfs, 1)),
            level(out.level.true_peak_dbtp, 1),
            out.level.loudness_lufs.map_or("\u{2013}".into(), |lufs| level(lufs, 1)),
            clipped,
        ];
        if has_tone {
            let partials = out.partials.as_ref();
            let share = |ratio: Option<f64>| ratio.map_or("\u{2013}".into(), percent);
            cells.push(share(partials.map(|p| p.below_ratio)));
            cells.push(share(partials.map(|p| p.thd_f)));
        }
        cells
    };
    let mut head = vec![
        ("", false),
        ("arrives, dBFS r.m.s.", true),
        ("comes out", true),
        ("true peak, dBTP", true),
        ("LUFS", true),
        ("clipped", true),
    ];
    if has_tone {
        head.extend([("below the tone", true), ("above it", true)]);
    }
    grid("Runs", "full-scale sine = 0 dBFS r.m.s.", &columns(&head), sheet.runs.iter().map(row))
}

/// The partials of the first tone, line by line.
fn lines(sheet: &Sheet) -> String {
    let Some(partials) = sheet.tone().and_then(|run| run.out().partials.as_ref()) else {
        return String::new();
    };
    let sides = [
        (&partials.below, "below: the effect"),
        (&partials.odd_halves, "odd half, in neither figure"),
        (&partials.above, "above: harmonics"),
    ];
    let row = |line: &crate::analysis::partials::Line, side: &str| {
        vec![
            name(line),
            short(line.hz, 2),
            difference(line.re_tone_db),
            percent(db_to_gain(line.re_tone_db)),
            level(line.dbfs, 1),
            if line.near_mains { format!("{side}; near the mains") } else { side.to_string() },
        ]
    };
    let rows = sides.iter().flat_map(|(lines, side)| {
        let loud = lines.iter().filter(|line| line.re_tone_db >= QUIET_DB);
        loud.map(move |line| row(line, side))
    });
    let head = [
        ("", false),
        ("Hz", true),
        ("dB re tone", true),
        ("of the tone", true),
        ("dBFS", true),
        ("counted", false),
    ];
    let note = format!(
        "{} Hz at {} dBFS, lines above {} dB; harmonics counted to {} Hz; noise {} dBFS",
        short(partials.tone_hz, 2),
        level(partials.tone_dbfs, 1),
        short(QUIET_DB, 0),
        short(partials.thd_to_hz, 0),
        level(partials.noise_dbfs, 1)
    );
    grid("Lines beside the tone", &note, &columns(&head), rows)
}

/// One-third octaves in dBFS, with how far noise may lie beside them.
fn bands(sheet: &Sheet) -> String {
    let Some(run) = sheet.broad().filter(|run| !run.readings.before.bands.is_empty()) else {
        return String::new();
    };
    let before = &run.readings.before.bands;
    let after = run.readings.after.as_ref().map(|side| &side.bands);
    let rows = before.iter().enumerate().map(|(i, band)| {
        let out = after.and_then(|bands| bands.get(i));
        let mut cells = vec![frequency(band.nominal_hz), level(band.centre_hz, 2)];
        cells.push(level(band.level_db, 1));
        cells.extend(after.map(|_| out.map_or("\u{2013}".into(), |out| level(out.level_db, 1))));
        cells.push(format!("±{}", level(band.sd_db, 1)));
        cells
    });
    let mut head = vec![("Hz", true), ("exact", true), ("arrives", true)];
    head.extend(after.map(|_| ("comes out", true)));
    head.push(("standard deviation, dB", true));
    let note = format!("base 10, dBFS r.m.s., {}", escape(&run.name));
    grid("One-third octaves", &note, &columns(&head), rows)
}

fn settings(sheet: &Sheet) -> String {
    let Some(settings) = &sheet.settings else { return String::new() };
    let rows = settings.each().map(|(setting, plain)| {
        let value = escape(&true_minus(&setting.show(plain)));
        let changed = plain != setting.default();
        let value = if changed { format!("<b>{value}</b>") } else { value };
        vec![setting.key.to_string(), value, escape(&true_minus(setting.about))]
    });
    let head = [("key", false), ("value", true), ("", false)];
    grid("Settings", "what differs from the defaults is heavy", &columns(&head), rows)
}

fn inputs(sheet: &Sheet) -> String {
    if sheet.provenance.inputs.is_empty() {
        return String::new();
    }
    let rows = sheet.provenance.inputs.iter().map(|input| {
        let hash = format!("<span class=\"hash\">{}</span>", escape(&input.sha256));
        vec![escape(&input.name), hash]
    });
    grid("Where it comes from", "", &columns(&[("file", false), ("SHA-256", false)]), rows)
}
