//! The low end as a section drawing: the wall that stands, the layers laid on it.
//!
//! What the radio gives is the wall; each stage's layer is as high as the dB it
//! added; what was taken away is a dashed outline over a gap; one heavy edge comes out.

use crate::curve::Curve;
use crate::measure::Readings;
use crate::measure::layers::{BandLayers, Layers, asked};
use crate::plot::axis::{Frame, FrequencyAxis, LevelAxis};
use crate::plot::columns::{Pick, cut, reduce};
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Point, Rect, Role, Scene};
use crate::plot::traces::{self, Named};
use crate::plot::{Cause, Fill, Ink};
use crate::settings::Settings;

/// Light falls on the low end up to here, in Hz.
const LIGHT_HZ: f64 = 95.0;

/// A layer, or a gap, thinner than this has no area of its own, in dB.
const THIN_DB: f64 = 0.05;

/// A band is open when the standard deviation of its level for noise is above this, in dB.
const OPEN_SD_DB: f64 = 1.0;

/// What the picture shows beside the readings.
#[derive(Clone, Copy, Debug, Default)]
pub struct Beside<'a> {
    /// What is asked for, dB re the reference of the strata.
    pub target: Option<&'a Curve>,
    /// What went into the radio, dB re the same.
    pub original: Option<&'a Curve>,
    /// The range shown: the low end, or the whole.
    pub axis: FrequencyAxis,
    /// The output gain of the line in dB. It moves what comes out as a whole and would cover
    /// the layers, so the line is drawn without it, and says so.
    pub output_gain_db: f64,
    /// True when the line is bypassed: its stages are not heard and have no layers.
    pub is_bypassed: bool,
    /// Curves laid over the picture.
    pub traces: &'a [Named<'a>],
}

impl Beside<'_> {
    /// The same for a line with these settings.
    pub fn with(mut self, settings: Option<&Settings>) -> Self {
        self.output_gain_db = settings.map_or(0.0, |set| set.output_gain_db.into());
        self.is_bypassed = settings.is_some_and(|set| set.bypass);
        self
    }

    /// How far up the edge of what comes out is drawn, in dB.
    pub fn drawn_up_db(&self) -> f64 {
        if self.is_bypassed { 0.0 } else { -self.output_gain_db }
    }

    /// The layers as they are drawn.
    fn lay(&self, mut layers: Layers) -> Layers {
        layers.has_layers &= !self.is_bypassed;
        layers.bands.iter_mut().for_each(|band| band.out += self.drawn_up_db());
        layers
    }

    /// What the edge is called.
    fn edge(&self, layers: &Layers) -> String {
        let up_db = self.drawn_up_db();
        let side = if up_db > 0.0 { "up" } else { "down" };
        match layers.has_layers {
            _ if self.is_bypassed => "bypassed".into(),
            true if up_db.abs() >= 0.05 => format!("comes out, drawn {:.1} dB {side}", up_db.abs()),
            true => "comes out".into(),
            false => "after".into(),
        }
    }
}

/// Draws the low end into `rect`; axis words stand left of it and below it. Returns the frame,
/// so that settings can be drawn under the same axis; `None` when there is nothing to show.
pub fn low_end(
    scene: &mut Scene,
    rect: Rect,
    readings: &Readings,
    beside: Beside,
) -> Option<Frame> {
    let axis = beside.axis;
    // Two pixels a point: finer than the 1/6-octave smoothing can show.
    let count = ((rect.width / 2.0) as usize).clamp(2, 600);
    let strata = beside.lay(Layers::smoothed(readings, axis.from_hz, axis.to_hz, count));
    if strata.is_empty() {
        return None;
    }
    let frame = Frame { rect, hz: axis, db: levels(&strata) };
    scene.area(Fill::Flat(Ink::Sheet), rect.corners());
    let light = Rect { width: frame.x(LIGHT_HZ) - rect.x, ..rect };
    scene.area(Fill::Light, light.corners());
    frame.draw_grid(scene);
    draw_layers(scene, &frame, &strata);
    let open_to = open_to(readings, &axis);
    if open_to > axis.from_hz {
        let open = Rect { width: frame.x(open_to) - rect.x, ..rect };
        scene.area(Fill::Dots, open.corners());
    }
    let lines = lines(&frame, &strata, beside);
    for (cause, line) in &lines {
        for piece in cut(line, rect.y, rect.bottom()) {
            scene.line(*cause, piece);
        }
    }
    frame.draw_axes(scene);
    let mut placer = keep_off_lines(&frame, &lines);
    traces::draw(scene, &frame, &mut placer, beside.traces);
    let placer = name_open(scene, &frame, placer, open_to);
    draw_labels(scene, &frame, &strata, &lines, &beside, placer);
    Some(frame)
}

/// A level axis that shows what there is: room above the highest, and the deep end only as
/// far as 45 dB down.
fn levels(strata: &Layers) -> LevelAxis {
    let all = strata.bands.iter().flat_map(|band| [band.dry, band.out]);
    let (low, high) = all.fold((0f64, 0f64), |(low, high), db| (low.min(db), high.max(db)));
    LevelAxis { bottom_db: (low - 5.0).clamp(-45.0, -20.0), top_db: (high + 5.0).clamp(9.0, 60.0) }
}

