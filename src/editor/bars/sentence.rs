//! The sentence over every picture: the finding, and the key.
//!
//! A word that names a cause is underlined in the dash of that cause. Where
//! room is short, whole sentences at the end are left out.

use crate::editor::controls::pen::Pen;
use crate::editor::paint::scene::{base_line, line};
use crate::editor::paint::theme::face;
use crate::plot::{Cause, Ink};
use crate::report::Sentence;
use egui::{Galley, Pos2, Rect};
use std::sync::Arc;

/// One word in its place.
struct Word {
    galley: Arc<Galley>,
    at: Pos2,
    cause: Option<Cause>,
    /// Where this word's part of the sentence begins: underlines join within a part.
    part: usize,
    ends: bool,
}

/// Draws `sentence` in `rect` in letters of a size, in at most a number of rows.
pub fn show(pen: &Pen, rect: Rect, (size, rows): (f32, usize), sentence: &Sentence) {
    let row_height = size * 1.3;
    let fits = |word: &Word| word.at.y < rect.min.y + rows as f32 * row_height - 1.0;
    let mut words = place(pen, rect, size, row_height, sentence);
    let shown = match words.iter().position(|word| !fits(word)) {
        None => words.len(),
        Some(cut) => words[..cut].iter().rposition(|word| word.ends).map_or(cut, |last| last + 1),
    };
    words.truncate(shown);
    for word in &words {
        let ink = word.cause.map_or(Ink::Text, |cause| cause.stroke().ink);
        pen.painter().galley(word.at, word.galley.clone(), pen.theme.colour(ink));
    }
    let same = |a: &Word, b: &Word| a.part == b.part && a.at.y == b.at.y;
    for run in words.chunk_by(same) {
        let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
        let Some(cause) = first.cause else { continue };
        let y = first.at.y + base_line(&first.galley) + 3.5;
        let ends = [first.at.x, last.at.x + last.galley.size().x];
        let width = cause.stroke().width.max(1.5) as f32;
        line(pen.painter(), cause, width, ends.map(|x| Pos2::new(x, y)).to_vec(), &pen.theme);
    }
}

fn place(pen: &Pen, rect: Rect, size: f32, row_height: f32, sentence: &Sentence) -> Vec<Word> {
    let space = 0.2 * size;
    let (mut x, mut y) = (rect.min.x, rect.min.y);
    let mut words = Vec::new();
    for (part, said) in sentence.said.iter().enumerate() {
        if said.words.starts_with(' ') && x > rect.min.x {
            x += space;
        }
        for (i, word) in said.words.split_whitespace().enumerate() {
            let ink = said.cause.map_or(Ink::Text, |cause| cause.stroke().ink);
            let font = face(size, said.cause.is_some());
            let galley = pen.painter().layout_no_wrap(word.to_owned(), font, pen.theme.colour(ink));
            let width = galley.size().x;
            if i > 0 {
                x += space;
            }
            // A full stop after a cause stays with it.
            let breaks = word.len() > 1 || word.chars().all(char::is_alphanumeric);
            if x + width > rect.max.x && breaks {
                (x, y) = (rect.min.x, y + row_height);
            }
            words.push(Word {
                galley,
                at: Pos2::new(x, y),
                cause: said.cause,
                part,
                ends: word.ends_with('.'),
            });
            x += width;
        }
        if said.words.ends_with(' ') && !said.words.trim().is_empty() {
            x += space;
        }
    }
    words
}
