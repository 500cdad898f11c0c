//! What one frame costs: layout and shapes, then tessellation, for a window of 1080 by 640
//! points, in CPU time of this thread where the system tells it (Linux), else by the clock.
//!
//! `cargo bench` in this folder. The goal is 1.5 ms a frame for the Spectrum with its four
//! curves when every frame has new readings.

use egui::{Context, Event, Pos2, RawInput, Rect, vec2};
use std::time::Instant;
use underpin::editor::desk::View;
use underpin::editor::{look, show};
use underpin::plot::Palette;
use underpin::report::Sheet;
use window_tests::{Stage, pink, tone};

const FRAMES: usize = 300;

/// CPU time of this thread in ms.
fn cpu_ms(start: Instant) -> f64 {
    let stat = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanos = stat.and_then(|stat| stat.split(' ').next()?.parse::<f64>().ok());
    nanos.map_or_else(|| 1000.0 * start.elapsed().as_secs_f64(), |nanos| nanos / 1e6)
}

/// Median and 95th percentile of layout and of tessellation, in ms.
fn cost(sheet: &Sheet, view: View, has_new_readings: bool) -> [[f64; 2]; 2] {
    let ctx = Context::default();
    ctx.set_fonts(look::fonts());
    let mut stage = Stage::new(sheet.clone(), Palette::Day);
    stage.desk.view = view;
    let page = Rect::from_min_size(Pos2::ZERO, vec2(1080.0, 640.0));
    let start = Instant::now();
    let mut times = [Vec::new(), Vec::new()];
    for frame in 0..FRAMES + 20 {
        stage.reading += u64::from(has_new_readings);
        // The pointer moves, so no two frames are alike.
        let at = Pos2::new(100.0 + (frame * 7 % 900) as f32, 250.0);
        let input = RawInput {
            screen_rect: Some(page),
            time: Some(frame as f64 / 30.0),
            events: vec![Event::PointerMoved(at)],
            ..RawInput::default()
        };
        let before = cpu_ms(start);
        let mut desk = std::mem::take(&mut stage.desk);
        let mut output = ctx.run_ui(input, |ui| {
            show(ui, &mut desk, &stage.shown());
        });
        stage.desk = desk;
        let between = cpu_ms(start);
        output.textures_delta.clear();
        let primitives = ctx.tessellate(output.shapes, output.pixels_per_point);
        let after = cpu_ms(start);
        assert!(!primitives.is_empty());
        // The first frames lay out every word for the first time.
        if frame >= 20 {
            times[0].push(between - before);
            times[1].push(after - between);
        }
    }
    times.map(|mut times| {
        times.sort_by(f64::total_cmp);
        [times[times.len() / 2], times[times.len() * 95 / 100]]
    })
}

fn main() {
    let (noise, tone) = (pink(20.0), tone(60.0, 0.5));
    println!("ms a frame, median (95 %)      layout        tessellation   sum of medians");
    for (name, sheet, view) in [
        ("Spectrum of noise", &noise, View::Spectrum),
        ("Spectrum of a tone", &tone, View::Spectrum),
        ("Bands", &noise, View::Bands),
        ("Scope", &tone, View::Scope),
        ("Partials", &tone, View::Partials),
    ] {
        for (what, new) in [("new readings", true), ("the pointer moves", false)] {
            let [layout, mesh] = cost(sheet, view, new);
            let name = format!("{name}, {what}");
            println!(
                "{name:<38} {:.2} ({:.2})   {:.2} ({:.2})   {:.2}",
                layout[0],
                layout[1],
                mesh[0],
                mesh[1],
                layout[0] + mesh[0]
            );
        }
    }
}
