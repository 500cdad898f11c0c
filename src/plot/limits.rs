//! What is asked against what can be had: levels on the axis of the low end, with the limits above
//! them; what lies beyond a limit is washed in the colour of a fault.

use crate::curve::Curve;
use crate::plot::axis::{Frame, FrequencyAxis, LevelAxis};
use crate::plot::columns::cut;
use crate::plot::label::{Label, Placer};
use crate::plot::responses::{Drawn, at, line};
use crate::plot::scene::{Point, Rect, Role, Scene};
use crate::plot::{Cause, Fill, Ink};

/// The axis of a box: below the music and up to where a woofer ends, in Hz.
const AXIS: FrequencyAxis = FrequencyAxis { from_hz: 12.5, to_hz: 200.0 };

/// Draws `asked` under `limits` into `rect`; axis words stand left of it and below it. Returns the
/// frame; `None` when there is no limit.
pub fn limits(scene: &mut Scene, rect: Rect, asked: &[Drawn], limits: &[Drawn]) -> Option<Frame> {
    if limits.iter().all(|drawn| drawn.curve.points().len() < 2) {
        return None;
    }
    let frame = Frame { rect, hz: AXIS, db: levels(asked, limits) };
    scene.area(Fill::Flat(Ink::Sheet), rect.corners());
    draw_beyond(scene, &frame, limits);
    frame.draw_grid(scene);
    let mut placer = Placer::new(rect);
    let all = || limits.iter().chain(asked);
    let lines: Vec<Vec<Point>> = all().map(|drawn| line(&frame, &drawn.curve)).collect();
    for (drawn, line) in all().zip(&lines) {
        for piece in cut(line, rect.y, rect.bottom()) {
            placer.keep_off_line(&piece, drawn.cause.stroke().width / 2.0 + 1.5);
            scene.line(drawn.cause, piece);
        }
    }
    frame.draw_axes(scene);
    for (drawn, line) in all().zip(&lines) {
        let role = if drawn.cause == Cause::Out { Role::Label } else { Role::Note };
        let label = Label::new(drawn.name.as_str(), role, drawn.cause.stroke().ink);
        let places = [0.72, 0.6, 0.5, 0.85, 0.4, 0.3, 0.2].map(|share| at(line, share));
        placer.set(scene, &label, places.into_iter().flatten(), 5.0);
    }
    Some(frame)
}

/// From a little under the lowest asked to a little over the highest asked: a limit far above is no news.
fn levels(asked: &[Drawn], limits: &[Drawn]) -> LevelAxis {
    let from = |drawn: &[Drawn]| {
        let points = drawn.iter().flat_map(|drawn| drawn.curve.points().to_vec());
        let near: Vec<f64> = points.filter(|p| p.0 >= 20.0).map(|p| p.1).collect();
        let low = near.iter().copied().fold(f64::MAX, f64::min);
        (low, near.into_iter().fold(f64::MIN, f64::max))
    };
    let (low, high) = if asked.is_empty() { from(limits) } else { from(asked) };
    let top_db = (high + 8.0).clamp(-390.0, 400.0);
    LevelAxis { bottom_db: (low - 6.0).clamp(top_db - 60.0, top_db - 24.0), top_db }
}

/// A curve in pixels, held inside the frame.
fn held(frame: &Frame, curve: &Curve) -> Vec<Point> {
    let (top, bottom) = (frame.rect.y, frame.rect.bottom());
    line(frame, curve).into_iter().map(|(x, y)| (x, y.clamp(top, bottom))).collect()
}

/// What no limit allows: everything above the lowest of them.
fn draw_beyond(scene: &mut Scene, frame: &Frame, limits: &[Drawn]) {
    let lowest = |hz: f64| {
        let all = limits.iter().filter_map(|drawn| drawn.curve.at(hz));
        all.fold(f64::MAX, f64::min)
    };
    let edge = held(frame, &Curve::sampled(AXIS.from_hz, AXIS.to_hz, 120, lowest));
    let (Some(first), Some(last)) = (edge.first().copied(), edge.last().copied()) else { return };
    let top = frame.rect.y;
    let corners = [(last.0, top), (first.0, top)];
    scene.area(Fill::Flat(Ink::FaultWash), edge.into_iter().chain(corners).collect());
}
