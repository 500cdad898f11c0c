//! Responses on the axis of the low end, and beneath them what to do where.
//!
//! The strip says it in the four fills: dots where nothing is known yet,
//! slanted where new content is made, upright where it can be lifted, flat
//! where it stands.

use serde::{Deserialize, Serialize};

use crate::curve::Curve;
use crate::figures::short;
use crate::plot::axis::{Frame, FrequencyAxis, LevelAxis};
use crate::plot::columns::{Pick, cut, reduce};
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Point, Rect, Role, Scene};
use crate::plot::{Cause, Fill, Ink};

/// Height of the strip with its words, in pixels.
pub const STRIP: f64 = 24.0;

/// A response with its name.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drawn {
    /// What it is called, e.g. `step 18`.
    pub name: String,
    /// Why it is there: it sets stroke and colour.
    pub cause: Cause,
    /// The response in dB.
    pub curve: Curve,
}

/// What to do with a stretch of the low end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Nothing is known yet.
    Open,
    /// The content is gone: only new content can stand here.
    MakeNew,
    /// The content is there, but one band of equalisation does not bring it back.
    Beyond,
    /// The content is weakened: it can be lifted.
    Lift,
    /// The content stands as it is.
    Stands,
}

/// A verdict with the stretch it is about.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stretch {
    /// What to do.
    pub verdict: Verdict,
    /// Lower end in Hz.
    pub from_hz: f64,
    /// Upper end in Hz.
    pub to_hz: f64,
}

/// Responses and verdicts on one axis.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Responses {
    /// The responses, from the back to the front.
    pub curves: Vec<Drawn>,
    /// The verdicts, rising in frequency.
    pub verdicts: Vec<Stretch>,
}

impl Verdict {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Verdict::Open => "open",
            Verdict::MakeNew => "make new",
            Verdict::Beyond => "beyond one band",
            Verdict::Lift => "lift",
            Verdict::Stands => "stands",
        }
    }

    /// Its filling and the colour of its words.
    pub const fn look(self) -> (Fill, Ink) {
        match self {
            Verdict::Open => (Fill::Dots, Ink::Text),
            Verdict::MakeNew => (Fill::Slanted, Ink::Octave),
            Verdict::Beyond => (Fill::Slanted, Ink::Low),
            Verdict::Lift => (Fill::Upright, Ink::Low),
            Verdict::Stands => (Fill::Flat(Ink::GivenWash), Ink::Text),
        }
    }
}

/// Draws the responses into `rect`; axis words stand left of it and below it, the strip
/// beneath them. Returns the frame; `None` when no curve has two points.
pub fn responses(scene: &mut Scene, rect: Rect, responses: &Responses) -> Option<Frame> {
    let curves = responses.curves.iter().filter(|drawn| drawn.curve.points().len() > 1);
    let curves: Vec<&Drawn> = curves.collect();
    if curves.is_empty() {
        return None;
    }
    let frame = Frame { rect, hz: FrequencyAxis::LOW_END, db: levels(&curves) };
    scene.area(Fill::Flat(Ink::Sheet), rect.corners());
    frame.draw_grid(scene);
    let mut placer = Placer::new(rect);
    let lines: Vec<Vec<Point>> = curves.iter().map(|drawn| line(&frame, &drawn.curve)).collect();
    for (drawn, line) in curves.iter().zip(&lines) {
        for piece in cut(line, rect.y, rect.bottom()) {
            placer.keep_off_line(&piece, drawn.cause.stroke().width / 2.0 + 1.5);
            scene.line(drawn.cause, piece);
        }
    }
    frame.draw_axes(scene);
    let given: Vec<_> = curves.iter().filter(|drawn| drawn.cause == Cause::Given).collect();
    // Several beside each other, none of them judged: no one lets go for all, and they are named
    // where they part, low down.
    let beside = given.len() > 1 && responses.verdicts.is_empty();
    if let Some(given) = given.first().filter(|_| !beside) {
        draw_let_go(scene, &frame, &mut placer, &given.curve);
    }
    let shares = match beside {
        false => [0.62, 0.5, 0.75, 0.4, 0.3, 0.2],
        true => [0.3, 0.2, 0.4, 0.5, 0.62, 0.75],
    };
    for (drawn, line) in curves.iter().zip(&lines).filter(|(drawn, _)| !drawn.name.is_empty()) {
        let role = if drawn.cause == Cause::Out { Role::Label } else { Role::Note };
        let label = Label::new(drawn.name.as_str(), role, drawn.cause.stroke().ink);
        let places = shares.map(|share| at(line, share));
        placer.set(scene, &label, places.into_iter().flatten(), 5.0);
    }
    let strip = Rect::new(rect.x, rect.bottom() + 20.0, rect.width, STRIP);
    draw_strip(scene, &frame, strip, &responses.verdicts);
    Some(frame)
}

