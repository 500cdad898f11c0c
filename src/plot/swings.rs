//! Odd and even swings laid together: without an octave part one strand, with it two.
//!
//! A wave with a half repeats only after two periods of the tone, so its odd
//! and even swings differ; laid on each other they part, and the gap is the octave part.

use crate::analysis::scope::Scope;
use crate::figures::short;
use crate::plot::columns::{Pick, reduce};
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Anchor, Point, Rect, Role, Scene};
use crate::plot::{Cause, Fill, Ink};

/// Draws the waves before and after over one period of the subharmonic into the left of
/// `rect`, and the swings laid together into its right. Nothing for a scope without samples.
pub fn swings(scene: &mut Scene, rect: Rect, scope: &Scope) {
    let [dry, out] = [&scope.dry, &scope.out].map(|wave| one_period(wave, scope));
    if dry.len() < 8 || out.len() < 8 {
        return;
    }
    let loudest = dry.iter().chain(out).fold(0.0, |top: f64, value| top.max(value.abs()));
    if !loudest.is_normal() {
        return;
    }
    let width = (rect.width - 10.0) / 2.0;
    let caption = 18.0;
    let height = rect.height - caption;
    let left = Rect { width, height, ..rect };
    let right = Rect::new(rect.x + width + 10.0, rect.y, width, height);
    draw_waves(scene, left, [dry, out], loudest);
    let split = fold(scene, right, [dry, out], loudest);
    let words = if split { "blend: two strands" } else { "blend: one strand" };
    let y = rect.bottom() - 3.0;
    let span = format!("{} ms: before and after", short(1000.0 * scope.period_s, 1));
    if Role::Note.width(&span) < width + 6.0 {
        scene.text((left.x, y), Anchor::Start, Role::Note, Ink::Second, span);
    }
    scene.text((right.x, y), Anchor::Start, Role::Note, Ink::Second, words);
}

/// The samples of one period of the subharmonic.
pub(super) fn one_period<'a>(wave: &'a [f64], scope: &Scope) -> &'a [f64] {
    let share = scope.period_s / scope.span_s;
    let count = (wave.len() as f64 * share).round();
    if count >= 2.0 && count <= wave.len() as f64 { &wave[..count as usize] } else { wave }
}

/// Draws one period of the subharmonic of `out` with its odd and even swings laid together,
/// over that of `dry`, scaled so that `loudest` fits; says whether the strands part.
pub fn fold(scene: &mut Scene, rect: Rect, waves: [&[f64]; 2], loudest: f64) -> bool {
    let split = strands(waves[1]) > 0.01 * loudest;
    draw_fold(scene, rect, waves, loudest, split);
    split
}

/// How far odd and even swings part at most, in the unit of the samples.
fn strands(wave: &[f64]) -> f64 {
    let (odd, even) = wave.split_at(wave.len() / 2);
    odd.iter().zip(even).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

fn draw_waves(scene: &mut Scene, rect: Rect, [dry, out]: [&[f64]; 2], loudest: f64) {
    let half = Rect { width: rect.width / 2.0, ..rect };
    scene.area(Fill::Flat(Ink::Sheet), rect.corners());
    scene.area(Fill::Flat(Ink::Lit), half.corners());
    let middle = rect.y + rect.height / 2.0;
    scene.rule((rect.x, middle), (rect.right(), middle), 1.0, Ink::Grid);
    scene.line(Cause::Given, trace(dry, rect, loudest));
    scene.line(Cause::Out, trace(out, rect, loudest));
}

fn draw_fold(scene: &mut Scene, rect: Rect, [dry, out]: [&[f64]; 2], loudest: f64, split: bool) {
    scene.area(Fill::Flat(Ink::Sheet), rect.corners());
    let middle = rect.y + rect.height / 2.0;
    let (odd, even) = out.split_at(out.len() / 2);
    let (odd, even) = (trace(odd, rect, loudest), trace(even, rect, loudest));
    let gap = odd.iter().copied().chain(even.iter().rev().copied()).collect();
    scene.area(Fill::Slanted, gap);
    scene.rule((rect.x, middle), (rect.right(), middle), 1.0, Ink::Grid);
    scene.line(Cause::Given, trace(&dry[..dry.len() / 2], rect, loudest));
    if split {
        name_strands(scene, rect, &odd, &even);
    }
    scene.line(Cause::Open, even);
    scene.line(Cause::Out, odd);
}

/// Names the strands on their outer sides, where there is room.
fn name_strands(scene: &mut Scene, rect: Rect, odd: &[Point], even: &[Point]) {
    let mut placer = Placer::new(rect);
    placer.keep_off_line(odd, 1.5);
    placer.keep_off_line(even, 1.5);
    let names = [("odd", Role::Strong, odd, even), ("even", Role::Note, even, odd)];
    for (words, role, strand, other) in names {
        let place = |share: f64| {
            let i = (share * strand.len().min(other.len()) as f64) as usize;
            let outwards = if strand[i].1 < other[i].1 { -1.0 } else { 1.0 };
            (strand[i].0, strand[i].1 + 9.0 * outwards)
        };
        let places = [0.72, 0.3, 0.25, 0.2, 0.78, 0.65, 0.35].map(place);
        placer.set_on(scene, &Label::new(words, role, Ink::Text), places);
    }
}

/// A stretch of a wave over the whole of a rectangle.
pub(super) fn trace(wave: &[f64], rect: Rect, loudest: f64) -> Vec<Point> {
    let (middle, reach) = (rect.y + rect.height / 2.0, rect.height / 2.0 - 3.0);
    // Half of the heaviest stroke stays inside at both ends.
    let edge = Cause::Out.stroke().width / 2.0;
    let step = (rect.width - 2.0 * edge) / (wave.len().max(2) - 1) as f64;
    let at = |(i, value): (usize, &f64)| {
        (rect.x + edge + i as f64 * step, middle - reach * value / loudest)
    };
    reduce(&wave.iter().enumerate().map(at).collect::<Vec<_>>(), Pick::Mean)
}
