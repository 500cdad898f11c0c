//! Long lines made short: at most one point a pixel column, cut at the frame.

use crate::plot::scene::Point;

/// Which value stands for a column that holds several.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pick {
    /// Their mean.
    Mean,
    /// The one highest on the page.
    Highest,
    /// The one lowest on the page.
    Lowest,
}

/// At most one point a pixel column; `points` rise from left to right. Points that are
/// not finite are left out.
pub fn reduce(points: &[Point], pick: Pick) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::new();
    let mut held = 0.0;
    for &(x, y) in points.iter().filter(|p| p.0.is_finite() && p.1.is_finite()) {
        match out.last_mut() {
            Some(last) if last.0.floor() == x.floor() => {
                held += 1.0;
                last.1 = match pick {
                    Pick::Mean => last.1 + (y - last.1) / held,
                    Pick::Highest => last.1.min(y),
                    Pick::Lowest => last.1.max(y),
                };
            }
            _ => {
                held = 1.0;
                out.push((x, y));
            }
        }
    }
    out
}

/// The pieces of a line that lie between `top` and `bottom`, cut exactly at both.
pub fn cut(points: &[Point], top: f64, bottom: f64) -> Vec<Vec<Point>> {
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    for pair in points.windows(2) {
        let Some((from, to)) = inside(pair[0], pair[1], top, bottom) else { continue };
        match pieces.last_mut() {
            Some(piece) if piece.last() == Some(&from) => piece.push(to),
            _ => pieces.push(vec![from, to]),
        }
    }
    pieces
}

/// The part of a segment between two heights (Liang & Barsky 1984, in one dimension).
fn inside(from: Point, to: Point, top: f64, bottom: f64) -> Option<(Point, Point)> {
    let (mut enter, mut leave) = (0f64, 1f64);
    let rise = to.1 - from.1;
    if !rise.is_finite() {
        return None;
    }
    for (gap, slope) in [(from.1 - top, rise), (bottom - from.1, -rise)] {
        if slope == 0.0 {
            if gap < 0.0 {
                return None;
            }
        } else if slope > 0.0 {
            enter = enter.max(-gap / slope);
        } else {
            leave = leave.min(-gap / slope);
        }
    }
    let at = |share: f64| match share {
        0.0 => from,
        1.0 => to,
        share => (from.0 + share * (to.0 - from.0), from.1 + share * rise),
    };
    (enter < leave).then(|| (at(enter), at(leave)))
}
