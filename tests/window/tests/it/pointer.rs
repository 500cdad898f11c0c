//! What the pointer does in frames that are slow: everything between two of them counts, in its
//! own place.

use egui::{Event, Modifiers, PointerButton, Pos2, Rect, pos2, vec2};
use underpin::editor::paint::theme;
use underpin::plot::Palette;
use window_tests::{Stage, pink};

/// One frame in which all of this happened.
fn frame(ctx: &egui::Context, stage: &mut Stage, events: Vec<Event>) {
    let screen_rect = Some(Rect::from_min_size(Pos2::ZERO, vec2(960.0, 600.0)));
    let input = egui::RawInput { screen_rect, events, ..Default::default() };
    let mut output = ctx.run_ui(input, |ui| stage.frame(ui));
    output.textures_delta.clear();
}

/// The frequency at a place from left to right: 16 Hz to 1 kHz between the words of the axis
/// and the margin.
fn hz_at(x: f32) -> f64 {
    let share = (x - 16.0 - 36.0) / (960.0 - 2.0 * 16.0 - 36.0);
    16.0 * (1000.0f64 / 16.0).powf(share.into())
}

#[test]
fn a_click_pins_where_it_was_though_the_frame_was_slow() {
    let ctx = egui::Context::default();
    ctx.set_fonts(theme::fonts());
    let mut stage = Stage::new(pink(5.0), Palette::Day);
    (0..3).for_each(|_| frame(&ctx, &mut stage, vec![]));
    let (there, then) = (pos2(300.0, 200.0), pos2(600.0, 220.0));
    let button = |pressed| Event::PointerButton {
        pos: there,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    frame(&ctx, &mut stage, vec![Event::PointerMoved(there)]);
    let cursor = stage.state.cursor;
    let hangs = cursor.hz.expect("the plumb line follows at once");
    assert!((hangs / hz_at(300.0) - 1.0).abs() < 0.01, "{hangs} Hz");
    frame(&ctx, &mut stage, vec![button(true), button(false), Event::PointerMoved(then)]);
    let cursor = stage.state.cursor;
    let pinned = cursor.pinned_hz.expect("a pin");
    assert!((pinned / hz_at(300.0) - 1.0).abs() < 0.01, "pinned at {pinned} Hz");
    let hangs = cursor.hz.expect("a plumb line");
    assert!((hangs / hz_at(600.0) - 1.0).abs() < 0.01, "{hangs} Hz");
}
