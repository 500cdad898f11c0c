//! Where the words of a frame stand, to hold that none lies on another.

use egui::epaint::{ClippedShape, Shape};
use egui::{Rect, vec2};

/// Some words and the room their ink takes, in points.
#[derive(Clone, Debug)]
pub struct Words {
    /// The words.
    pub text: String,
    /// The room of their ink.
    pub rect: Rect,
    /// The size of their smallest letters.
    pub size: f32,
}

/// Every text of a frame; the copies that make a halo are left out.
pub fn words(shapes: &[ClippedShape]) -> Vec<Words> {
    words_at(shapes, 1.0)
}

/// The same of a frame that was drawn at a zoom, where it stands at zoom 1.
pub fn words_at(shapes: &[ClippedShape], zoom: f32) -> Vec<Words> {
    let mut found: Vec<Words> = Vec::new();
    for clipped in shapes {
        collect(&clipped.shape, zoom, &mut found);
    }
    found
}

fn collect(shape: &Shape, zoom: f32, found: &mut Vec<Words>) {
    match shape {
        Shape::Vec(shapes) => shapes.iter().for_each(|shape| collect(shape, zoom, found)),
        Shape::Text(text) if !text.galley.text().trim().is_empty() => {
            let words = Words {
                text: text.galley.text().to_owned(),
                size: text
                    .galley
                    .job
                    .sections
                    .iter()
                    .map(|s| s.format.font_id.size)
                    .fold(f32::MAX, f32::min),
                rect: text.galley.mesh_bounds.translate(text.pos.to_vec2()) / zoom,
            };
            let same = |other: &Words| {
                other.text == words.text && (other.rect.min - words.rect.min).length() < 4.0
            };
            if !found.iter().any(same) {
                found.push(words);
            }
        }
        _ => {}
    }
}

/// Pairs of words whose ink lies on each other by more than a point: the mesh of a letter is a
/// pixel wider than its ink.
pub fn overlaps(words: &[Words]) -> Vec<String> {
    let mut pairs = Vec::new();
    for (i, one) in words.iter().enumerate() {
        for other in &words[i + 1..] {
            let common = one.rect.shrink2(vec2(0.25, 0.25)).intersect(other.rect);
            if common.width() > 1.0 && common.height() > 1.0 {
                pairs.push(format!("{:?} on {:?} at {:?}", one.text, other.text, common.min));
            }
        }
    }
    pairs
}
