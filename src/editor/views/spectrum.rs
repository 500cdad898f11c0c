//! Spectrum: what the radio gives, what each stage laid on it, what comes out.

use crate::dsp::chain;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::layout::{Layout, TICKS};
use crate::editor::model::hold::Hold;
use crate::editor::model::shelf::edge;
use crate::editor::model::state::{FrameInput, WindowState};
use crate::editor::paint::scene;
use crate::editor::views::axis_handles;
use crate::editor::views::cursor;
use crate::editor::views::cursor::Row;
use crate::editor::views::gain_handle::dimension;
use crate::editor::views::{overlay, target_handles};
use crate::measure::Readings;
use crate::measure::layers::Layers;
use crate::plot::axis::{Frame, FrequencyAxis, LevelAxis};
use crate::plot::label::Placer;
use crate::plot::low_end::{Beside, low_end};
use crate::plot::scene::Rect as Box;
use crate::plot::traces::{self, Named};
use crate::plot::{Cause, Fill, Ink, Role, Scene, lines};
use crate::settings::{Order, Settings};
use egui::{Pos2, Rect, vec2};

/// Shows the view in the sheet of `grid`.
pub fn show(pen: &mut Pen, grid: &Layout, state: &mut WindowState, shown: &FrameInput) {
    let size = grid.sheet.size();
    let rect = Box::new(
        grid.axis.into(),
        2.0,
        (size.x - grid.axis).into(),
        (size.y - grid.lane - TICKS - 2.0).into(),
    );
    let key = state.key(shown.reading, size);
    let beside = beside(state, shown);
    follow_ghost(state, shown, &beside);
    let laid = overlay::laid(state, shown, &beside);
    let kept = state.picture(key, |scene| {
        let traces: Vec<Named> = laid.iter().map(overlay::Laid::named).collect();
        Some(draw(scene, rect, shown, Beside { traces: &traces, ..beside }))
    });
    let Some(frame) = kept.frame else { return };
    scene::draw(pen.painter(), grid.sheet.min, &kept.scene, &pen.theme);

    let origin = grid.sheet.min;
    let corner = origin + vec2(rect.x as f32, rect.y as f32);
    let sheet = Rect::from_min_size(corner, vec2(rect.width as f32, rect.height as f32));
    cursor::follow(pen, &mut state.cursor, &frame, sheet);
    let tone = shown.run().filter(|run| run.is_tone()).map(|run| &run.readings);
    let readings = shown.run().filter(|run| !run.is_tone()).map(|run| &run.readings);
    if let (Some(hold), Some(readings)) = (&mut state.hold, readings) {
        if state.frozen_s.is_none() {
            hold.take(shown.reading, readings);
        }
        draw_hold(pen, hold, beside.drawn_up_db(), &frame, origin);
    }
    let centre = pen.settings().low_band_centre_hz.into();
    if shown.run().is_none() || (tone.is_none() && is_filtering(pen)) {
        draw_curve(pen, &frame, origin, &pen.settings());
    }
    let base = readings.and_then(|readings| standing(readings, centre)).map_or(0.0, |s| s.blend);
    if tone.is_none() {
        dimension(pen, &frame, origin, base);
    }
    if tone.is_none() {
        target_handles::show(pen, state, shown, &frame, origin);
    }
    cursor::show(pen, state.cursor, &frame, sheet, |hz| match (readings, tone) {
        (Some(readings), _) => {
            let held = state.hold.as_ref().and_then(|hold| hold.at(hz));
            let kept = overlay::rows(state, readings, beside.drawn_up_db(), hz);
            [rows(readings, hz), held.map_or(vec![], Vec::from), kept].concat()
        }
        (_, Some(readings)) => lines_at(readings, hz),
        _ => Vec::new(),
    });
    choose_range(pen, origin.x + size.x, origin.y + rect.bottom() as f32, state);
    axis_handles::show(pen, &frame, origin, rect.bottom() + f64::from(TICKS), size.x.into());
}

/// The word that turns the axis to its other range, at the right end of the lane.
fn choose_range(pen: &mut Pen, right: f32, bottom: f32, state: &mut WindowState) {
    let words = if state.whole { "to 1 kHz" } else { "to 20 kHz" };
    let spot = Spot::new(right, bottom + TICKS + 41.0, Role::Note, Ink::Second);
    if pen.word(spot.end(), words, "range of the axis", false) {
        state.whole = !state.whole;
    }
}

/// What is shown beside the readings.
fn beside<'a>(state: &WindowState, shown: &FrameInput<'a>) -> Beside<'a> {
    let beside = Beside {
        target: shown.sheet.target.as_ref(),
        original: shown.sheet.original.as_ref(),
        axis: if state.whole { FrequencyAxis::WHOLE } else { FrequencyAxis::LOW_END },
        ..Beside::default()
    };
    beside.with(Some(&shown.sheet.settings.unwrap_or(shown.settings)))
}

/// Lets the last settled curve stay while what comes out is measured afresh.
fn follow_ghost(state: &mut WindowState, shown: &FrameInput, beside: &Beside) {
    let Some(run) = shown.run().filter(|run| !run.is_tone()) else { return };
    let readings = &run.readings;
    let curve = || edge(readings, beside.drawn_up_db());
    state.ghost.take(shown.reading, readings.seconds, curve);
}

