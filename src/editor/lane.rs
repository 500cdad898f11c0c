//! The settings under the axis of the Spectrum, where they act: grips to drag.
//!
//! Floor and source band; beneath it, tied by two leaders, where it lands at
//! half; high-pass and low band with a bob at its centre and grips where its
//! gain is half.

use super::grip::{self, Grip, Shaped};
use super::paint;
use super::pen::Pen;
use super::steps::Which;
use crate::plot::axis::Frame;
use crate::plot::label::{Label, Placer};
use crate::plot::scene::Rect as Box;
use crate::plot::words::{frequency, short};
use crate::plot::{Cause, Ink, Role, Scene};
use crate::settings::{Order, Settings};
use egui::Pos2;

/// Heights of the rows under the top of the lane, in points.
const ROWS: [f64; 3] = [10.0, 23.0, 37.0];

/// Room for the words that choose the range of the axis, in points.
const RANGE: f64 = 56.0;

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
    draw(&mut scene, frame, top, &settings);
    paint::scene(pen.painter(), origin, &scene, &pen.look);
    let y = |row: usize| origin.y + (top + ROWS[row]) as f32;
    let mut grip =
        |key: &str, name: &str, hz: f32, row: usize, shaped, ink, of: &dyn Fn(f64) -> f32| {
            let grip = Grip { which: Which::of(key), name, hz: hz.into(), shaped, ink };
            grip::show(pen, frame, origin, y(row), grip, of);
        };
    let plainly = |hz: f64| hz as f32;
    let octave = on_off(settings.octave_level_db > -60.0, Ink::Octave);
    let low = on_off(settings.low_band_gain_db != 0.0, Ink::Low);
    let high_pass = on_off(settings.high_pass_order != Order::Off, Ink::Text);
    let (centre, half) = (settings.low_band_centre_hz, (settings.low_band_width_oct / 2.0).exp2());
    let width = |hz: f64| 2.0 * (hz as f32 / centre).log2().abs();
    grip(
        "octave.floor_hz",
        "floor, grip",
        settings.octave_floor_hz,
        0,
        Shaped::Post,
        octave,
        &plainly,
    );
    grip(
        "octave.from_hz",
        "source from, grip",
        settings.octave_from_hz,
        0,
        Shaped::Edge,
        octave,
        &plainly,
    );
    grip(
        "octave.to_hz",
        "source to, grip",
        settings.octave_to_hz,
        0,
        Shaped::Edge,
        octave,
        &plainly,
    );
    grip(
        "high_pass.hz",
        "high-pass, grip",
        settings.high_pass_hz,
        2,
        Shaped::Post,
        high_pass,
        &plainly,
    );
    grip(
        "low_band.width_oct",
        "low band lower end, grip",
        centre / half,
        2,
        Shaped::Edge,
        low,
        &width,
    );
    grip("low_band.centre_hz", "low band centre, grip", centre, 2, Shaped::Bob, low, &plainly);
    grip(
        "low_band.width_oct",
        "low band upper end, grip",
        centre * half,
        2,
        Shaped::Edge,
        low,
        &width,
    );
}

/// The colour of a cause that acts, or that of one that does not.
fn on_off(is_on: bool, ink: Ink) -> Ink {
    if is_on { ink } else { Ink::Second }
}

