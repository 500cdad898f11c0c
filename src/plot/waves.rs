//! The waves of a tone standing still: dry, octave part and what comes out, one above another.
//!
//! They are laid over whole periods of the subharmonic; its odd and even swings
//! alternate lit and plain, so the eye sees that the wave repeats only after two.

use crate::analysis::scope::Scope;
use crate::figures::{difference, frequency, short};
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Anchor, Point, Rect, Role, Scene};
use crate::plot::swings::{fold, one_period, trace};
use crate::plot::{Cause, Fill, Ink, full_scale};

/// Room for the names on the left, in pixels.
const NAMES: f64 = 84.0;

/// Room above the waves and below them for dimensions and names, in pixels.
const EDGE: f64 = 22.0;

/// Draws the three rows into the left of `rect` and the swings laid together into a column of
/// `side` pixels on its right. False when the scope holds nothing to draw.
pub fn waves(scene: &mut Scene, rect: Rect, side: f64, scope: &Scope) -> bool {
    let all = [&scope.dry, &scope.octave, &scope.out];
    let loudest = all.into_iter().flatten().fold(0.0, |top: f64, value| top.max(value.abs()));
    let whole = scope.span_s > 0.0 && scope.period_s > 0.0;
    let top = full_scale::reach(loudest);
    if !top.is_normal() || !whole || scope.out.len() < 8 || scope.dry.len() < 8 {
        return false;
    }
    let field =
        Rect::new(rect.x + NAMES, rect.y, rect.width - NAMES - side - 20.0, rect.height - EDGE);
    let rows = Rows { field, scope, top };
    rows.draw_ground(scene);
    rows.draw_row(scene, 0, Cause::Given, &scope.dry, "dry", 2.0);
    rows.draw_row(scene, 1, Cause::Octave, &scope.octave, "octave part", 1.0);
    rows.draw_row(scene, 2, Cause::Out, &scope.out, "comes out", 1.0);
    rows.draw_dimensions(scene);
    rows.draw_full_scale(scene);
    let right = Rect::new(rect.right() - side, rect.y, side, rect.height);
    draw_folds(scene, right, scope, top);
    true
}

struct Rows<'a> {
    field: Rect,
    scope: &'a Scope,
    /// What the edge of a row stands for, as a share of full scale.
    top: f64,
}

