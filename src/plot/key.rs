//! A row of small marks with their names, for pictures whose marks are too small for labels.

use crate::plot::scene::{Anchor, Point, Rect, Role, Scene};
use crate::plot::{Fill, Ink};

/// A sample of one mark.
type Sample = fn(&mut Scene, Point);

/// The marks of the bore log: what they look like and what they mean.
const BORE: [(Sample, &str, bool); 6] = [
    (|scene, at| strip(scene, at, Fill::Flat(Ink::GivenWash)), "radio gives", false),
    (|scene, at| strip(scene, at, Fill::Slanted), "octave part", false),
    (|scene, at| strip(scene, at, Fill::Upright), "low band", false),
    (
        |scene, (x, y)| scene.disc((x + 8.0, y), 3.0, Ink::Text, (Ink::Sheet, 0.8)),
        "comes out",
        false,
    ),
    (diamond, "target", true),
    (boxed, "more than 3 dB off", true),
];

/// Draws the key of the bore log with its left end at `at`, as far as `width` reaches; what
/// belongs to a target only when `has_target`.
pub fn bore(scene: &mut Scene, at: Point, width: f64, has_target: bool) {
    let mut x = at.0;
    for (sample, words, is_target) in BORE {
        let room = 22.0 + Role::Note.width(words);
        if (is_target && !has_target) || x + room > at.0 + width {
            continue;
        }
        sample(scene, (x, at.1));
        scene.text((x + 21.0, at.1 + 3.9), Anchor::Start, Role::Note, Ink::Second, words);
        x += room + 16.0;
    }
}

fn strip(scene: &mut Scene, (x, y): Point, fill: Fill) {
    scene.area(fill, Rect::new(x, y - 3.0, 16.0, 6.0).corners());
}

fn diamond(scene: &mut Scene, (x, y): Point) {
    let x = x + 8.0;
    let corners = [(x, y - 4.2), (x + 4.2, y), (x, y + 4.2), (x - 4.2, y)];
    scene.outline(corners.to_vec(), 1.2, Ink::Text);
}

fn boxed(scene: &mut Scene, (x, y): Point) {
    scene.outline(Rect::new(x, y - 5.5, 16.0, 11.0).corners(), 1.4, Ink::Text);
}
