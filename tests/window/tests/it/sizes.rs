//! No size of the window, no zoom and no reading makes it panic, and everything is always inside
//! a window of the smallest size or more.

use egui::{Rect, pos2, vec2};
use underpin::editor::guard::{WORDS, guarded};
use underpin::editor::model::state::{Open, View};
use underpin::editor::paint::scale;
use underpin::plot::Palette;
use underpin::report::Sheet;
use window_tests::{
    Stage, absurd, clipped, nothing, overlaps, pink, plan, silence, tone, words, words_at,
};

/// Frames drawn in all.
const FRAMES: usize = 10_000;
/// Frames of one stage at one zoom.
const ROUND: usize = 50;
const ZOOMS: [f32; 6] = [0.75, 0.9, 1.0, 1.5, 2.0, 3.0];

/// Numbers that look random (xorshift, Marsaglia 2003); the same ones every time.
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as usize % n
    }

    /// Sides from one pixel to a wall; small ones often.
    fn side(&mut self) -> f32 {
        let most = [30, 300, 900, 4000][self.below(4)];
        1.0 + self.below(most) as f32
    }
}

fn sheets() -> Vec<Sheet> {
    let ordinary = [pink(20.0), tone(60.0, 0.5), clipped(), nothing(), silence()];
    ordinary.into_iter().chain(absurd().into_iter().map(|(_, sheet)| sheet)).collect()
}

/// A stage drawn by chance: a sheet, a view, a zoom and what is open.
fn drawn(chance: &mut Chance, sheets: &[Sheet]) -> Stage {
    let mut stage = Stage::new(sheets[chance.below(sheets.len())].clone(), Palette::Day);
    stage.state.view = View::ALL[chance.below(View::ALL.len())].0;
    stage.state.zoom = ZOOMS[chance.below(ZOOMS.len())];
    stage.state.open =
        [Open::Nothing, Open::TestSignal, Open::Presets, Open::Tray][chance.below(4)];
    stage.plan = (chance.below(2) == 0).then(plan);
    if chance.below(8) == 0 {
        stage.state.comparison.hide();
    }
    stage
}

/// One frame on a window of a size in pixels; what was drawn.
fn frame(ctx: &egui::Context, stage: &mut Stage, size: egui::Vec2) -> egui::FullOutput {
    let screen_rect = Some(Rect::from_min_size(pos2(0.0, 0.0), size));
    let input = egui::RawInput { screen_rect, ..Default::default() };
    let mut output = ctx.run_ui(input, |ui| stage.frame(ui));
    output.textures_delta.clear();
    output
}

#[test]
fn no_size_zoom_or_reading_panics() {
    let (mut chance, sheets) = (Chance(0x9E37_79B9_7F4A_7C15), sheets());
    let ctx = egui::Context::default();
    ctx.set_fonts(underpin::editor::paint::theme::fonts());
    for _ in 0..FRAMES / ROUND {
        let mut stage = drawn(&mut chance, &sheets);
        for _ in 0..ROUND {
            let size = vec2(chance.side(), chance.side());
            frame(&ctx, &mut stage, size);
        }
        let size = vec2(720.0 + chance.side(), 480.0 + chance.side());
        let output = (0..4).map(|_| frame(&ctx, &mut stage, size)).last().expect("a frame");
        let scale = scale::now(&ctx);
        let words = words_at(&output.shapes, scale);
        let page = Rect::from_min_size(pos2(0.0, 0.0), size / scale).expand(0.5);
        let outside: Vec<_> = words.iter().filter(|w| !page.contains_rect(w.rect)).collect();
        let at = format!("{:?} at {size:?}, zoom {}", stage.state.view, stage.state.zoom);
        assert!(outside.is_empty(), "{at}: {:?} outside", outside[0].text);
        let overlaps = overlaps(&words);
        assert!(overlaps.is_empty(), "{at}: {overlaps:?}");
    }
}

#[test]
fn a_small_window_shows_everything_smaller_and_keeps_its_size() {
    let ctx = egui::Context::default();
    ctx.set_fonts(underpin::editor::paint::theme::fonts());
    let mut stage = Stage::new(pink(20.0), Palette::Day);
    let size = vec2(480.0, 320.0);
    let output = (0..4).map(|_| frame(&ctx, &mut stage, size)).last().expect("a frame");
    // The toolkit's own zoom would resize the window.
    assert_eq!(ctx.zoom_factor(), 1.0);
    let page = Rect::from_min_size(pos2(0.0, 0.0), size).expand(0.5);
    let words = words(&output.shapes);
    assert!(words.len() > 20);
    assert!(words.iter().all(|word| page.contains_rect(word.rect)));
}

#[test]
fn a_fault_in_the_drawing_stays_in_the_window() {
    let ctx = egui::Context::default();
    let input = egui::RawInput::default();
    let mut drew = Some(());
    let mut output = ctx.run_ui(input, |ui| {
        drew = guarded(ui, |_| panic!("a fault planted by the test"));
    });
    output.textures_delta.clear();
    assert_eq!(drew, None);
    assert!(words(&output.shapes).iter().any(|word| WORDS.contains(word.text.as_str())));
}
