//! The lines beside a tone as a table: below it, the tone, above it, by frequency.

use crate::analysis::partials::{Line, Partials};
use crate::figures::{difference, level, short};
use crate::plot::Ink;
use crate::plot::scene::{Anchor, Point, Role, Scene};
use crate::plot::tone::name;

/// Height of a row in pixels.
const ROW: f64 = 16.5;

/// Height of the head in pixels.
const HEAD: f64 = 20.0;

/// A line weaker than this is not listed, in dB re the tone.
const WEAKEST_DB: f64 = -140.0;

/// Right ends of the columns Hz, re the tone, dBFS and phase, from the left, in pixels.
const COLUMNS: [(&str, f64); 4] =
    [("Hz", 128.0), ("dB re tone", 196.0), ("dBFS", 246.0), ("phase", 292.0)];

/// Draws the table with its top left at `at` into `size`; columns and rows that have no room
/// are left out, the weakest harmonics first.
pub fn lines(scene: &mut Scene, at: Point, size: Point, partials: &Partials) {
    let columns: Vec<_> = COLUMNS.into_iter().filter(|column| column.1 <= size.0).collect();
    let y = at.1 + 12.0;
    scene.text((at.0, y), Anchor::Start, Role::Note, Ink::Second, "line");
    for (words, right) in &columns {
        scene.text((at.0 + right, y), Anchor::End, Role::Note, Ink::Second, *words);
    }
    let (left, right) = (at.0, at.0 + size.0);
    let rule = at.1 + HEAD - 2.0;
    scene.rule((left, rule), (right, rule), 1.3, Ink::Text);
    let rows = ((size.1 - HEAD) / ROW).max(0.0) as usize;
    for (i, (line, role, ink)) in listed(partials, rows).into_iter().enumerate() {
        let top = at.1 + HEAD + ROW * i as f64;
        let base = top + 12.0;
        scene.text((left, base), Anchor::Start, role, ink, words(&line));
        for (j, (_, x)) in columns.iter().enumerate() {
            let words = match j {
                0 => short(line.hz, 1),
                1 => difference(line.re_tone_db),
                2 => level(line.dbfs, 1),
                _ => format!("{}\u{b0}", level(line.phase_deg, 0)),
            };
            let ink = if role == Role::CellStrong { Ink::Text } else { Ink::Second };
            scene.text((at.0 + x, base), Anchor::End, role, ink, words);
        }
        scene.rule((left, top + ROW), (right, top + ROW), 1.0, Ink::Grid);
    }
}

/// What a line is called in the table.
fn words(line: &Line) -> String {
    let mains = if line.near_mains { ", mains?" } else { "" };
    if line.order == 1.0 { "the tone".into() } else { format!("{}{mains}", name(line)) }
}

/// The strongest lines that fit in `rows`, rising in frequency, each with its letters and colour.
fn listed(partials: &Partials, rows: usize) -> Vec<(Line, Role, Ink)> {
    let tone = Line {
        hz: partials.tone_hz,
        order: 1.0,
        re_tone_db: 0.0,
        dbfs: partials.tone_dbfs,
        phase_deg: 0.0,
        near_mains: false,
    };
    let octave = partials.below.iter().chain(&partials.odd_halves);
    let octave = octave.map(|line| (*line, Role::Cell, Ink::Octave));
    let above = partials.above.iter().map(|line| (*line, Role::Cell, Ink::Given));
    let mut all: Vec<_> = octave.chain(above).filter(|l| l.0.re_tone_db > WEAKEST_DB).collect();
    all.sort_by(|a, b| b.0.re_tone_db.total_cmp(&a.0.re_tone_db));
    all.insert(0, (tone, Role::CellStrong, Ink::Text));
    all.truncate(rows);
    all.sort_by(|a, b| a.0.hz.total_cmp(&b.0.hz));
    all
}
