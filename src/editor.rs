//! The window: a picture of what the line does, and the settings to move it.
//!
//! Everything is drawn by free functions that know no framework: they are shown
//! plain values and return wishes. Only `shell` speaks with the host.

pub mod analyst;
pub mod blind;
pub mod cursor;
pub mod desk;
pub mod export;
pub mod folder;
pub mod foot;
pub mod gain;
pub mod grid;
pub mod grip;
pub mod hand;
pub mod head;
pub mod hold;
#[cfg(feature = "plugin")]
mod keeping;
pub mod lane;
pub mod library;
pub mod line;
pub mod look;
pub mod number;
#[cfg(feature = "plugin")]
mod opening;
pub mod paint;
pub mod pair;
pub mod pen;
pub mod plans;
mod posts;
pub mod presets;
pub mod raster;
pub mod rolling;
pub mod sentence;
pub mod shelf;
#[cfg(feature = "plugin")]
mod shell;
pub mod shortcuts;
pub mod steps;
pub mod stillness;
pub mod test_bar;
pub mod tiles;
pub mod tray;
pub mod twin;
pub mod view_bands;
pub mod view_partials;
pub mod view_plan;
pub mod view_scope;
pub mod view_spectrum;
pub mod wish;

use crate::plot::Ink;
use crate::plot::stations::End;
use crate::report::{Run, Sentence, finding};
use desk::{Desk, Open, Shown, View};
use egui::Ui;
use grid::Grid;
#[cfg(feature = "plugin")]
pub use opening::open;
use pen::Pen;
#[cfg(feature = "plugin")]
pub use shell::Window;
use wish::Wish;

/// Time the sentence stands at least before it changes, in seconds.
const SENTENCE_S: f64 = 1.0;

/// Draws the window over the whole of `ui`; returns what a hand asks for.
pub fn show(ui: &mut Ui, desk: &mut Desk, shown: &Shown) -> Vec<Wish> {
    let page = ui.ctx().content_rect();
    let zoom = ui.ctx().zoom_factor();
    let fitting = grid::fitting_zoom(desk.zoom, page.size() * zoom);
    if (fitting - zoom).abs() > 1e-3 {
        ui.ctx().set_zoom_factor(fitting);
    }
    ui.set_clip_rect(page);
    let has_bar = desk.open == Open::TestSignal || shown.sounds_s.is_some();
    let has_tray = desk.open == Open::Tray;
    let grid = Grid::of(page, has_bar, has_tray);
    ui.painter().rect_filled(page, 0.0, desk.look.colour(Ink::Ground));
    let mut hand = std::mem::take(&mut desk.hand);
    let mut plain = shown.settings.to_plain();
    if let Some((which, put)) = hand.put {
        plain[which.0] = put;
    }
    let look = desk.look;
    let mut pen = Pen { ui, look, hand: &mut hand, plain };
    head::show(&mut pen, grid.head, desk, shown);
    sentence::show(&pen, grid.sentence, grid.letters, &say(&pen, desk, shown));
    if has_bar {
        test_bar::show(&mut pen, grid.bar, desk, shown);
    }
    if desk.pair.is_blind() {
        let rect = grid.sheet.union(grid.foot);
        blind::show(&mut pen, rect, desk, shown);
    } else {
        show_named(&mut pen, &grid, desk, shown);
    }
    shortcuts::follow(&mut pen, desk, shown);
    pen.hand.end_frame(pen.ui);
    let wishes = std::mem::take(&mut hand.wishes);
    desk.hand = hand;
    wishes
}

/// The view, or the presets in its place; the line and the foot.
fn show_named(pen: &mut Pen, grid: &Grid, desk: &mut Desk, shown: &Shown) {
    if desk.open == Open::Tray {
        tray::show(pen, grid.tray, desk);
    }
    match desk.view {
        _ if desk.open == Open::Presets => presets::show(pen, grid.sheet, desk, shown),
        View::Spectrum => view_spectrum::show(pen, grid, desk, shown),
        View::Bands => view_bands::show(pen, grid, desk, shown),
        View::Scope => view_scope::show(pen, grid, desk, shown),
        View::Partials => view_partials::show(pen, grid, desk, shown),
        View::Plan => view_plan::show(pen, grid, desk, shown),
    }
    let y = grid.line.min.y - 1.0;
    pen.painter().hline(grid.line.x_range(), y, pen.look.rule());
    line::show(pen, grid.line, &ends(shown), desk, shown);
    foot::show(pen, grid.foot, desk, shown);
}

/// The levels at both ends of the line.
fn ends(shown: &Shown) -> [End; 2] {
    let readings = shown.run().map(|run| &run.readings);
    let given = readings.map(|readings| &readings.before.level);
    let out = readings.and_then(|readings| readings.after.as_ref()).map(|side| &side.level);
    [End::given(given), End::out(out)]
}

/// The sentence of the view; it changes at most once a second while the view stays.
fn say(pen: &Pen, desk: &mut Desk, shown: &Shown) -> Sentence {
    if let Some(notice) = desk.told.as_ref().or(shown.notice.as_ref()) {
        return notice.clone().into();
    }
    if desk.view == View::Plan && desk.open != Open::Presets && !desk.pair.is_blind() {
        return view_plan::say(shown);
    }
    if desk.pair.is_blind() {
        return "Blind: listen to 1 and 2 as often as you like, then ask which is which.".into();
    }
    if shown.settings.bypass {
        return "Bypass: what comes out is what the radio gives.".into();
    }
    if desk.open == Open::Presets {
        return "A preset is set by choosing it; the host can take that back.".into();
    }
    let now = pen.ui.input(|input| input.time);
    let of = (shown.reading, desk.view, shown.run().is_some_and(Run::is_tone));
    if let Some((said, was, when)) = &desk.said
        && (*was == of || ((was.1, was.2) == (of.1, of.2) && now - when < SENTENCE_S))
    {
        return said.clone();
    }
    let said = match shown.run() {
        None => "Nothing has arrived yet. Play the host, or start a test signal.".into(),
        Some(run) => match desk.view {
            View::Spectrum => finding(shown.sheet),
            View::Bands => view_bands::say(run, shown.sheet.target.as_ref()),
            View::Scope => view_scope::say(run),
            View::Partials => view_partials::say(run, shown.sheet.harmonics_limit),
            View::Plan => view_plan::say(shown),
        },
    };
    desk.said = Some((said.clone(), of, now));
    said
}