fn levels(curves: &[&Drawn]) -> LevelAxis {
    let all = curves.iter().flat_map(|drawn| drawn.curve.points());
    let near = all.filter(|point| (16.0..=1000.0).contains(&point.0));
    let (low, high) = near.fold((0f64, 0f64), |(low, high), p| (low.min(p.1), high.max(p.1)));
    LevelAxis { bottom_db: (low - 4.0).clamp(-60.0, -20.0), top_db: (high + 4.0).clamp(6.0, 60.0) }
}

/// A curve over its own range, in pixels.
pub(super) fn line(frame: &Frame, curve: &Curve) -> Vec<Point> {
    let (axis, points) = (frame.hz, curve.points());
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return Vec::new() };
    let (from, to) = (first.0.max(axis.from_hz), last.0.min(axis.to_hz));
    if from >= to {
        return Vec::new();
    }
    let count = frame.rect.width.max(2.0) as usize;
    let sampled = Curve::sampled(from, to, count, |hz| curve.at(hz).unwrap_or_default());
    let pixels: Vec<Point> = sampled.points().iter().map(|p| frame.at(p.0, p.1)).collect();
    reduce(&pixels, Pick::Mean)
}

pub(super) fn at(line: &[Point], share: f64) -> Option<Point> {
    line.get((share * line.len() as f64) as usize).copied()
}

/// Where the radio lets go: the -3 dB point, searched downwards from 500 Hz.
pub fn lets_go_hz(curve: &Curve) -> Option<f64> {
    let steps = Curve::sampled(20.0, 500.0, 1000, |hz| curve.at(hz).unwrap_or_default());
    let points = steps.points();
    let below = points.iter().rposition(|point| point.1 < -3.0)?;
    let (low, high) = (points[below], *points.get(below + 1)?);
    let share = (-3.0 - low.1) / (high.1 - low.1);
    Some(low.0 * (high.0 / low.0).powf(share))
}

fn draw_let_go(scene: &mut Scene, frame: &Frame, placer: &mut Placer, curve: &Curve) {
    let Some(hz) = lets_go_hz(curve) else { return };
    let (x, y) = frame.held(hz, -3.0);
    let plumb = vec![(x, y), (x, frame.rect.bottom())];
    placer.keep_off_line(&plumb, 1.5);
    placer.keep_off(Rect::new(x - 4.0, y - 4.0, 8.0, 8.0));
    scene.line(Cause::Open, plumb);
    scene.disc((x, y), 3.0, Ink::Text, (Ink::Text, 1.0));
    let words = format!("lets go, \u{2212}3 dB at {} Hz", short(hz, 0));
    let label = Label::new(words, Role::Strong, Ink::Text);
    let aside = label.size().0 / 2.0 + 8.0;
    let places = [14.0, 30.0, 50.0].map(|down| [(x + aside, y + down), (x - aside, y + down)]);
    placer.set_on(scene, &label, places.concat());
}

/// The strip of verdicts; words that do not fit their stretch are left to the fill.
fn draw_strip(scene: &mut Scene, frame: &Frame, strip: Rect, verdicts: &[Stretch]) {
    for stretch in verdicts {
        let (left, right) = (frame.held(stretch.from_hz, 0.0).0, frame.held(stretch.to_hz, 0.0).0);
        let (left, right) = (left.max(strip.x), right.min(strip.right()));
        if right - left < 1.0 {
            continue;
        }
        let cell = Rect { x: left, width: right - left, ..strip };
        let (fill, ink) = stretch.verdict.look();
        scene.area(fill, cell.corners());
        scene.outline(cell.corners(), 1.2, Ink::Text);
        let ground = if fill == Fill::Dots { Fill::Flat(Ink::Sheet) } else { fill };
        let middle = (left + cell.width / 2.0, strip.y + STRIP / 2.0);
        let words = stretch.verdict.words();
        for words in [words, words.rsplit(' ').next().unwrap_or(words)] {
            let label = Label::new(words, Role::Label, ink).on(Some(ground));
            if Placer::new(cell).set_on(scene, &label, [middle]).is_some() {
                break;
            }
        }
    }
}
