//! One rule for every label: above, below, left, right of its place, else it is dropped.
//!
//! What is dropped still stands in the sentence and in the tables.

use crate::plot::lettering::{CAPITAL, DESCENT};
use crate::plot::scene::{Anchor, Mark, Point, Rect, Role, Scene};
use crate::plot::{Fill, Ink};

/// Keeps labels inside a frame and apart from each other and from lines.
#[derive(Clone, Debug)]
pub struct Placer {
    frame: Rect,
    taken: Vec<Rect>,
}

/// A label before it has a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Its words.
    pub words: String,
    /// Size and weight.
    pub role: Role,
    /// Its colour.
    pub ink: Ink,
    /// The colour behind it.
    pub halo: Option<Ink>,
}

impl Label {
    /// A label without halo.
    pub fn new(words: impl Into<String>, role: Role, ink: Ink) -> Self {
        Self { words: words.into(), role, ink, halo: None }
    }

    /// The same label laid on a fill: its wash is laid behind the letters.
    pub fn on(self, fill: Option<Fill>) -> Self {
        let halo = match fill {
            Some(Fill::Flat(ink)) => Some(ink),
            Some(Fill::Slanted) => Some(Ink::OctaveWash),
            Some(Fill::Upright) => Some(Ink::LowWash),
            _ => None,
        };
        Self { halo, ..self }
    }

    /// Width and height in pixels.
    pub fn size(&self) -> (f64, f64) {
        let height = (CAPITAL + DESCENT) * self.role.size();
        (self.role.width(&self.words), height)
    }
}

impl Placer {
    /// A placer for labels inside `frame`.
    pub fn new(frame: Rect) -> Self {
        Self { frame, taken: Vec::new() }
    }

    /// Keeps labels off a rectangle.
    pub fn keep_off(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Keeps labels off a line by `margin` pixels on both sides.
    pub fn keep_off_line(&mut self, points: &[Point], margin: f64) {
        for pair in points.windows(2) {
            let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
            // A steep or long piece is covered by several rectangles, so that they hug it.
            let parts = ((y1 - y0).abs() / 6.0).max((x1 - x0).abs() / 12.0).ceil().max(1.0);
            for part in 0..parts as usize {
                let (a, b) = (part as f64 / parts, (part + 1) as f64 / parts);
                let (xa, xb) = (x0 + a * (x1 - x0), x0 + b * (x1 - x0));
                let (ya, yb) = (y0 + a * (y1 - y0), y0 + b * (y1 - y0));
                let top = ya.min(yb) - margin;
                let left = xa.min(xb) - margin;
                self.keep_off(Rect::new(
                    left,
                    top,
                    (xa - xb).abs() + 2.0 * margin,
                    (ya - yb).abs() + 2.0 * margin,
                ));
            }
        }
    }

    /// The first of `candidates` that is inside the frame and free; it is taken from then on.
    pub fn take(&mut self, candidates: impl IntoIterator<Item = Rect>) -> Option<Rect> {
        let free = |rect: &Rect| {
            self.frame.holds(rect) && !self.taken.iter().any(|taken| taken.meets(rect))
        };
        let found = candidates.into_iter().find(free)?;
        self.taken.push(found);
        Some(found)
    }

    /// Sets a label beside one of `places`: all four sides of the first, then of the next.
    /// Returns where it stands, or `None` when it was dropped.
    pub fn set(
        &mut self,
        scene: &mut Scene,
        label: &Label,
        places: impl IntoIterator<Item = Point>,
        gap: f64,
    ) -> Option<Rect> {
        let size = label.size();
        let rect = self.take(places.into_iter().flat_map(|at| beside(at, size, gap)))?;
        draw(scene, label, rect);
        Some(rect)
    }

    /// Sets a label with its middle on one of `places`.
    pub fn set_on(
        &mut self,
        scene: &mut Scene,
        label: &Label,
        places: impl IntoIterator<Item = Point>,
    ) -> Option<Rect> {
        let (width, height) = label.size();
        let on = |(x, y): Point| Rect::new(x - width / 2.0, y - height / 2.0, width, height);
        let rect = self.take(places.into_iter().map(on))?;
        draw(scene, label, rect);
        Some(rect)
    }
}

/// The four places beside a point: above, below, left, right.
fn beside((x, y): Point, (width, height): (f64, f64), gap: f64) -> [Rect; 4] {
    [
        Rect::new(x - width / 2.0, y - gap - height, width, height),
        Rect::new(x - width / 2.0, y + gap, width, height),
        Rect::new(x - gap - width, y - height / 2.0, width, height),
        Rect::new(x + gap, y - height / 2.0, width, height),
    ]
}

fn draw(scene: &mut Scene, label: &Label, rect: Rect) {
    scene.marks.push(Mark::Text {
        at: (rect.x, rect.y + CAPITAL * label.role.size()),
        anchor: Anchor::Start,
        role: label.role,
        ink: label.ink,
        halo: label.halo,
        words: label.words.clone(),
    });
}
