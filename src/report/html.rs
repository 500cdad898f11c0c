//! The sheet as one self-contained HTML file: one sentence, pictures, tables, what is
//! proved and what cannot be known.
//!
//! No script, no address outside the file. One column on a phone, A4 on paper,
//! day or night as the reader's system asks. Sections without data are left out.

mod base64;
mod pictures;
mod style;
mod tables;
mod track_sheet;

pub use pictures::list as pictures;
pub use track_sheet::{TrackSheet, track_sheet};

use crate::figures::short;
use crate::report::glossary::found_in;
use crate::report::svg::{defs, escape};
use crate::report::{Proof, Sentence, Sheet, finding};

/// The sheet as one self-contained HTML file.
pub fn html(sheet: &Sheet) -> String {
    let title = escape(&sheet.subject);
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n<title>{title}</title>\n\
         <style>\n{}</style>\n</head>\n<body>\n{}{}</body>\n</html>\n",
        look(),
        textures(),
        body(sheet)
    )
}

/// The style sheet of the report, for a page that shows parts of it.
pub fn look() -> String {
    style::style()
}

/// What fills the areas of the pictures; a page has it once.
pub fn textures() -> String {
    format!(
        "<svg width=\"0\" height=\"0\" class=\"textures\" aria-hidden=\"true\">{}</svg>\n",
        defs()
    )
}

/// The sheet as part of a page that has [`look`] and [`textures`].
pub fn body(sheet: &Sheet) -> String {
    let mut page = head(sheet);
    page += &sentence(sheet);
    page += &pictures::pictures(sheet);
    page += &sounds(sheet);
    page += &tables::words(sheet);
    page += &pictures::line(sheet);
    page += &next(sheet);
    page += &columns(sheet);
    page += &foot(sheet);
    page += &tables::figures(sheet);
    let words = glossary(&page);
    page + &words
}

/// The name on its piles, and what the sheet is about.
fn head(sheet: &Sheet) -> String {
    let preset = sheet.preset.as_ref();
    let preset = preset.map_or(String::new(), |p| format!(" · settings “{}”", escape(p)));
    format!(
        "<header><strong class=\"slab\">Underpin</strong><span>report · schema 1</span>\
         <span class=\"subject\">{}{preset}</span></header>\n",
        escape(&sheet.subject)
    )
}

/// The finding, its causes underlined in their dashes.
fn sentence(sheet: &Sheet) -> String {
    let said = finding(sheet);
    if said.is_empty() { String::new() } else { format!("<h1>{}</h1>\n", underlined(&said)) }
}

/// A sentence as part of a page: its causes underlined in their dashes.
pub fn underlined(sentence: &Sentence) -> String {
    let words = sentence.said.iter().map(|said| match said.cause {
        Some(cause) => format!("<b class=\"u-{}\">{}</b>", cause.key(), escape(&said.words)),
        None => escape(&said.words),
    });
    words.collect()
}

/// Sounds, inside the file like everything else.
fn sounds(sheet: &Sheet) -> String {
    let each = sheet.sounds.iter().map(|sound| {
        format!(
            "<p><b>{}</b> <small>{}</small><br><audio controls preload=\"none\" \
             src=\"data:audio/wav;base64,{}\"></audio></p>\n",
            escape(&sound.title),
            escape(&sound.note),
            base64::base64(&sound.wav)
        )
    });
    let each: String = each.collect();
    match each.is_empty() {
        true => each,
        false => format!("<section class=\"sounds\"><h2>To hear</h2>\n{each}</section>\n"),
    }
}

/// What to do next, in one line.
fn next(sheet: &Sheet) -> String {
    match sheet.next.as_str() {
        "" => String::new(),
        next => format!("<p class=\"next\"><b>Next</b> {}</p>\n", escape(next)),
    }
}

/// The words of the page that are not everybody's.
fn glossary(page: &str) -> String {
    let words = found_in(page);
    if words.is_empty() {
        return String::new();
    }
    let row = |(word, means): (&str, &str)| format!("<dt>{word}</dt><dd>{}</dd>", escape(means));
    let rows: String = words.into_iter().map(row).collect();
    format!("<section class=\"glossary\"><h2>Words</h2><dl>{rows}</dl></section>\n")
}

/// Three columns: proved, cannot be known, before you play it loud.
fn columns(sheet: &Sheet) -> String {
    let proved: Vec<String> = proved(&sheet.proofs);
    let escaped = |words: &[String]| words.iter().map(|w| escape(w)).collect::<Vec<_>>();
    let column = |title: &str, items: &[String]| match items {
        [] => String::new(),
        items => {
            let items: String = items.iter().map(|item| format!("<li>{item}</li>")).collect();
            format!("<div><h2>{title}</h2><ul>{items}</ul></div>\n")
        }
    };
    let columns = [
        column("Proved", &proved),
        column("Cannot be known from this", &escaped(&sheet.unknown)),
        column("Before you play it loud", &escaped(&sheet.cautions)),
    ];
    match columns.concat() {
        empty if empty.is_empty() => empty,
        columns => format!("<section class=\"columns\">\n{columns}</section>\n"),
    }
}

/// The claims in short: what is missed first; all stand in the table of figures.
fn proved(proofs: &[Proof]) -> Vec<String> {
    const SHOWN: usize = 4;
    let rank = |proof: &&Proof| match proof.met() {
        Some(false) => 0,
        None => 1,
        Some(true) => 2,
    };
    let shown = if proofs.len() > SHOWN + 1 { SHOWN } else { proofs.len() };
    let mut sorted: Vec<_> = proofs.iter().collect();
    sorted.sort_by_key(rank);
    let told = |proof: &&Proof| {
        let name = escape(&proof.name);
        match (proof.figure, proof.met()) {
            (Some(figure), Some(true)) => format!("{name}: {}", tables::figure(proof, figure)),
            (Some(figure), _) => {
                let figure = tables::figure(proof, figure);
                format!("<b class=\"plate\">missed</b> {name}: {figure}")
            }
            (None, _) => format!("<b class=\"open\">open</b> {name}: not measured"),
        }
    };
    let mut lines: Vec<String> = sorted.iter().take(shown).map(told).collect();
    if proofs.len() > SHOWN + 1 {
        let kept = proofs.iter().filter(|proof| proof.met() == Some(true)).count();
        lines.push(format!("{kept} of {} limits kept, all in the table below", proofs.len()));
    }
    lines
}

/// Where the figures come from, in one line.
fn foot(sheet: &Sheet) -> String {
    let provenance = &sheet.provenance;
    let mut words = vec![format!("underpin {}", escape(&provenance.version))];
    words.extend(provenance.seed.map(|seed| format!("seed {seed}")));
    for input in &provenance.inputs {
        let hash: Vec<char> = input.sha256.chars().collect();
        let ends = |part: &[char]| escape(&part.iter().collect::<String>());
        words.push(match hash.len() {
            0..=12 => format!("SHA-256 {}", ends(&hash)),
            n => format!("SHA-256 {}…{}", ends(&hash[..4]), ends(&hash[n - 4..])),
        });
        if words.len() > 4 {
            break;
        }
    }
    if let Some(run) = sheet.broad().or(sheet.tone()) {
        let spectrum = &run.out().spectrum;
        let block_s = if spectrum.df_hz > 0.0 { 1.0 / spectrum.df_hz } else { 0.0 };
        let seconds = short(run.readings.seconds, 1);
        let window = spectrum.window.name();
        words.push(format!("{window} {} s, mean of {seconds} s", short(block_s, 2)));
    }
    format!("<footer>{}</footer>\n", words.join(" · "))
}