/// The picture: the strata, or an empty sheet with its axes.
fn draw(scene: &mut Scene, rect: Box, shown: &FrameInput, beside: Beside) -> Frame {
    let axis = beside.axis;
    if let Some(run) = shown.run().filter(|run| run.is_tone()) {
        return lines::lines(scene, rect, &run.readings, axis);
    }
    let broad = shown.run();
    let drawn = broad.and_then(|run| low_end(scene, rect, &run.readings, beside));
    drawn.unwrap_or_else(|| {
        let db = LevelAxis { bottom_db: -45.0, top_db: 12.0 };
        let frame = Frame { rect, hz: axis, db };
        scene.area(Fill::Flat(Ink::Sheet), rect.corners());
        frame.draw_grid(scene);
        frame.draw_axes(scene);
        let mut placer = Placer::new(rect);
        traces::draw(scene, &frame, &mut placer, beside.traces);
        if let Some(curve) = beside.target {
            let target = Named { name: "target", curve, cause: Cause::Target };
            traces::draw(scene, &frame, &mut placer, &[target]);
        }
        frame
    })
}

/// True while a hand is on the low band or the high-pass.
fn is_filtering(pen: &Pen) -> bool {
    let focus = pen.ui.memory(|memory| memory.focused());
    let names = axis_handles::FILTERS.iter().chain([&crate::editor::views::gain_handle::NAME]);
    names.into_iter().any(|name| focus == Some(Pen::id(name)))
}

/// What low band, closed box and high-pass do by their formulas, as a thin line about 0 dB.
fn draw_curve(pen: &Pen, frame: &Frame, origin: Pos2, settings: &Settings) {
    let is_flat = settings.low_band_gain_db == 0.0 && settings.high_pass_order == Order::Off;
    if is_flat && !settings.closed_box_on {
        return;
    }
    // The rate changes the curve by less than a line's width in the low end.
    let rate_hz = 48_000.0;
    let output_db = f64::from(settings.output_gain_db);
    let response = |hz: f64| chain::response_db(settings, hz, rate_hz) - output_db;
    let count = (frame.rect.width / 3.0) as usize;
    let points = (0..=count).filter_map(|i| {
        let hz = frame.hz.hz(i as f64 / count as f64);
        let (x, y) = frame.at(hz, response(hz));
        let inside = (frame.rect.y..=frame.rect.bottom()).contains(&y);
        inside.then(|| origin + vec2(x as f32, y as f32))
    });
    scene::line(pen.painter(), Cause::Difference, 1.2, points.collect(), &pen.theme);
}

/// Draws both as thin lines over the picture.
fn draw_hold(pen: &Pen, hold: &Hold, up_db: f64, frame: &Frame, origin: Pos2) {
    for is_highest in [false, true] {
        let points = hold.bands.iter().filter_map(|band| {
            let level = if is_highest { band.highest } else { band.lowest };
            let (x, y) = frame.at(band.hz, level + up_db);
            let rect = frame.rect;
            let inside =
                (rect.x..=rect.right()).contains(&x) && (rect.y..=rect.bottom()).contains(&y);
            inside.then(|| origin + vec2(x as f32, y as f32))
        });
        scene::line(pen.painter(), Cause::Difference, 1.2, points.collect(), &pen.theme);
    }
}

/// The levels at the posts around a frequency, smoothed to 1/6 octave like the picture.
fn standing(readings: &Readings, hz: f64) -> Option<crate::measure::layers::BandLayers> {
    Layers::smoothed_at(readings, hz)
}

/// The rows of the read-out for a tone: levels of lines in dBFS.
fn lines_at(readings: &Readings, hz: f64) -> Vec<Row> {
    let (before, after) = lines::read(readings, hz);
    let given = ("radio gives, dBFS".into(), Ink::Given, before);
    let Some(after) = after else { return vec![given] };
    vec![("comes out, dBFS".into(), Ink::Text, after), given]
}

/// The rows of the read-out, in the order in which they lie in the picture; they add up.
fn rows(readings: &Readings, hz: f64) -> Vec<Row> {
    let Some(band) = standing(readings, hz) else { return Vec::new() };
    let given = ("radio gives".into(), Ink::Given, band.given);
    if readings.after.is_none() {
        return vec![given];
    }
    let mut rows = vec![("comes out".into(), Ink::Text, band.out)];
    if readings.strata.is_none() {
        rows.push(("change".into(), Ink::Second, band.out - band.given));
        rows.push(given);
        return rows;
    }
    let parts = [
        ("high-pass, output", Ink::Second, band.out - band.low_band),
        ("low band", Ink::Low, band.low_band_added()),
        ("octave part", Ink::Octave, band.octave_added()),
        ("trim, dry level", Ink::Second, band.dry - band.given),
    ];
    let parts = parts.into_iter().filter(|row| row.2.abs() >= 0.05);
    rows.extend(parts.map(|(words, ink, db)| (words.into(), ink, db)));
    rows.push(given);
    rows
}