impl Rows<'_> {
    /// Periods of the subharmonic from the left end to the right end.
    fn periods(&self) -> f64 {
        self.scope.span_s / self.scope.period_s
    }

    /// Pixels from the left after a number of half periods, which are the swings of the tone.
    fn x(&self, swings: f64) -> f64 {
        self.field.x + self.field.width * (swings / 2.0 / self.periods()).min(1.0)
    }

    fn swings(&self) -> usize {
        (2.0 * self.periods()).round() as usize
    }

    fn row(&self, row: usize) -> Rect {
        let inner = self.field.height - 2.0 * EDGE;
        // What comes out is what matters: it has more room than the others.
        let (top, height) = [(0.0, 0.29), (0.29, 0.29), (0.58, 0.42)][row];
        Rect::new(self.field.x, self.field.y + EDGE + top * inner, self.field.width, height * inner)
    }

    /// Where the wave of a row runs: that of what comes out leaves room for figures on its swings.
    fn run(&self, row: usize) -> Rect {
        let rect = self.row(row);
        let room = if row == 2 { 11.0 } else { 0.0 };
        Rect { y: rect.y + room, height: rect.height - 2.0 * room, ..rect }
    }

    fn draw_ground(&self, scene: &mut Scene) {
        scene.area(Fill::Flat(Ink::Sheet), self.field.corners());
        let bottom = self.field.bottom();
        for swing in 0..self.swings() {
            let (from, to) = (self.x(swing as f64), self.x(swing as f64 + 1.0));
            let is_odd = swing % 2 == 0;
            if is_odd {
                let lit = Rect::new(from, self.field.y, to - from, self.field.height);
                scene.area(Fill::Flat(Ink::Lit), lit.corners());
            }
            let words = if is_odd { "odd" } else { "even" };
            if to - from > 40.0 {
                let at = ((from + to) / 2.0, bottom + 14.0);
                scene.text(at, Anchor::Middle, Role::Note, Ink::Second, words);
            }
        }
        for row in 1..3 {
            let y = self.row(row).y;
            scene.rule((self.field.x - NAMES, y), (self.field.right(), y), 1.0, Ink::Rule);
        }
        scene.rule((self.field.x, bottom), (self.field.right(), bottom), 1.3, Ink::Text);
    }

    /// One wave about its middle line, with its name and its frequency on the left: `times`
    /// that of the subharmonic.
    fn draw_row(
        &self,
        scene: &mut Scene,
        row: usize,
        cause: Cause,
        wave: &[f64],
        name: &str,
        times: f64,
    ) {
        let rect = self.run(row);
        let middle = rect.y + rect.height / 2.0;
        let line = trace(wave, rect, self.top);
        if cause == Cause::Octave {
            // One area for each swing, so that every one is a plain strip.
            let side = |point: &Point| point.1 < middle;
            for swing in line.chunk_by(|a, b| side(a) == side(b)).filter(|s| s.len() > 1) {
                let back = swing.iter().rev().map(|point| (point.0, middle));
                scene.area(Fill::Slanted, swing.iter().copied().chain(back).collect());
            }
        }
        scene.rule((rect.x, middle), (rect.right(), middle), 1.0, Ink::Grid);
        scene.line(cause, line);
        let left = self.field.x - NAMES + 8.0;
        let ink = cause.stroke().ink;
        scene.text((left, middle - 2.0), Anchor::Start, Role::Label, ink, name);
        let words = match row {
            2 => format!("every {} ms", short(1000.0 * self.scope.period_s, 1)),
            _ => format!("{} Hz", frequency((10.0 * times / self.scope.period_s).round() / 10.0)),
        };
        scene.text((left, middle + 12.0), Anchor::Start, Role::Note, Ink::Second, words);
    }

    /// The period of the tone above, that of the subharmonic below.
    fn draw_dimensions(&self, scene: &mut Scene) {
        let half_ms = 500.0 * self.scope.period_s;
        let one = format!("{} ms", short(half_ms, 1));
        self.dimension(scene, 1.0, self.field.y + 11.0, &one);
        let two = format!("{} ms = 2 \u{d7} {}", short(2.0 * half_ms, 1), short(half_ms, 1));
        self.dimension(scene, 2.0, self.field.bottom() - 11.0, &two);
        let words = full_scale::reach_in_words(self.top);
        let left = self.x(1.0) + 12.0;
        let at = (self.field.right() - 6.0, self.field.y + 14.9);
        if at.0 - Role::Note.width(&words) > left {
            scene.text(at, Anchor::End, Role::Note, Ink::Second, words);
        }
    }

    /// Full scale in the row of what comes out, and what of the wave lies beyond it; then the
    /// heights of the swings, off the plate that says by how much.
    fn draw_full_scale(&self, scene: &mut Scene) {
        let mut placer = Placer::new(self.row(2));
        placer.keep_off_line(&trace(&self.scope.out, self.run(2), self.top), 2.0);
        if self.top >= 1.0 {
            let over = full_scale::draw(scene, self.run(2), &self.scope.out, self.top);
            over.into_iter().for_each(|plate| placer.keep_off(plate));
            let lines = full_scale::lines(self.run(2), self.top);
            lines.iter().for_each(|line| placer.keep_off_line(line, 1.0));
        }
        self.draw_peaks(scene, placer);
    }

    fn dimension(&self, scene: &mut Scene, swings: f64, y: f64, words: &str) {
        let (from, to) = (self.x(0.0), self.x(swings));
        let half = Role::Note.width(words) / 2.0 + 4.0;
        let middle = (from + to) / 2.0;
        if half * 2.0 > to - from {
            return;
        }
        scene.rule((from, y), (middle - half, y), 1.2, Ink::Text);
        scene.rule((middle + half, y), (to, y), 1.2, Ink::Text);
        for x in [from, to] {
            scene.rule((x - 3.5, y + 3.5), (x + 3.5, y - 3.5), 1.2, Ink::Text);
        }
        scene.text((middle, y + 3.9), Anchor::Middle, Role::Note, Ink::Text, words);
    }

    /// The height of each swing of what comes out.
    fn draw_peaks(&self, scene: &mut Scene, mut placer: Placer) {
        let rect = self.run(2);
        let wave = &self.scope.out;
        let per_swing = wave.len() as f64 / self.swings().max(1) as f64;
        let reach = rect.height / 2.0 - 3.0;
        for swing in 0..self.swings().min(4) {
            let from = (swing as f64 * per_swing) as usize;
            let to = ((swing + 1) as f64 * per_swing) as usize;
            let piece = wave.get(from..to.min(wave.len())).unwrap_or_default();
            // A swing that only falls or rises from edge to edge has no height of its own.
            let inner = piece.windows(3).enumerate().filter(|(_, w)| w[1] >= w[0] && w[1] > w[2]);
            let top = inner.map(|(i, w)| (i + 1, w[1])).max_by(|a, b| a.1.total_cmp(&b.1));
            let Some((i, value)) = top else { continue };
            let x = rect.x + rect.width * (from + i) as f64 / (wave.len() - 1) as f64;
            let y = rect.y + rect.height / 2.0 - reach * value / self.top;
            scene.rule((x - 9.0, y), (x + 9.0, y), 1.0, Ink::Text);
            let label = Label::new(hundredths(value), Role::Strong, Ink::Text);
            let places = [
                (x + 24.0, y),
                (x, y - 8.0),
                (x - 24.0, y),
                (x + 24.0, y - 8.0),
                (x, y + 13.0),
                (x, y - 18.0),
            ];
            placer.set_on(scene, &label, places);
        }
    }
}

/// A share of full scale with its sign, `+0.42`.
fn hundredths(value: f64) -> String {
    let sign = if difference(value).starts_with('+') || value >= 0.005 { "+" } else { "" };
    format!("{sign}{}", crate::figures::level(value, 2))
}

/// Odd and even swings laid together: the dry part alone, and what comes out.
fn draw_folds(scene: &mut Scene, rect: Rect, scope: &Scope, loudest: f64) {
    if rect.width < 80.0 {
        return;
    }
    scene.text(
        (rect.x, rect.y + 11.0),
        Anchor::Start,
        Role::Strong,
        Ink::Text,
        "odd and even laid together",
    );
    let [dry, out] = [&scope.dry, &scope.out].map(|wave| one_period(wave, scope));
    let height = (rect.height - EDGE) / 2.0 - 22.0;
    let upper = Rect::new(rect.x, rect.y + 18.0, rect.width, height);
    let lower = Rect::new(rect.x, upper.bottom() + 26.0, rect.width, height);
    for (place, wave, name) in [(upper, dry, "dry"), (lower, out, "comes out")] {
        let split = fold(scene, place, [dry, wave], loudest);
        let words = if split { "two strands" } else { "one strand" };
        let at = (place.x, place.bottom() + 14.0);
        scene.text(at, Anchor::Start, Role::Note, Ink::Second, format!("{name}: {words}"));
    }
}
