//! The foot: how it was measured, how far it has settled, colours and zoom.

use super::desk::{Desk, Shown, View};
use super::pen::{Pen, Spot};
use super::stillness;
use super::wish::Wish;
use crate::analysis::spectrum::Spectrum;
use crate::plot::words::short;
use crate::plot::{Ink, Palette, Role};
use crate::report::Run;
use egui::Rect;

/// The zooms one step apart, as shares of the natural size.
const ZOOMS: [f32; 9] = [0.75, 0.9, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0];

/// Shows the foot in `rect`.
pub fn show(pen: &mut Pen, rect: Rect, desk: &mut Desk, shown: &Shown) {
    let y = rect.max.y - 6.0;
    let note = |x: f32| Spot::new(x, y, Role::Note, Ink::Second);
    let left = zoom(pen, rect, note(rect.max.x)) - 12.0;
    let left = colours(pen, note(left).end(), desk) - 14.0;
    let left = stillness::show(pen, note(left), desk) - 14.0;
    let room = left - rect.min.x;
    if desk.view == View::Plan {
        let told = shown.plan.plan.map_or("", |plan| plan.measured.as_str());
        if Role::Note.width(told) as f32 <= room {
            pen.write(note(rect.min.x), told);
        }
        return;
    }
    let Some(run) = shown.run() else { return };
    let settled = settled(run);
    let right = pen.write(note(left).end(), &settled).width();
    let told = [how(run, true), how(run, false), in_short(run)];
    let fits = |words: &&String| Role::Note.width(words) as f32 + right + 16.0 < room;
    if let Some(words) = told.iter().find(fits) {
        pen.write(note(rect.min.x), words);
    }
}

/// The colours as one word; it goes round. Returns where it begins.
fn colours(pen: &mut Pen, spot: Spot, desk: &Desk) -> f32 {
    let (words, next) = match desk.look.palette {
        Palette::Day => ("day", Palette::Night),
        Palette::Night => ("night", Palette::HighContrast),
        Palette::HighContrast => ("contrast", Palette::Day),
    };
    if pen.word(spot, words, "colours", false) {
        pen.hand.wishes.push(Wish::Show(next));
    }
    spot.room(words).min.x
}

/// Smaller, the zoom now, larger; returns where they begin.
fn zoom(pen: &mut Pen, rect: Rect, spot: Spot) -> f32 {
    let now = pen.ui.ctx().zoom_factor();
    let step = |up: bool| match up {
        true => ZOOMS.iter().find(|zoom| **zoom > now + 0.01),
        false => ZOOMS.iter().rev().find(|zoom| **zoom < now - 0.01),
    };
    let right = Spot { at: egui::Pos2::new(rect.max.x, spot.at.y), ..spot }.end();
    let larger = pen.word(right, "+", "zoom in", false);
    let percent = format!("{:.0} %", 100.0 * now);
    let middle = Spot { at: egui::Pos2::new(rect.max.x - 12.0, spot.at.y), ..right };
    let width = pen.write(middle, &percent).width();
    let left = Spot { at: egui::Pos2::new(rect.max.x - 18.0 - width, spot.at.y), ..right };
    let smaller = pen.word(left, "\u{2212}", "zoom out", false);
    let wanted = if larger {
        step(true)
    } else if smaller {
        step(false)
    } else {
        None
    };
    if let Some(zoom) = wanted {
        pen.hand.wishes.push(Wish::Zoom(*zoom));
    }
    left.room("\u{2212}").min.x
}

/// How a run was measured: what, length of the transform, resolution, window, averages,
/// smoothing and tilt; with or without its name.
pub fn how(run: &Run, with_name: bool) -> String {
    let smoothing = match run.is_tone() {
        true => "every line by itself",
        false => "1/6 octave, flat for pink",
    };
    let name = if with_name { format!("{} \u{b7} ", run.name) } else { String::new() };
    let seconds = short(run.readings.seconds, 0);
    format!("{name}{} \u{b7} mean of {seconds} s \u{b7} {smoothing}", transform(run))
}

/// The same in the fewest words.
fn in_short(run: &Run) -> String {
    format!("{} \u{b7} {} s", transform(run), short(run.readings.seconds, 0))
}

fn transform(run: &Run) -> String {
    let spectrum = &run.out().spectrum;
    let (block_s, df) = (short(1.0 / spectrum.df_hz, 2), short(spectrum.df_hz, 2));
    format!("FFT {block_s} s \u{b7} \u{394}f {df} Hz \u{b7} {}", spectrum.window.name())
}

/// The lowest third octave that is looked at, its width in Hz (IEC 61260-1, 20 Hz).
const LOWEST_BAND_HZ: f64 = 4.62;

/// What is near enough, in dB (one standard deviation).
const SETTLED_DB: f64 = 0.5;

/// How long until the 20 Hz third is within 0.5 dB for noise: the standard deviation of its
/// level is 4.343/√(B·T) dB (Bendat & Piersol, *Random Data*).
pub fn settled(run: &Run) -> String {
    if run.is_tone() {
        return "0 dB = the tone".into();
    }
    match left_s(&run.readings.before.spectrum) {
        left if left < 0.5 => "settled to 0.5 dB".into(),
        left => format!("20 Hz settles in {left:.0} s"),
    }
}

fn left_s(spectrum: &Spectrum) -> f64 {
    let needed = (10.0 / std::f64::consts::LN_10 / SETTLED_DB).powi(2) / LOWEST_BAND_HZ;
    (needed - spectrum.equivalent_s()).max(0.0)
}
