//! Shelves, peaks and first orders (Audio EQ Cookbook, W3C Note 2021, and its bilinear transform).

use std::f64::consts::TAU;

use crate::filter::{Filter, butterworth};

/// First-order high-pass: coupling capacitors, a phone's input.
pub(crate) fn coupling(hz: f64, rate: f64) -> Filter {
    butterworth(1).turned().at(hz, rate, (rate / 4.0).max(hz))
}

/// A low shelf, slope 1.
pub(crate) fn low_shelf(hz: f64, db: f64, rate: f64) -> Filter {
    let (a, w) = (10f64.powf(db / 40.0), TAU * hz / rate);
    let (cos, alpha) = (w.cos(), w.sin() / 2f64.sqrt());
    let root = 2.0 * a.sqrt() * alpha;
    let b = [
        a * (a + 1.0 - (a - 1.0) * cos + root),
        2.0 * a * (a - 1.0 - (a + 1.0) * cos),
        a * (a + 1.0 - (a - 1.0) * cos - root),
    ];
    let d = [
        a + 1.0 + (a - 1.0) * cos + root,
        -2.0 * (a - 1.0 + (a + 1.0) * cos),
        a + 1.0 + (a - 1.0) * cos - root,
    ];
    Filter::section(b.map(|b| b / d[0]), [d[1] / d[0], d[2] / d[0]], rate)
}

/// A peak; `q` as in the cookbook.
pub(crate) fn peak(hz: f64, q: f64, db: f64, rate: f64) -> Filter {
    let (a, w) = (10f64.powf(db / 40.0), TAU * hz / rate);
    let (cos, alpha) = (w.cos(), w.sin() / (2.0 * q));
    let d = 1.0 + alpha / a;
    Filter::section(
        [(1.0 + alpha * a) / d, -2.0 * cos / d, (1.0 - alpha * a) / d],
        [-2.0 * cos / d, (1.0 - alpha / a) / d],
        rate,
    )
}

/// A notch.
pub(crate) fn notch(hz: f64, q: f64, rate: f64) -> Filter {
    let w = TAU * hz / rate;
    let (cos, alpha) = (w.cos(), w.sin() / (2.0 * q));
    let d = 1.0 + alpha;
    Filter::section([1.0 / d, -2.0 * cos / d, 1.0 / d], [-2.0 * cos / d, (1.0 - alpha) / d], rate)
}

/// First-order all-pass: 90° at `hz`.
pub(crate) fn all_pass(hz: f64, rate: f64) -> Filter {
    let t = (TAU * hz / rate / 2.0).tan();
    let c = (t - 1.0) / (t + 1.0);
    Filter::section([c, 1.0, 0.0], [c, 0.0], rate)
}
