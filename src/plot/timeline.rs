//! What a track plays when: bars in time, as high as they are loud; loud low tones stand out.

use crate::figures::short;
use crate::plot::scene::{Anchor, Rect, Role, Scene};
use crate::plot::{Fill, Ink};

/// A stretch of a track.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// Start in seconds.
    pub from_s: f64,
    /// End in seconds.
    pub to_s: f64,
    /// Peak level in dBFS; `None` for silence.
    pub peak_dbfs: Option<f64>,
    /// What it plays, in a word or two; empty for a bar without words.
    pub words: String,
    /// True for what moves cones far.
    pub is_loud_and_low: bool,
}

/// Level at the foot of the bars, dBFS.
const FOOT_DBFS: f64 = -40.0;

/// Draws the bars into `rect`; seconds stand below it.
pub fn timeline(scene: &mut Scene, rect: Rect, bars: &[Bar]) {
    let end = bars.iter().map(|bar| bar.to_s).fold(1.0, f64::max);
    let x = |s: f64| rect.x + rect.width * s / end;
    scene.area(Fill::Flat(Ink::Sheet), rect.corners());
    for bar in bars {
        draw_bar(scene, rect, (x(bar.from_s), x(bar.to_s)), bar);
    }
    // What is loud and low is named first; others give way.
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for is_loud in [true, false] {
        for bar in bars.iter().filter(|b| b.is_loud_and_low == is_loud && !b.words.is_empty()) {
            let middle = 0.5 * (x(bar.from_s) + x(bar.to_s));
            name_bar(scene, rect, middle, bar, &mut taken);
        }
    }
    scene.rule((rect.x, rect.bottom()), (rect.right(), rect.bottom()), 1.3, Ink::Text);
    let step = if end > 90.0 { 20.0 } else { 5.0 };
    for i in 0..=(end / step) as usize {
        let s = i as f64 * step;
        let words = if i == 0 { "0 s".into() } else { short(s, 0) };
        scene.rule((x(s), rect.bottom()), (x(s), rect.bottom() + 4.0), 1.0, Ink::Text);
        scene.text((x(s), rect.bottom() + 15.0), Anchor::Middle, Role::Tick, Ink::Second, words);
    }
}

fn draw_bar(scene: &mut Scene, rect: Rect, (left, right): (f64, f64), bar: &Bar) {
    let Some(peak) = bar.peak_dbfs else { return };
    let top = rect.y + rect.height * (peak / FOOT_DBFS).clamp(0.0, 1.0);
    let place = Rect::new(left, top, (right - left).max(1.0), rect.bottom() - top);
    let fill = if bar.is_loud_and_low { Ink::FaultWash } else { Ink::GivenWash };
    scene.area(Fill::Flat(fill), place.corners());
    if bar.is_loud_and_low {
        scene.outline(place.corners(), 1.2, Ink::Fault);
    }
}

/// Names a bar above it, where no other name stands.
fn name_bar(scene: &mut Scene, rect: Rect, middle: f64, bar: &Bar, taken: &mut Vec<(f64, f64)>) {
    let (role, ink) = match bar.is_loud_and_low {
        true => (Role::Strong, Ink::Fault),
        false => (Role::Note, Ink::Text),
    };
    let half = role.width(&bar.words) / 2.0;
    let at = middle.clamp(rect.x + half, rect.right() - half);
    let (from, to) = (at - half - 3.0, at + half + 3.0);
    if taken.iter().all(|t| to <= t.0 || from >= t.1) {
        scene.text((at, rect.y - 5.0), Anchor::Middle, role, ink, bar.words.as_str());
        taken.push((from, to));
    }
}
