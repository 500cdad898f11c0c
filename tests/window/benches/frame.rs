//! What one frame costs: layout and shapes, then tessellation, for a window of 1080 by 640
//! points. By the clock, median and 95th percentile, so a busy machine shows; and the mean CPU
//! time of a frame, where the system tells it (Linux).
//!
//! `cargo bench` in this folder. The goal is 1.5 ms a frame for the Spectrum with its four
//! curves when every frame has new readings.

use egui::{Context, Event, Pos2, RawInput, Rect, vec2};
use std::time::Instant;
use underpin::editor::model::state::View;
use underpin::editor::paint::theme;
use underpin::editor::show;
use underpin::plot::Palette;
use underpin::report::Sheet;
use window_tests::{Stage, pink, tone};

const FRAMES: usize = 300;

/// Frames that are not counted.
const WARM: usize = 20;

/// CPU time of this thread so far in ms; the system counts it in steps far longer than a frame.
fn cpu_ms() -> f64 {
    let stat = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanos = stat.and_then(|stat| stat.split(' ').next()?.parse::<f64>().ok());
    nanos.map_or(f64::NAN, |nanos| nanos / 1e6)
}

/// Median and 95th percentile of layout and of tessellation, and the mean CPU time, in ms.
fn cost(sheet: &Sheet, view: View, has_new_readings: bool) -> ([[f64; 2]; 2], f64) {
    let ctx = Context::default();
    ctx.set_fonts(theme::fonts());
    let mut stage = Stage::new(sheet.clone(), Palette::Day);
    stage.state.view = view;
    let page = Rect::from_min_size(Pos2::ZERO, vec2(1080.0, 640.0));
    let start = Instant::now();
    let now_ms = || 1000.0 * start.elapsed().as_secs_f64();
    let mut cpu_before = cpu_ms();
    let mut times = [Vec::new(), Vec::new()];
    for frame in 0..FRAMES + WARM {
        stage.reading += u64::from(has_new_readings);
        // The pointer moves, so no two frames are alike.
        let at = Pos2::new(100.0 + (frame * 7 % 900) as f32, 250.0);
        let input = RawInput {
            screen_rect: Some(page),
            time: Some(frame as f64 / 30.0),
            events: vec![Event::PointerMoved(at)],
            ..RawInput::default()
        };
        if frame == WARM {
            cpu_before = cpu_ms();
        }
        let before = now_ms();
        let mut state = std::mem::take(&mut stage.state);
        let mut output = ctx.run_ui(input, |ui| {
            show(ui, &mut state, &stage.shown());
        });
        stage.state = state;
        let between = now_ms();
        output.textures_delta.clear();
        let primitives = ctx.tessellate(output.shapes, output.pixels_per_point);
        let after = now_ms();
        assert!(!primitives.is_empty());
        // The first frames lay out every word for the first time.
        if frame >= WARM {
            times[0].push(between - before);
            times[1].push(after - between);
        }
    }
    let cpu = (cpu_ms() - cpu_before) / FRAMES as f64;
    let times = times.map(|mut times| {
        times.sort_by(f64::total_cmp);
        [times[times.len() / 2], times[times.len() * 95 / 100]]
    });
    (times, cpu)
}

fn main() {
    let (noise, tone) = (pink(20.0), tone(60.0, 0.5));
    println!("ms a frame: layout, median (95 %)           tessellation  both, medians  CPU, mean");
    for (name, sheet, view) in [
        ("Spectrum of noise", &noise, View::Spectrum),
        ("Spectrum of a tone", &tone, View::Spectrum),
        ("Bands", &noise, View::Bands),
        ("Scope", &tone, View::Scope),
        ("Partials", &tone, View::Partials),
    ] {
        for (what, new) in [("new readings", true), ("the pointer moves", false)] {
            let ([layout, mesh], cpu) = cost(sheet, view, new);
            let name = format!("{name}, {what}");
            println!(
                "{name:<38} {:.2} ({:.2})   {:.2} ({:.2})   {:.2}   {cpu:.2}",
                layout[0],
                layout[1],
                mesh[0],
                mesh[1],
                layout[0] + mesh[0]
            );
        }
    }
}
