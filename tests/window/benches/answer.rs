//! How soon a key is answered: from the key to the pixels of the new picture, drawn by the
//! processor, for a window of 960 by 600 points; and how many frames are asked for while nothing
//! moves. `cargo bench --bench answer` in this folder.
//!
//! The goals are 50 ms from key to picture, and no frame at rest. What a screen and its driver add
//! is measured by `hosts/python/response.py` with the whole program.

use egui::{Color32, Context, Event, Key, Modifiers, Pos2, RawInput, Rect, ViewportId, vec2};
use std::time::{Duration, Instant};
use underpin::editor::model::state::View;
use underpin::editor::paint::raster::Raster;
use underpin::editor::paint::theme;
use underpin::plot::Palette;
use underpin::report::Sheet;
use window_tests::{Stage, nothing, pink, silence, tone};

const SIZE: (usize, usize) = (960, 600);
const PRESSES: usize = 31;

/// A window on a stage, with a painter.
struct Bench {
    ctx: Context,
    stage: Stage,
    raster: Raster,
    time_s: f64,
}

impl Bench {
    fn new(sheet: &Sheet, view: View) -> Self {
        let ctx = Context::default();
        ctx.set_fonts(theme::fonts());
        let mut stage = Stage::new(sheet.clone(), Palette::Day);
        stage.state.view = view;
        Self { ctx, stage, raster: Raster::default(), time_s: 0.0 }
    }

    /// One frame down to its pixels; after how long the next is asked for.
    fn frame(&mut self, events: Vec<Event>) -> Duration {
        self.time_s += 1.0 / 60.0;
        let page = Rect::from_min_size(Pos2::ZERO, vec2(SIZE.0 as f32, SIZE.1 as f32));
        let input = RawInput {
            screen_rect: Some(page),
            time: Some(self.time_s),
            events,
            ..RawInput::default()
        };
        let stage = &mut self.stage;
        let mut output = self.ctx.run_ui(input, |ui| stage.frame(ui));
        self.raster.take(&output.textures_delta);
        output.textures_delta.clear();
        let primitives = self.ctx.tessellate(output.shapes, output.pixels_per_point);
        self.raster.draw(&primitives, SIZE, output.pixels_per_point, Color32::BLACK);
        output.viewport_output[&ViewportId::ROOT].repaint_delay
    }

    /// Draws until no frame is asked for at once; how many that took, 100 at most.
    fn settle(&mut self) -> usize {
        (1..=100).find(|_| self.frame(vec![]) > Duration::from_millis(20)).unwrap_or(100)
    }

    /// Milliseconds from a key until nothing more changes.
    fn press(&mut self, key: Key, modifiers: Modifiers) -> f64 {
        let event =
            |pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
        let begun = Instant::now();
        self.frame(vec![event(true), event(false)]);
        self.settle();
        1000.0 * begun.elapsed().as_secs_f64()
    }
}

fn answers(name: &str, sheet: &Sheet, view: View, keys: [(Key, Modifiers); 2]) {
    let mut bench = Bench::new(sheet, view);
    bench.settle();
    // The first frames lay out every word for the first time.
    for (key, with) in keys {
        bench.press(key, with);
    }
    let mut times: Vec<f64> = (0..PRESSES)
        .map(|i| {
            let (key, with) = keys[i % 2];
            bench.press(key, with)
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!("{name:<34} {:>6.1} {:>6.1}", times[PRESSES / 2], times[PRESSES * 95 / 100]);
}

fn main() {
    let (noise, tone) = (pink(20.0), tone(60.0, 0.5));
    println!("from key to picture, ms             median   95 %");
    let (plain, chord) = (Modifiers::NONE, Modifiers::COMMAND);
    let views = [(Key::Num2, chord), (Key::Num1, chord)];
    answers("Spectrum and Bands of noise", &noise, View::Spectrum, views);
    let views = [(Key::Num4, chord), (Key::Num3, chord)];
    answers("Scope and Partials of a tone", &tone, View::Scope, views);
    answers("bypass, in Spectrum", &noise, View::Spectrum, [(Key::B, plain); 2]);
    answers("presets, open and closed", &noise, View::Spectrum, [(Key::P, plain); 2]);
    for (sheet, what) in [(&nothing(), "nothing"), (&silence(), "silence"), (&noise, "noise")] {
        for (view, words) in View::ALL {
            let mut bench = Bench::new(sheet, view);
            bench.settle();
            let asked = (0..60).filter(|_| bench.frame(vec![]) < Duration::from_secs(60)).count();
            println!("at rest, {words} of {what}: {asked} of 60 frames ask for another");
        }
    }
}