/// Below this frequency the stretch was too short to say anything, in Hz.
/// The standard deviation of noise in a band is 4.343/sqrt(B T) dB (Bendat & Piersol).
fn open_to(readings: &Readings, axis: &FrequencyAxis) -> f64 {
    let band_share = 10f64.powf(0.3 / 12.0) - 10f64.powf(-0.3 / 12.0);
    let needed = (10.0 / std::f64::consts::LN_10 / OPEN_SD_DB).powi(2);
    (needed / (band_share * readings.before.spectrum.equivalent_s().max(1e-3))).min(axis.to_hz)
}

/// The areas: the wall, then each layer as far as it stands below what comes out.
fn draw_layers(scene: &mut Scene, frame: &Frame, strata: &Layers) {
    let floor = |_: &BandLayers| frame.db.bottom_db;
    let kept = |band: &BandLayers, db: f64| if strata.has_out { db.min(band.out) } else { db };
    let dry = |band: &BandLayers| kept(band, band.dry);
    let blend = |band: &BandLayers| kept(band, band.blend.max(band.dry));
    let low_band = |band: &BandLayers| kept(band, band.low_band).max(blend(band));
    if let Some(fill) = Cause::Given.fill() {
        draw_area(scene, frame, strata, fill, floor, dry);
    }
    if strata.has_layers {
        draw_area(scene, frame, strata, Fill::Slanted, dry, blend);
        draw_area(scene, frame, strata, Fill::Upright, blend, low_band);
    }
}

/// Fills between two levels, in one area for every run of bands where they part.
fn draw_area(
    scene: &mut Scene,
    frame: &Frame,
    strata: &Layers,
    fill: Fill,
    from: impl Fn(&BandLayers) -> f64,
    to: impl Fn(&BandLayers) -> f64,
) {
    let parts = |band: &BandLayers| to(band) - from(band) > THIN_DB;
    for run in strata.bands.chunk_by(|a, b| parts(a) && parts(b)) {
        if run.iter().any(parts) {
            let lower = run.iter().map(|band| frame.held(band.hz, from(band)));
            let upper = run.iter().rev().map(|band| frame.held(band.hz, to(band)));
            scene.area(fill, lower.chain(upper).collect());
        }
    }
}

/// Every line of the picture in pixels, from the back to the front.
fn lines(frame: &Frame, strata: &Layers, beside: Beside) -> Vec<(Cause, Vec<Point>)> {
    let line = |level: &dyn Fn(&BandLayers) -> Option<f64>| -> Vec<Point> {
        let points = strata.bands.iter().filter_map(|b| level(b).map(|db| frame.at(b.hz, db)));
        reduce(&points.collect::<Vec<_>>(), Pick::Mean)
    };
    let mut lines = Vec::new();
    if beside.original.is_some() {
        lines.push((Cause::Taken, line(&|band| beside.original?.at(band.hz))));
    }
    lines.push((Cause::Given, line(&|band| Some(band.dry))));
    if strata.has_layers {
        let tops = |band: &BandLayers| band.dry.max(band.blend).max(band.low_band);
        let is_cut = |band: &BandLayers| tops(band) - band.out > 10.0 * THIN_DB;
        for run in strata.bands.chunk_by(|a, b| is_cut(a) == is_cut(b)).filter(|r| is_cut(&r[0])) {
            let outline = run.iter().map(|band| frame.at(band.hz, tops(band))).collect();
            lines.push((Cause::Taken, outline));
        }
        lines.extend(layer_edges(frame, strata));
    }
    if strata.has_out {
        lines.push((Cause::Out, line(&|band| Some(band.out))));
    }
    if beside.target.is_some() {
        lines.push((Cause::Target, line(&|band| asked(beside.target, band.hz))));
    }
    lines
}

/// The upper edges of the two layers, where they are layers at all.
fn layer_edges(frame: &Frame, strata: &Layers) -> Vec<(Cause, Vec<Point>)> {
    let edge = |cause, level: fn(&BandLayers) -> f64, below: fn(&BandLayers) -> f64| {
        let stands = move |band: &BandLayers| level(band).min(band.out) - below(band) > THIN_DB;
        let runs = strata.bands.chunk_by(move |a, b| stands(a) == stands(b));
        runs.filter(move |run| stands(&run[0])).map(move |run| {
            let points = run.iter().map(|b| frame.at(b.hz, level(b).min(b.out)));
            (cause, points.collect())
        })
    };
    let octave = edge(Cause::Octave, |band| band.blend, |band| band.dry);
    let low_band = edge(Cause::LowBand, |band| band.low_band, |band| band.blend);
    octave.chain(low_band).collect()
}

