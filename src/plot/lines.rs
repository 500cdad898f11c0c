//! The spectrum of a tone: what arrives and what comes out, bin by bin, as lines.
//!
//! A tone has no level per octave, so it is not shown as layers: its lines stand
//! as high as they are, in dBFS, and the halves are marked.

use crate::analysis::spectrum::Spectrum;
use crate::figures::{hertz, level};
use crate::measure::Readings;
use crate::plot::axis::{Frame, FrequencyAxis, LevelAxis};
use crate::plot::columns::{Pick, reduce};
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Point, Rect, Role, Scene};
use crate::plot::{Cause, Fill, Ink};
use crate::units::power_to_db;

/// The deepest level shown, dBFS: near the noise of 16 bits in a bin of half a hertz.
const DEEPEST_DBFS: f64 = -140.0;

/// Draws the lines into `rect` over `axis`; returns its frame.
pub fn lines(scene: &mut Scene, rect: Rect, readings: &Readings, axis: FrequencyAxis) -> Frame {
    let frame = Frame { rect, hz: axis, db: LevelAxis { bottom_db: DEEPEST_DBFS, top_db: 6.0 } };
    scene.area(Fill::Flat(Ink::Sheet), rect.corners());
    frame.draw_grid(scene);
    let given = trace(&frame, &readings.before.spectrum);
    let out = readings.after.as_ref().map(|side| trace(&frame, &side.spectrum));
    let down = |line: &[Point]| -> Vec<Point> {
        line.iter().copied().chain(line.iter().rev().map(|p| (p.0, rect.bottom()))).collect()
    };
    if let Some(strata) = &readings.strata {
        scene.area(Fill::Slanted, down(&trace(&frame, &strata.octave)));
    }
    scene.area(Fill::Flat(Ink::GivenWash), down(&given));
    if let Some(out) = &out {
        scene.track(Cause::Out, 1.6, out.clone());
    }
    scene.line(Cause::Given, given.clone());
    frame.draw_axes(scene);
    let partials = readings.after.as_ref().unwrap_or(&readings.before).partials.as_ref();
    if let Some(partials) = partials {
        let mut placer = Placer::new(rect);
        for line in out.iter().chain([&given]) {
            placer.keep_off_line(line, 2.0);
        }
        let half = partials.below.iter().find(|line| (line.order - 0.5).abs() < 1e-6);
        let tone = (partials.tone_hz, partials.tone_dbfs, Ink::Text, "tone");
        let half = half.map(|line| (line.hz, line.dbfs, Ink::Octave, "half"));
        for (hz, dbfs, ink, name) in half.into_iter().chain([tone]) {
            let at = frame.held(hz, dbfs);
            scene.disc(at, 3.4, ink, (Ink::Sheet, 1.0));
            let words = format!("{name} {}, {} dBFS", hertz(round(hz)), level(dbfs, 1));
            let label = Label::new(words, Role::Label, ink);
            let beside = [0.0, 12.0, 24.0, 36.0].map(|down| (at.0, at.1 + down));
            placer.set(scene, &label, beside, 10.0);
        }
    }
    frame
}

/// What is read at a frequency: the strongest bin within a bin of it, before and after, dBFS.
pub fn read(readings: &Readings, hz: f64) -> (f64, Option<f64>) {
    let at = |spectrum: &Spectrum| power_to_db(around(spectrum, hz, hz));
    (at(&readings.before.spectrum), readings.after.as_ref().map(|side| at(&side.spectrum)))
}

fn round(hz: f64) -> f64 {
    (10.0 * hz).round() / 10.0
}

/// The strongest bin of each pixel column as a line.
fn trace(frame: &Frame, spectrum: &Spectrum) -> Vec<Point> {
    let count = frame.rect.width.max(2.0) as usize;
    let points = (0..count).map(|i| {
        let edge = |step: f64| frame.hz.hz((i as f64 + step) / count as f64);
        let power = around(spectrum, edge(0.0), edge(1.0));
        frame.held(edge(0.5), power_to_db(power))
    });
    reduce(&points.collect::<Vec<_>>(), Pick::Highest)
}

/// The power of the strongest line between two frequencies, at least of the bins beside them:
/// its highest bin times the width in bins over which the window spreads it.
fn around(spectrum: &Spectrum, from_hz: f64, to_hz: f64) -> f64 {
    let last = spectrum.power.len().saturating_sub(1);
    let from = ((from_hz / spectrum.df_hz).floor().max(0.0) as usize).min(last);
    let to = ((to_hz / spectrum.df_hz).ceil().max(0.0) as usize).clamp(from, last);
    let bins = spectrum.power.get(from..=to).unwrap_or_default();
    bins.iter().copied().fold(0.0, f64::max) * spectrum.window.enbw_bins()
}
