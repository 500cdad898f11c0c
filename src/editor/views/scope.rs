//! Scope: dry, octave part and what comes out, standing still over whole periods.

use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::layout::Layout;
use crate::editor::model::state::{FrameInput, Open, PictureKey, WindowState};
use crate::editor::model::test_choice::TestChoice;
use crate::editor::paint::scene;
use crate::figures::short;
use crate::plot::oscillogram::oscillogram;
use crate::plot::scene::Rect as Box;
use crate::plot::{Cause, Fill, Ink, Role, waves};
use crate::report::Sentence;

/// Shows the view in the sheet of `grid`.
pub fn show(pen: &mut Pen, grid: &Layout, state: &mut WindowState, shown: &FrameInput) {
    let size = grid.sheet.size();
    let look = shown.now.map(|now| now.number);
    let about = PictureKey { look, ..state.key(shown.reading, size) };
    let kept = state.picture(about, |scene| {
        let rect = Box::new(0.0, 2.0, size.x.into(), f64::from(size.y) - 4.0);
        let side = if grid.is_small { 150.0 } else { (rect.height * 0.62).min(320.0) };
        let drawn = shown.scope().is_some_and(|scope| waves::waves(scene, rect, side, scope));
        let wave = shown.now.map(|now| &now.wave).filter(|_| !drawn);
        let live = |wave| oscillogram(scene, Box { height: rect.height - 24.0, ..rect }, wave);
        if !drawn && !wave.is_some_and(live) {
            scene.area(Fill::Flat(Ink::Sheet), rect.corners());
        }
        None
    });
    scene::draw(pen.painter(), grid.sheet.min, &kept.scene, &pen.theme);
    if shown.scope().is_none() {
        start_a_tone(pen, grid.sheet, state);
    }
}

/// The word that chooses a soft tone and opens its bar; it sounds only when start is held.
pub(super) fn start_a_tone(pen: &mut Pen, sheet: egui::Rect, state: &mut WindowState) {
    let words = "start with a 60 Hz tone";
    let spot = Spot::new(sheet.max.x - 10.0, sheet.max.y - 8.0, Role::Value, Ink::Text).end();
    if pen.word(spot, words, words, false) {
        state.test_choice = TestChoice::default();
        state.open = Open::TestSignal;
        pen.ui.memory_mut(|memory| memory.request_focus(Pen::id("hold to start")));
    }
}

/// What the waves show.
pub fn say(shown: &FrameInput) -> Sentence {
    let Some(scope) = shown.scope() else {
        return "What sounds now, caught where its bass rises through zero. A tone stands still."
            .into();
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
