//! The window: a picture of what the line does, and the settings to move it.
//!
//! Everything is drawn by free functions that know no plugin framework: they are
//! shown a [`FrameInput`], change the [`WindowState`] and return [`Action`]s for
//! whatever lies outside the window. Only `host` speaks with the framework.

pub mod files;

pub mod model;

pub mod layout;
pub mod paint;

pub mod controls;

pub mod views;

pub mod bars;

pub mod export;
pub mod guard;
pub mod measuring;
pub mod shortcuts;

#[cfg(feature = "plugin")]
mod host;

use crate::link::bench::Measured;
use crate::plot::Ink;
use crate::plot::stations::End;
use crate::report::{Run, Sentence, beyond_full_scale};
use bars::{bench, export_bar, foot, head, sentence, shelf, signal_path, test_signal};
use controls::pen::{Pen, Pointed};
use egui::Ui;
#[cfg(feature = "plugin")]
pub use host::{Window, open};
use layout::Layout;
use model::action::Action;
use model::comparison::OF_THE_LISTENER;
use model::state::{FrameInput, Open, SaidOf, View, WindowState};
use paint::scale;
use paint::theme::Theme;
use views::{blind, captures, help, lessons, plan, presets};

/// Time the sentence stands at least before it changes, in seconds.
const SENTENCE_S: f64 = 1.0;

/// A sentence that answers a hand stands this long, in seconds: long enough to read it, and then
/// the finding comes back.
const MESSAGE_S: f64 = 6.0;

/// Less than one step of 16 bits is silence, whatever it came from, in dBFS.
const SILENT_DBFS: f64 = -90.3;

/// Draws the window over the whole of `ui`; returns what a hand asks for.
pub fn show(ui: &mut Ui, state: &mut WindowState, shown: &FrameInput) -> Vec<Action> {
    let window = ui.ctx().content_rect();
    let natural = window.size() * scale::now(ui.ctx());
    let by_itself = layout::by_itself(natural);
    scale::want(ui.ctx(), layout::fitting_zoom(state.zoom * by_itself, natural));
    state.zoom_shown = scale::now(ui.ctx()) / by_itself;
    let page = layout::page(window);
    ui.set_clip_rect(page);
    let answered = age_message(ui, state);
    let theme = Theme { palette: state.palette };
    let has_bar = state.open == Open::TestSignal || shown.sounds_s.is_some();
    let tray_rows = match state.open {
        Open::Tray => 1,
        Open::Shelf => 2,
        _ if shown.bench.measured != Measured::Line => 2,
        _ => 0,
    };
    let layout = Layout::of(page, has_bar, tray_rows);
    ui.painter().rect_filled(page, 0.0, theme.colour(Ink::Ground));
    state.beside_shown = state.beside;
    let mut gestures = std::mem::take(&mut state.gestures);
    let mut plain = shown.settings.to_plain();
    if let Some((id, put)) = gestures.put {
        plain[id.index()] = put;
    }
    let mut pen = Pen { ui, theme, gestures: &mut gestures, pointed: Pointed::default(), plain };
    head::show(&mut pen, layout.head, state, shown);
    sentence::show(&pen, layout.sentence, layout.letters, &say(&pen, state, shown));
    if has_bar {
        test_signal::show(&mut pen, layout.bar, state, shown);
    }
    if state.comparison.is_blind() {
        let rect = layout.sheet.union(layout.foot);
        blind::show(&mut pen, rect, state, shown);
    } else {
        show_named(&mut pen, &layout, state, shown);
    }
    shortcuts::follow(&mut pen, state, shown);
    pen.gestures.end_frame(pen.ui);
    let actions = std::mem::take(&mut gestures.actions);
    state.gestures = gestures;
    if state.beside != state.beside_shown {
        // What is laid beside the measurement is seen in the next frame.
        ui.ctx().request_repaint();
    }
    remember(ui, state, shown, &actions);
    state.has_started |= actions.iter().any(|action| matches!(action, Action::Start(..)));
    // The next thing that is done has its own answer, if it has one.
    if !actions.is_empty() && state.message == answered {
        state.message = None;
    }
    actions
}

/// Remembers what a hand begins to move, so that it can be taken back.
fn remember(ui: &Ui, state: &mut WindowState, shown: &FrameInput, actions: &[Action]) {
    if std::mem::take(&mut state.is_undoing) {
        return;
    }
    let taken = actions.iter().filter_map(|action| match action {
        Action::Take(id) if !OF_THE_LISTENER.contains(id) => Some(*id),
        _ => None,
    });
    let now = ui.input(|input| input.time);
    state.history.record(&taken.collect::<Vec<_>>(), &shown.settings, now);
}

