//! Words to click side by side, set so that they end at a place but reached by Tab from left to
//! right.

use crate::editor::controls::pen::{Pen, Spot, reach_width};
use crate::plot::{Ink, Role};
use egui::Pos2;

/// One of them.
pub struct Word<'a> {
    /// What it says.
    pub words: &'a str,
    /// What it is known by.
    pub name: &'a str,
    /// Whether it stands on a slab.
    pub chosen: bool,
    /// Its size and weight.
    pub role: Role,
    /// Its colour.
    pub ink: Ink,
}

impl<'a> Word<'a> {
    /// A word that is lit while it is on.
    pub fn new(words: &'a str, name: &'a str, role: Role, is_on: bool) -> Self {
        let ink = if is_on { Ink::Text } else { Ink::Second };
        Self { words, name, chosen: false, role, ink }
    }
}

/// Where words of these widths begin that stand `gap` points apart, and so far that each can be hit
/// by itself; and where they end.
fn places(widths: impl Iterator<Item = f32>, gap: f32) -> (Vec<f32>, f32) {
    let (mut places, mut end, mut reached) = (Vec::new(), -gap, f32::NEG_INFINITY);
    for width in widths {
        let half = 0.5 * reach_width(width);
        let left = (end + gap).max(reached + half - 0.5 * width);
        (end, reached) = (left + width, left + 0.5 * width + half);
        places.push(left);
    }
    (places, end)
}

/// How wide words of one role are together, `gap` points apart.
pub fn width<'a>(words: impl Iterator<Item = &'a str>, role: Role, gap: f32) -> f32 {
    places(words.map(|words| role.width(words) as f32), gap).1
}

/// Shows the words `gap` points apart or more, the last one ending at `end`; returns which one was
/// clicked, and where the first begins.
pub fn ending_at(pen: &mut Pen, end: Pos2, gap: f32, row: &[Word]) -> (Option<usize>, f32) {
    let (places, all) = places(row.iter().map(|word| word.role.width(word.words) as f32), gap);
    let (left, mut clicked) = (end.x - all, None);
    for (i, (word, place)) in row.iter().zip(places).enumerate() {
        let spot = Spot::new(left + place, end.y, word.role, word.ink);
        if pen.word(spot, word.words, word.name, word.chosen) {
            clicked = Some(i);
        }
    }
    (clicked, left)
}