/// A placer that keeps labels off every line.
fn keep_off_lines(frame: &Frame, lines: &[(Cause, Vec<Point>)]) -> Placer {
    let mut placer = Placer::new(frame.rect);
    for (cause, line) in lines {
        let margin = cause.stroke().width / 2.0 + 1.5;
        for piece in cut(line, frame.rect.y, frame.rect.bottom()) {
            placer.keep_off_line(&piece, margin);
        }
    }
    placer
}

/// Names what is open, where there is room among the dots.
fn name_open(scene: &mut Scene, frame: &Frame, mut placer: Placer, open_to_hz: f64) -> Placer {
    let open = Label::new("open", Role::Note, Ink::Text).on(Some(Fill::Flat(Ink::Sheet)));
    let (left, right) = (frame.rect.x, frame.x(open_to_hz).max(frame.rect.x));
    if right - left > open.size().0 + 4.0 {
        let heights = [0.3, 0.2, 0.5, 0.7].map(|share| frame.rect.y + share * frame.rect.height);
        placer.set_on(scene, &open, heights.map(|y| ((left + right) / 2.0, y)));
    }
    // Among the dots no other words are read, and nothing there is worth naming.
    placer.keep_off(Rect { width: (right - left).max(0.0), ..frame.rect });
    placer
}

/// Direct labels: on the layers where they are thickest, beside the lines elsewhere.
fn draw_labels(
    scene: &mut Scene,
    frame: &Frame,
    strata: &Layers,
    lines: &[(Cause, Vec<Point>)],
    beside: &Beside,
    mut placer: Placer,
) {
    if strata.has_layers {
        type Level = fn(&BandLayers) -> f64;
        let layers: [(Cause, &str, Ink, Level, Level); 2] = [
            (Cause::Octave, "octave part", Ink::Octave, |b| b.dry, |b| b.blend),
            (Cause::LowBand, "low band", Ink::Low, |b| b.blend, |b| b.low_band),
        ];
        for (cause, words, ink, from, to) in layers {
            let label = Label::new(words, Role::Label, ink);
            let places = thickest(frame, strata, from, to);
            let inside = label.clone().on(cause.fill());
            if placer.set_on(scene, &inside, places.iter().map(|p| p.0)).is_none() {
                placer.set(scene, &label, places.iter().map(|p| p.1), 4.0);
            }
        }
    }
    let wall = match (strata.has_out, strata.has_layers, strata.has_trim()) {
        (false, ..) => "as measured",
        (true, false, _) => "before",
        (true, true, true) => "dry",
        (true, true, false) => "radio gives",
    };
    let edge = beside.edge(strata);
    // The line of what went into the radio is the first of its kind, if there is one.
    let taken = if beside.original.is_some() { "before the radio" } else { "taken out" };
    let names = [
        (Cause::Out, edge.as_str(), Ink::Text, [300.0, 400.0, 200.0, 30.0]),
        (Cause::Given, wall, Ink::Given, [300.0, 400.0, 200.0, 50.0]),
        (Cause::Target, "target", Ink::Text, [115.0, 60.0, 40.0, 160.0]),
        (Cause::Taken, taken, Ink::Second, [20.0, 22.0, 28.0, 60.0]),
    ];
    for (cause, words, ink, at_hz) in names {
        let Some((_, line)) = lines.iter().find(|line| line.0 == cause) else { continue };
        let role = if cause == Cause::Out { Role::Label } else { Role::Note };
        let label = Label::new(words, role, ink);
        let mut places =
            at_hz.iter().filter_map(|hz| on_line(line, frame.x(*hz))).collect::<Vec<_>>();
        // What the radio gives is named in its wall, so below its line first.
        if cause == Cause::Given {
            places.iter_mut().for_each(|place| place.1 += 14.0);
            if placer.set_on(scene, &label, places.iter().copied()).is_some() {
                continue;
            }
        }
        let near = placer.set(scene, &label, places.iter().copied(), 5.0);
        // Beside a steep line there is room only a little further off.
        if near.is_none() {
            placer.set(scene, &label, places, 14.0);
        }
    }
}

/// Middles and tops of a layer in pixels, the thickest first.
fn thickest(
    frame: &Frame,
    strata: &Layers,
    from: fn(&BandLayers) -> f64,
    to: fn(&BandLayers) -> f64,
) -> Vec<(Point, Point)> {
    let bands = strata.bands.iter().filter(|band| to(band) - from(band) > THIN_DB);
    let mut places: Vec<(Point, Point)> = bands
        .map(|band| {
            let (x, low) = frame.held(band.hz, from(band).min(band.out));
            let (_, high) = frame.held(band.hz, to(band).min(band.out));
            ((x, (low + high) / 2.0), (x, high))
        })
        .collect();
    let height = |place: &(Point, Point)| place.0.1 - place.1.1;
    // A layer of less than a pixel and a half is not seen, so it is not named.
    places.retain(|place| height(place) > 1.5);
    places.sort_by(|a, b| height(b).total_cmp(&height(a)));
    places
}

/// The place of a line at a pixel column.
fn on_line(line: &[Point], x: f64) -> Option<Point> {
    line.windows(2).find(|pair| (pair[0].0..=pair[1].0).contains(&x)).map(|pair| pair[0])
}