/// Lets the message go when it has stood long enough; the one that is left.
fn age_message(ui: &Ui, state: &mut WindowState) -> Option<String> {
    let now = ui.input(|input| input.time);
    let message = state.message.clone()?;
    match &state.message_seen {
        Some((seen, since)) if *seen == message && now - since >= MESSAGE_S => {
            state.message = None;
            state.message_seen = None;
        }
        Some((seen, since)) if *seen == message => {
            let left = std::time::Duration::from_secs_f64(MESSAGE_S - (now - since));
            ui.ctx().request_repaint_after(left);
        }
        _ => {
            state.message_seen = Some((message, now));
            ui.ctx().request_repaint_after(std::time::Duration::from_secs_f64(MESSAGE_S));
        }
    }
    state.message.clone()
}

/// The view, or the presets in its place; the line and the foot.
fn show_named(pen: &mut Pen, layout: &Layout, state: &mut WindowState, shown: &FrameInput) {
    match state.open {
        Open::Tray => export_bar::show(pen, layout.tray, state),
        Open::Shelf => shelf::show(pen, layout.tray, state, shown),
        _ if shown.bench.measured != Measured::Line => {
            bench::show(pen, layout.tray, state, shown);
        }
        _ => {}
    }
    match state.open {
        Open::Presets => presets::show(pen, layout.sheet, state, shown),
        Open::Help => help::show(pen, layout.sheet),
        Open::Captures => captures::show(pen, layout.sheet, state, shown),
        _ => (views::entry(state.view).show)(pen, layout, state, shown),
    }
    let y = layout.line.min.y - 1.0;
    pen.painter().hline(layout.line.x_range(), y, pen.theme.rule());
    signal_path::show(pen, layout.line, &ends(shown), state, shown);
    foot::show(pen, layout.foot, state, shown);
}

/// The levels at both ends of the line.
fn ends(shown: &FrameInput) -> [End; 2] {
    let readings = shown.run().map(|run| &run.readings);
    let given = readings.map(|readings| &readings.before.level);
    let out = readings.and_then(|readings| readings.after.as_ref()).map(|side| &side.level);
    let (given, out) = (End::given(given), End::out(out));
    match shown.bench.measured {
        Measured::Line => [given, out],
        Measured::Device => [End { name: "sent", ..given }, End { name: "returned", ..out }],
        Measured::Radio => [End { name: "arrives", ..given }, End { name: "silence", ..out }],
    }
}

/// The sentence of the view; it changes at most once a second while the view stays.
fn say(pen: &Pen, state: &mut WindowState, shown: &FrameInput) -> Sentence {
    if let Some(notice) = state.message.as_ref().or(shown.notice.as_ref()) {
        return notice.clone().into();
    }
    if let Some(said) = bench::say(state, shown) {
        return said;
    }
    if state.open != Open::Presets && !state.comparison.is_blind() {
        match state.view {
            View::Plan => return plan::say(shown),
            View::Lessons => return lessons::say(state),
            _ => {}
        }
    }
    if state.comparison.is_blind() {
        return "Blind: listen to 1 and 2 as often as you like, then say which of them is B."
            .into();
    }
    if shown.settings.bypass && shown.bench.measured == Measured::Line {
        return "Bypass: what comes out is what the radio gives.".into();
    }
    if state.open == Open::Presets {
        return "A preset is set by choosing it; the host can take that back.".into();
    }
    let now = pen.ui.input(|input| input.time);
    let what = (state.view, shown.run().is_some_and(Run::is_tone), state.beside_shown);
    let look = shown.now.filter(|_| state.view == View::Scope).map(|now| now.number);
    let of = SaidOf { reading: (shown.reading, look), what };
    if let Some((said, was, when)) = &state.said
        && (*was == of || (was.what == of.what && now - when < SENTENCE_S))
    {
        return said.clone();
    }
    let said = match shown.run() {
        None => "Nothing has arrived yet. Play the host, or start a test signal.".into(),
        Some(run) if is_silent(run) => {
            "Only silence has arrived. Play the host, or start a test signal.".into()
        }
        // The finding of the Spectrum says it by itself.
        Some(run) if state.view == View::Spectrum => (views::entry(state.view).say)(shown, run),
        Some(run) => {
            let told = (views::entry(state.view).say)(shown, run);
            beyond_full_scale(&shown.sheet.runs, told)
        }
    };
    state.said = Some((said.clone(), of, now));
    said
}

/// True where neither end of the line has heard anything.
fn is_silent(run: &Run) -> bool {
    run.readings.before.level.peak_dbfs.max(run.out().level.peak_dbfs) < SILENT_DBFS
}
