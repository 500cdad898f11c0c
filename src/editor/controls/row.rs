//! Words to click side by side, set so that they end at a place but reached by Tab from left to
//! right.

use crate::editor::controls::pen::{Pen, Spot};
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

/// Shows the words `gap` points apart, the last one ending at `end`; returns which one was
/// clicked, and where the first begins.
pub fn ending_at(pen: &mut Pen, end: Pos2, gap: f32, row: &[Word]) -> (Option<usize>, f32) {
    let width = |word: &Word| word.role.width(word.words) as f32;
    let all: f32 = row.iter().map(width).sum::<f32>() + gap * row.len().saturating_sub(1) as f32;
    let (left, mut clicked) = (end.x - all, None);
    let mut x = left;
    for (i, word) in row.iter().enumerate() {
        let spot = Spot::new(x, end.y, word.role, word.ink);
        if pen.word(spot, word.words, word.name, word.chosen) {
            clicked = Some(i);
        }
        x += width(word) + gap;
    }
    (clicked, left)
}
