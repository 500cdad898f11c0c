//! The settings under the axis of the Spectrum, where they act: grips to drag.
//!
//! Floor and source band; beneath it, tied by two leaders, where it lands at
//! half; high-pass and low band with a bob at its centre and grips where its
//! gain is half.

use crate::editor::controls::handle;
use crate::editor::controls::handle::{Handle, HandleShape};
use crate::editor::controls::pen::Pen;
use crate::editor::paint::scene;
use crate::plot::axis::Frame;
use crate::plot::{Ink, Scene, lane};
use crate::settings::Id;
use crate::settings::Order;
use egui::Pos2;

/// The names of the grips of high-pass and low band.
pub const FILTERS: [&str; 4] = [
    "high-pass, grip",
    "low band lower end, grip",
    "low band centre, grip",
    "low band upper end, grip",
];

/// Shows the lane with its top `top` points under the page's `origin`.
pub fn show(pen: &mut Pen, frame: &Frame, origin: Pos2, top: f64, width: f64) {
    let settings = pen.settings();
    let mut scene = Scene::new(width, top + 48.0, "");
    lane::draw(&mut scene, frame, top, &settings);
    scene::draw(pen.painter(), origin, &scene, &pen.theme);
    let y = |row: usize| origin.y + (top + lane::ROWS[row]) as f32;
    let mut grip =
        |id: Id, name: &str, hz: f32, row: usize, shaped, ink, of: &dyn Fn(f64) -> f32| {
            let grip = Handle { id, name, hz: hz.into(), shaped, ink };
            handle::show(pen, frame, origin, y(row), grip, of);
        };
    let plainly = |hz: f64| hz as f32;
    let octave = lane::on_off(!settings.octave_is_off(), Ink::Octave);
    let low = lane::on_off(settings.low_band_gain_db != 0.0, Ink::Low);
    let high_pass = lane::on_off(settings.high_pass_order != Order::Off, Ink::Text);
    let (centre, half) = (settings.low_band_centre_hz, (settings.low_band_width_oct / 2.0).exp2());
    let width = |hz: f64| 2.0 * (hz as f32 / centre).log2().abs();
    grip(
        Id::octave_floor_hz,
        "floor, grip",
        settings.octave_floor_hz,
        0,
        HandleShape::Post,
        octave,
        &plainly,
    );
    grip(
        Id::octave_from_hz,
        "source from, grip",
        settings.octave_from_hz,
        0,
        HandleShape::Edge,
        octave,
        &plainly,
    );
    grip(
        Id::octave_to_hz,
        "source to, grip",
        settings.octave_to_hz,
        0,
        HandleShape::Edge,
        octave,
        &plainly,
    );
    grip(
        Id::high_pass_hz,
        "high-pass, grip",
        settings.high_pass_hz,
        2,
        HandleShape::Post,
        high_pass,
        &plainly,
    );
    grip(
        Id::low_band_width_oct,
        "low band lower end, grip",
        centre / half,
        2,
        HandleShape::Edge,
        low,
        &width,
    );
    grip(
        Id::low_band_centre_hz,
        "low band centre, grip",
        centre,
        2,
        HandleShape::Bob,
        low,
        &plainly,
    );
    grip(
        Id::low_band_width_oct,
        "low band upper end, grip",
        centre * half,
        2,
        HandleShape::Edge,
        low,
        &width,
    );
}
