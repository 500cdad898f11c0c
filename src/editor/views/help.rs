//! One page of help: every key, and what the fills and lines of the pictures mean.

use crate::editor::controls::pen::Pen;
use crate::editor::paint::scene;
use crate::plot::scene::{Anchor, Rect as Box, Role, Scene};
use crate::plot::{Cause, Fill, Ink};
use egui::Rect;

/// Every key and what it does.
pub const KEYS: [(&str, &str); 22] = [
    ("Tab, arrows", "next part; one step, with Shift a tenth of it"),
    ("Page, Home, End, Delete", "four steps, the ends, the default"),
    ("Enter, Esc", "type a number; leave it"),
    ("F6", "head, sheet, line, foot"),
    ("Ctrl+1 to Ctrl+6", "views"),
    ("Ctrl+Z, Ctrl+Y", "take back what was set; do it again"),
    ("B, L", "bypass; where you listen"),
    ("Alt+A, Alt+B, Alt+X", "A, B; without names"),
    ("C", "cursor: then arrows"),
    ("W", "whole range; all bands"),
    ("F, H, R", "freeze; hold extremes; measure afresh"),
    ("K", "clear what clipped"),
    ("V", "kept curves, target"),
    ("P", "presets"),
    ("E", "keep this view as a file"),
    ("T, hold Enter", "choose a test signal; start it"),
    ("M", "measure the line, a device, a radio"),
    ("Esc", "silence, from anywhere; closes what is open"),
    ("Ctrl +, \u{2212}, 0", "zoom"),
    ("double click", "a grip: its default; a number: type it"),
    ("drag", "grips, numbers, the gain in the picture"),
    ("F1", "this page"),
];

/// What a fill means.
const FILLS: [(Fill, &str); 4] = [
    (Fill::Flat(Ink::GivenWash), "flat: what the radio gives"),
    (Fill::Slanted, "slanted: new, made by the octave part"),
    (Fill::Upright, "upright: lifted by the low band"),
    (Fill::Dots, "dots: not measured for long enough yet"),
];

/// What a line means.
const LINES: [(Cause, &str); 6] = [
    (Cause::Out, "heavy: what comes out"),
    (Cause::Given, "thin: what arrives, or a kept curve"),
    (Cause::Taken, "dashed: taken out"),
    (Cause::Target, "dash and dot: a target or a limit"),
    (Cause::Difference, "dotted: a difference"),
    (Cause::Open, "dashed, dark: before the last change"),
];

/// Further words of the window.
const WORDS: [&str; 5] = [
    "A layer's height is the dB that its stage added there.",
    "clean and fast: the octave part pure, or early.",
    "floor: no octave note below it. \u{b0}: phase of the octave part.",
    "ct: hundredths of a semitone beside a note, A4 = 440 Hz.",
    "F1 or Esc closes this page.",
];

/// Height of a row, in points.
const ROW: f64 = 17.0;

/// Shows the page in `rect`.
pub fn show(pen: &mut Pen, rect: Rect) {
    let (width, height) = (f64::from(rect.width()), f64::from(rect.height()));
    let mut page = Scene::new(width, height, "help");
    page.area(Fill::Flat(Ink::Sheet), Box::new(0.0, 0.0, width, height).corners());
    let half = KEYS.len().div_ceil(2);
    let row = ((height - 34.0) / (half as f64 + 8.0)).clamp(13.2, ROW);
    let column = 0.5 * width;
    for (i, (key, does)) in KEYS.iter().enumerate() {
        let x = 10.0 + column * (i / half) as f64;
        let y = 16.0 + row * (i % half) as f64;
        page.text((x, y), Anchor::Start, Role::Strong, Ink::Text, *key);
        page.text((x + 136.0, y), Anchor::Start, Role::Note, Ink::Second, *does);
    }
    let top = 16.0 + row * half as f64 + 8.0;
    page.rule((10.0, top - 10.0), (width - 10.0, top - 10.0), 1.0, Ink::Rule);
    marks(&mut page, [(10.0, top + 6.0), (10.0 + column, top + 6.0)], row);
    scene::draw(pen.painter(), rect.min, &page, &pen.theme);
}

/// The fills on the left, the lines on the right, and words beneath both.
fn marks(page: &mut Scene, [left, right]: [(f64, f64); 2], row: f64) {
    for (i, (fill, words)) in FILLS.iter().enumerate() {
        let (x, y) = (left.0, left.1 + row * i as f64);
        let swatch = Box::new(x, y - 9.0, 28.0, 11.0);
        page.area(*fill, swatch.corners());
        page.outline(swatch.corners(), 1.0, Ink::Second);
        page.text((x + 36.0, y), Anchor::Start, Role::Note, Ink::Text, *words);
    }
    for (i, (cause, words)) in LINES.iter().enumerate() {
        let (x, y) = (right.0, right.1 + row * i as f64);
        page.line(*cause, vec![(x, y - 4.0), (x + 28.0, y - 4.0)]);
        page.text((x + 36.0, y), Anchor::Start, Role::Note, Ink::Text, *words);
    }
    for (i, words) in WORDS.iter().enumerate() {
        let at = match i < WORDS.len() - 2 {
            true => (left.0, left.1 + row * (FILLS.len() + i) as f64),
            false => (right.0, right.1 + row * (LINES.len() + i + 2 - WORDS.len()) as f64),
        };
        page.text(at, Anchor::Start, Role::Note, Ink::Text, *words);
    }
}
