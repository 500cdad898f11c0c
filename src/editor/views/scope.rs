//! Scope: dry, octave part and what comes out, standing still over whole periods.

use crate::editor::controls::pen::Pen;
use crate::editor::layout::Layout;
use crate::editor::model::state::{FrameInput, PictureKey, WindowState};
use crate::editor::paint::scene;
use crate::figures::short;
use crate::plot::scene::Rect as Box;
use crate::plot::{Cause, Fill, Ink, waves};
use crate::report::{Run, Sentence};

/// Shows the view in the sheet of `grid`.
pub fn show(pen: &mut Pen, grid: &Layout, state: &mut WindowState, shown: &FrameInput) {
    let size = grid.sheet.size();
    let about = PictureKey { reading: shown.reading, view: state.view, size, whole: false };
    let kept = state.picture(about, |scene| {
        let rect = Box::new(0.0, 2.0, size.x.into(), f64::from(size.y) - 4.0);
        let side = if grid.is_small { 150.0 } else { (rect.height * 0.62).min(320.0) };
        let scope = shown.run().and_then(|run| run.readings.scope.as_ref());
        let drawn = scope.is_some_and(|scope| waves::waves(scene, rect, side, scope));
        if !drawn {
            scene.area(Fill::Flat(Ink::Sheet), rect.corners());
        }
        None
    });
    scene::draw(pen.painter(), grid.sheet.min, &kept.scene, &pen.theme);
}

/// What the waves show.
pub fn say(run: &Run) -> Sentence {
    let Some(scope) = &run.readings.scope else {
        return "The waves stand still for a tone only: start a test tone, or play one.".into();
    };
    let two = format!("{} ms", short(1000.0 * scope.period_s, 1));
    let one = format!("{} ms", short(500.0 * scope.period_s, 1));
    let told = Sentence::default();
    match scope.locked_to_octave {
        true => told.say("With the ").name(Cause::Octave, "octave part").say(format!(
            " every second swing is different, so the wave repeats after {two}, not {one}."
        )),
        false => told
            .say("Without an ")
            .name(Cause::Octave, "octave part")
            .say(format!(" every swing is like the last: the wave repeats after {one}.")),
    }
}
