//! Partials: below the tone the effect, above it harmonics; two figures, never summed.

use crate::analysis::full_scale::clipped_thd;
use crate::analysis::partials::Partials;
use crate::editor::controls::pen::Pen;
use crate::editor::layout::Layout;
use crate::editor::model::state::{FrameInput, WindowState};
use crate::editor::paint::scene;
use crate::editor::views::scope::start_a_tone;
use crate::figures::{hertz, percent, short};
use crate::plot::scene::{Anchor, Rect as Box, Role, Scene};
use crate::plot::{Cause, Fill, Ink, table, tone};
use crate::report::{Run, Sentence};

/// Room above the picture for the two figures, in points.
const FIGURES: f64 = 46.0;

/// Shows the view in the sheet of `grid`.
pub fn show(pen: &mut Pen, grid: &Layout, state: &mut WindowState, shown: &FrameInput) {
    let size = grid.sheet.size();
    let about = state.key(shown.reading, size);
    let limit = shown.sheet.harmonics_limit;
    let kept = state.picture(about, |scene| {
        let whole = Box::new(0.0, 2.0, size.x.into(), f64::from(size.y) - 4.0);
        let run = shown.run();
        let Some(partials) = run.and_then(|run| run.out().partials.as_ref()) else {
            scene.area(Fill::Flat(Ink::Sheet), whole.corners());
            return None;
        };
        draw(scene, whole, grid, partials, limit, run.and_then(as_clipped));
        None
    });
    scene::draw(pen.painter(), grid.sheet.min, &kept.scene, &pen.theme);
    if !shown.run().is_some_and(Run::is_tone) {
        start_a_tone(pen, grid.sheet, state);
    }
}

/// The harmonics once a converter has cut off what leaves full scale, where something does.
fn as_clipped(run: &Run) -> Option<f64> {
    let orders = run.out().partials.as_ref()?.thd_orders;
    clipped_thd(run.readings.scope.as_ref()?, orders)
}

fn draw(
    scene: &mut Scene,
    whole: Box,
    grid: &Layout,
    partials: &Partials,
    limit: Option<f64>,
    clipped: Option<f64>,
) {
    let side = match whole.width {
        width if width < 760.0 => 200.0,
        width if width < 1200.0 => 250.0,
        _ => 300.0,
    };
    let axis = f64::from(grid.axis);
    let picture = Box::new(
        axis,
        whole.y + FIGURES,
        whole.width - axis - side - 24.0,
        whole.height - FIGURES - 20.0,
    );
    draw_figures(scene, picture, partials, limit, clipped);
    tone::lines(scene, picture, partials, limit);
    let at = (whole.right() - side, whole.y);
    table::lines(scene, at, (side, whole.height), partials);
}

/// The two figures, one over each side.
fn draw_figures(
    scene: &mut Scene,
    picture: Box,
    partials: &Partials,
    limit: Option<f64>,
    clipped: Option<f64>,
) {
    let (y, right) = (picture.y - FIGURES, picture.right());
    let over = limit.is_some_and(|limit| partials.thd_f > limit);
    let plate = match (clipped, over) {
        (Some(_), _) => Some("as a converter clips it"),
        (None, true) => Some("over the limit"),
        (None, false) => None,
    };
    let below = "below the tone: the effect";
    scene.text((picture.x, y + 11.0), Anchor::Start, Role::Strong, Ink::Octave, below);
    let figure = percent(partials.below_ratio);
    scene.text((picture.x, y + 36.0), Anchor::Start, Role::Figure, Ink::Octave, figure);
    let above = format!(
        "above: harmonics 2 to {}, to {}",
        partials.thd_orders,
        hertz(partials.thd_to_hz.round())
    );
    let ink = if plate.is_some() { Ink::Fault } else { Ink::Text };
    scene.text((right, y + 11.0), Anchor::End, Role::Strong, ink, above);
    let figure = percent(clipped.unwrap_or(partials.thd_f));
    scene.text((right, y + 36.0), Anchor::End, Role::Figure, ink, figure.as_str());
    if let Some(words) = plate {
        let width = Role::Strong.width(words) + 12.0;
        let left = right - Role::Figure.width(&figure) - 12.0 - width;
        let plate = Box::new(left, y + 20.0, width, 17.0);
        scene.area(Fill::Flat(Ink::Fault), plate.corners());
        scene.text((left + 6.0, y + 32.5), Anchor::Start, Role::Strong, Ink::Sheet, words);
    }
}

/// What stands on each side.
pub fn say(run: &Run, limit: Option<f64>) -> Sentence {
    let Some(partials) = &run.out().partials else {
        return "Lines are read beside a tone: start a test tone, or play one.".into();
    };
    let tone = hertz(partials.tone_hz);
    let half = partials.below.iter().find(|line| (line.order - 0.5).abs() < 1e-6);
    let told = Sentence::default().say(format!("Below the {tone} tone "));
    let told = match half {
        Some(half) => told.say("the ").name(Cause::Octave, "octave part").say(format!(
            " stands at {} Hz, {} dB.",
            short(half.hz, 1),
            crate::figures::difference(half.re_tone_db)
        )),
        None => told.say("nothing stands."),
    };
    let thd = percent(partials.thd_f);
    if let Some(clipped) = as_clipped(run) {
        let words = format!("{} harmonics once a converter clips it", percent(clipped));
        let inside = format!(", {thd} inside the line.");
        return told.say(" Above it: ").name(Cause::Fault, words).say(inside);
    }
    match limit {
        Some(limit) if partials.thd_f > limit => told
            .say(" Above it: ")
            .name(Cause::Fault, format!("{thd} harmonics, over the limit"))
            .say(format!(" of {}.", percent(limit))),
        _ => told.say(format!(" Above it: {thd} harmonics.")),
    }
}
