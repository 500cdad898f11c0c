//! The foot: how it was measured, how far it has settled, colours and zoom.

use super::desk::{Desk, Shown, View};
use super::pen::{Pen, Spot};
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
    let mut x = rect.max.x - 150.0;
    let palettes =
        [("day", Palette::Day), ("night", Palette::Night), ("contrast", Palette::HighContrast)];
    for (words, palette) in palettes {
        let chosen = desk.look.palette == palette;
        let ink = if chosen { Ink::Text } else { Ink::Second };
        let spot = Spot { ink, role: if chosen { Role::Strong } else { Role::Note }, ..note(x) };
        if pen.word(spot, words, words, false) {
            pen.hand.wishes.push(Wish::Show(palette));
        }
        x += Role::Strong.width(words) as f32 + 7.0;
    }
    zoom(pen, rect, note(x));
    let left = rect.max.x - 162.0;
    let left = stillness(pen, note(left), desk) - 12.0;
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
    let told = [how(run, false), how(run, true)];
    let fits = |words: &&String| Role::Note.width(words) as f32 + right + 16.0 < room;
    if let Some(words) = told.iter().find(fits) {
        pen.write(note(rect.min.x), words);
    }
}

/// Freeze and restart; returns where they begin.
fn stillness(pen: &mut Pen, spot: Spot, desk: &mut Desk) -> f32 {
    let spot = spot.end();
    if pen.word(spot, "restart", "restart the averages", false) {
        pen.hand.wishes.push(Wish::Restart);
    }
    let now = pen.ui.input(|input| input.time);
    let words = match desk.frozen_s {
        Some(since) => format!("frozen {} ago", super::head::clock(now - since)),
        None => "freeze".into(),
    };
    let at = egui::Pos2::new(spot.room("restart").min.x - 9.0, spot.at.y);
    let ink = if desk.frozen_s.is_some() { Ink::Text } else { Ink::Second };
    let spot = Spot { at, ink, ..spot };
    if pen.word(spot, &words, "freeze", false) {
        desk.frozen_s = if desk.frozen_s.is_some() { None } else { Some(now) };
    }
    spot.room(&words).min.x
}

/// Smaller, the zoom now, larger.
fn zoom(pen: &mut Pen, rect: Rect, spot: Spot) {
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
}

/// How a run was measured: length, resolution, window, averaging.
pub fn how(run: &Run, in_short: bool) -> String {
    let spectrum = &run.out().spectrum;
    let block_s = short(1.0 / spectrum.df_hz, 2);
    let df = short(spectrum.df_hz, 2);
    let seconds = short(run.readings.seconds, 0);
    let window = spectrum.window.name();
    match in_short {
        true => {
            format!("FFT {block_s} s \u{b7} \u{394}f {df} Hz \u{b7} {window} \u{b7} {seconds} s")
        }
        false => format!(
            "{} \u{b7} FFT {block_s} s \u{b7} \u{394}f {df} Hz \u{b7} {window} \u{b7} mean of {seconds} s \u{b7} {}",
            run.name,
            if run.is_tone() { "every line by itself" } else { "1/6 octave, flat for pink" },
        ),
    }
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
        left if left < 0.5 => "20 Hz settled to 0.5 dB".into(),
        left => format!("20 Hz settles in {left:.0} s"),
    }
}

fn left_s(spectrum: &Spectrum) -> f64 {
    let needed = (10.0 / std::f64::consts::LN_10 / SETTLED_DB).powi(2) / LOWEST_BAND_HZ;
    (needed - spectrum.equivalent_s()).max(0.0)
}