/// Lines and words; the grips are laid on them.
pub fn draw(scene: &mut Scene, frame: &Frame, top: f64, settings: &Settings) {
    let (left, right) = (frame.rect.x, frame.rect.right());
    let x = |hz: f32| frame.x(hz.into()).clamp(left, right);
    let y = |row: usize| top + ROWS[row];
    let (from, to) = (settings.octave_from_hz, settings.octave_to_hz);
    let is_octave = settings.octave_level_db > -60.0;
    let octave = if is_octave { Cause::Octave } else { Cause::Taken };
    let ink = on_off(is_octave, Ink::Octave);
    scene.line(octave, vec![(x(from), y(0)), (x(to), y(0))]);
    let halves = (x(from / 2.0), x(to / 2.0));
    for (above, below) in [(x(from), halves.0), (x(to), halves.1)] {
        scene.line(Cause::Difference, vec![(above, y(0) + 4.0), (below, y(1))]);
    }
    scene.line(octave, vec![(halves.0, y(1)), (halves.1, y(1))]);
    for end in [halves.0, halves.1] {
        scene.rule((end - 3.5, y(1) + 3.5), (end + 3.5, y(1) - 3.5), 1.5, ink);
    }
    let centre = settings.low_band_centre_hz;
    let half = (settings.low_band_width_oct / 2.0).exp2();
    let is_low = settings.low_band_gain_db != 0.0;
    let low = if is_low { Cause::LowBand } else { Cause::Taken };
    scene.line(low, vec![(x(centre / half), y(2)), (x(centre * half), y(2))]);

    let high_pass = on_off(settings.high_pass_order != Order::Off, Ink::Text);
    let ends = [x(from), x(to)].map(|x| (x, 0, ink));
    let posts = [
        (x(settings.octave_floor_hz), 0, ink),
        (x(settings.high_pass_hz), 2, high_pass),
        (x(centre), 2, on_off(is_low, Ink::Low)),
    ];
    for (x, row, ink) in ends.into_iter().chain(posts) {
        scene.rule((x, y(row) - 5.0), (x, y(row) + 5.0), 1.5, ink);
    }

    let mut placer = Placer::new(Box::new(0.0, top, scene.width, 48.0));
    let floor = settings.octave_floor_hz;
    for (from, to, row) in [
        (x(floor), x(floor), 0),
        (x(from), x(to), 0),
        (halves.0, halves.1, 1),
        (x(settings.high_pass_hz), x(settings.high_pass_hz), 2),
        (x(centre / half), x(centre * half), 2),
    ] {
        placer.keep_off(Box::new(from - 7.0, y(row) - 6.0, to - from + 14.0, 12.0));
    }
    // The words that choose the range stand at the end of the last row.
    placer.keep_off(Box::new(scene.width - RANGE, y(2) - 8.0, RANGE, 16.0));
    let mut name = |words: [String; 2], ink: Ink, (from, to): (f64, f64), row: usize| {
        for words in words {
            let label = Label::new(words, Role::Note, ink);
            let label = Label { halo: Some(Ink::Ground), ..label };
            let half = label.size().0 / 2.0;
            let places = [(to + 10.0 + half, y(row)), (from - 10.0 - half, y(row))];
            if placer.set_on(scene, &label, places).is_some() {
                return;
            }
        }
    };
    let hz = |hz: f32| short(hz.into(), 1);
    let source = format!("source {}\u{2013}{} Hz", hz(from), hz(to));
    name([source, "source".into()], ink, (x(from), x(to)), 0);
    let floor_words = if floor > 0.0 { format!("floor {}", hz(floor)) } else { "no floor".into() };
    name([floor_words, "floor".into()], ink, (x(floor), x(floor)), 0);
    let lands = format!("lands at half, {}\u{2013}{}", hz(from / 2.0), hz(to / 2.0));
    name([lands, "half".into()], ink, halves, 1);
    let ink = on_off(is_low, Ink::Low);
    let band =
        format!("low band {} Hz, {} oct", hz(centre), short(settings.low_band_width_oct.into(), 2));
    name([band, "low band".into()], ink, (x(centre / half), x(centre * half)), 2);
    let is_on = settings.high_pass_order != Order::Off;
    let at = x(settings.high_pass_hz);
    let words = match is_on {
        true => format!("high-pass {}", frequency(settings.high_pass_hz.into())),
        false => "high-pass off".into(),
    };
    name([words, "high-pass".into()], on_off(is_on, Ink::Text), (at, at), 2);
}
