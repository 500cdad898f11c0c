//! Drags along the axis, up the standing dimension and beside the numbers.

use egui::{Pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use underpin::editor::model::action::Action;
use underpin::editor::model::state::View;
use underpin::plot::Palette;
use window_tests::{Stage, nothing, plan, stage};

const WIDTH: f32 = 960.0;

fn window() -> Harness<'static, Stage> {
    let mut sheet = nothing();
    let settings = underpin::settings::Settings {
        low_band_gain_db: 6.0,
        ..underpin::settings::Settings::default()
    };
    sheet.settings = Some(settings);
    let mut window = stage(Stage::new(sheet, Palette::Day), vec2(WIDTH, 600.0), 1.0);
    window.run();
    window
}

/// Drags what has a label by some points, in steps as a hand would.
fn drag(window: &mut Harness<Stage>, label: &str, by: egui::Vec2) -> Pos2 {
    let from = window.get_by_label(label).rect().center();
    window.drag_at(from);
    window.run();
    for step in 1..=4 {
        window.hover_at(from + by * (step as f32 / 4.0));
        window.run();
    }
    window.drop_at(from + by);
    window.run();
    from
}

/// Points of the picture an octave: its width over 16 Hz to 1 kHz, less margins and axis words.
fn octave_points() -> f32 {
    (WIDTH - 2.0 * 16.0 - 36.0) / (1000.0f32 / 16.0).log2()
}

#[test]
fn an_edge_goes_where_the_pointer_goes() {
    let mut window = window();
    drag(&mut window, "source to, grip", vec2(-60.0, 0.0));
    let wanted = 160.0 * (-60.0 / octave_points()).exp2();
    let is = window.state().settings.octave_to_hz;
    // Values are written in tenths of a hertz.
    assert!((is - wanted).abs() <= 0.06, "{is} where {wanted} was dragged to");
}

#[test]
fn both_ends_of_the_low_band_change_its_width_about_its_centre() {
    let mut window = window();
    drag(&mut window, "low band upper end, grip", vec2(octave_points() / 2.0, 0.0));
    let settings = window.state().settings;
    assert_eq!(settings.low_band_centre_hz, 45.0);
    assert!((settings.low_band_width_oct - 2.0).abs() < 0.02, "{}", settings.low_band_width_oct);
    let before = settings.low_band_width_oct;
    drag(&mut window, "low band lower end, grip", vec2(octave_points() / 4.0, 0.0));
    let after = window.state().settings.low_band_width_oct;
    assert!((before - after - 0.5).abs() < 0.02, "{after}");
}

#[test]
fn the_gain_stands_up_by_what_the_hand_drags() {
    let mut window = window();
    drag(&mut window, "low band gain, grip", vec2(0.0, -40.0));
    let gain = window.state().settings.low_band_gain_db;
    assert!(gain > 8.0 && gain <= 18.0, "{gain}");
}

#[test]
fn a_number_is_dragged_sideways_and_a_drag_is_one_gesture() {
    let mut window = window();
    drag(&mut window, "Input trim", vec2(30.0, 0.0));
    // The whole range of 48 dB lies in 300 points.
    assert!((window.state().settings.input_trim_db - 4.8).abs() < 0.06);
    let actions = &window.state().actions;
    let takes = actions.iter().filter(|action| matches!(action, Action::Take(_))).count();
    let leaves = actions.iter().filter(|action| matches!(action, Action::Leave(_))).count();
    assert_eq!((takes, leaves), (1, 1));
    assert!(matches!(actions.last(), Some(Action::Leave(_))));
}

#[test]
fn the_hand_lets_go_even_when_the_view_is_left_in_a_drag() {
    let mut window = window();
    let from = window.get_by_label("source to, grip").rect().center();
    window.drag_at(from);
    window.run();
    window.hover_at(from + vec2(20.0, 0.0));
    window.run();
    window.state_mut().state.view = underpin::editor::model::state::View::Bands;
    window.run();
    window.drop_at(from + vec2(30.0, 0.0));
    window.run();
    assert!(matches!(window.state().actions.last(), Some(Action::Leave(_))));
}

#[test]
fn a_double_click_on_a_grip_is_the_default() {
    let mut window = window();
    drag(&mut window, "low band centre, grip", vec2(50.0, 0.0));
    assert_ne!(window.state().settings.low_band_centre_hz, 45.0);
    let at = window.get_by_label("low band centre, grip").rect().center();
    for _ in 0..2 {
        window.drag_at(at);
        window.drop_at(at);
    }
    window.run();
    assert_eq!(window.state().settings.low_band_centre_hz, 45.0);
}

#[test]
fn a_plan_is_taken_over_with_one_click() {
    let mut shown = Stage::new(nothing(), Palette::Day);
    shown.state.view = View::Plan;
    shown.plan = Some(plan());
    let mut window = stage(shown, vec2(WIDTH, 600.0), 1.0);
    window.run();
    window.get_by_label("use this plan").click();
    window.run();
    let wanted = plan().preset().expect("settings").settings;
    assert_eq!(window.state().settings, wanted);
}
