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
use crate::settings::{Order, Settings};
use egui::Pos2;

/// The names of the grips of high-pass and low band.
pub const FILTERS: [&str; 4] = [
    "high-pass, grip",
    "low band lower end, grip",
    "low band centre, grip",
    "low band upper end, grip",
];

/// What a frequency under a handle makes of its setting.
#[derive(Clone, Copy)]
enum Stands {
    /// The setting is that frequency.
    ForItself,
    /// The setting is the width in octaves of a band about this centre in Hz that ends there.
    ForWidth(f32),
}

impl Stands {
    fn plain(self, hz: f64) -> f32 {
        match self {
            Stands::ForItself => hz as f32,
            Stands::ForWidth(centre_hz) => 2.0 * (hz as f32 / centre_hz).log2().abs(),
        }
    }
}

/// Shows the lane with its top `top` points under the page's `origin`.
pub fn show(pen: &mut Pen, frame: &Frame, origin: Pos2, top: f64, width: f64) {
    let settings = pen.settings();
    let mut scene = Scene::new(width, top + lane::HEIGHT, "");
    lane::draw(&mut scene, frame, top, &settings, lane::Which::All);
    scene::draw(pen.painter(), origin, &scene, &pen.theme);
    for (row, stands, handle) in handles(&settings) {
        let y = origin.y + (top + lane::ROWS[row]) as f32;
        handle::show(pen, frame, origin, y, handle, |hz| stands.plain(hz));
    }
}

/// The handles in the order of the line, each with its row and what it stands for.
fn handles(settings: &Settings) -> [(usize, Stands, Handle<'static>); 7] {
    use HandleShape::{Bob, Edge, Post};
    use Stands::{ForItself, ForWidth};
    let octave = lane::on_off(!settings.octave_is_off(), Ink::Octave);
    let low = lane::on_off(settings.low_band_gain_db != 0.0, Ink::Low);
    let high_pass = lane::on_off(settings.high_pass_order != Order::Off, Ink::Text);
    let (centre, half) = (settings.low_band_centre_hz, (settings.low_band_width_oct / 2.0).exp2());
    let (from, to) = (settings.octave_from_hz, settings.octave_to_hz);
    [
        (0, ForItself, Id::octave_floor_hz, "floor, grip", settings.octave_floor_hz, Post, octave),
        (0, ForItself, Id::octave_from_hz, "source from, grip", from, Edge, octave),
        (0, ForItself, Id::octave_to_hz, "source to, grip", to, Edge, octave),
        (2, ForItself, Id::high_pass_hz, FILTERS[0], settings.high_pass_hz, Post, high_pass),
        (2, ForWidth(centre), Id::low_band_width_oct, FILTERS[1], centre / half, Edge, low),
        (2, ForItself, Id::low_band_centre_hz, FILTERS[2], centre, Bob, low),
        (2, ForWidth(centre), Id::low_band_width_oct, FILTERS[3], centre * half, Edge, low),
    ]
    .map(|(row, stands, id, name, hz, shaped, ink)| {
        (row, stands, Handle { id, name, hz: hz.into(), shaped, ink })
    })
}
