//! The bench: what is heard of a radio, the step under which its takes are kept, and what comes next.

use crate::editor::controls::fit_text::fitting;
use crate::editor::controls::pen::{Pen, Spot};
use crate::editor::controls::row::{self, Word};
use crate::editor::controls::text_field;
use crate::editor::model::action::Action;
use crate::editor::model::bench::{BenchInput, Heard, loudness, name, status};
use crate::editor::model::comparison::moves;
use crate::editor::model::state::{FrameInput, Open, View, WindowState};
use crate::link::bench::Measured;
use crate::plot::{Ink, Role};
use crate::report::Sentence;
use crate::takes::Advice;
use egui::{Pos2, Rect, vec2};

/// Between two words, in points.
const GAP: f32 = 14.0;

/// Shows it in `rect`, in two rows.
pub fn show(pen: &mut Pen, rect: Rect, state: &mut WindowState, shown: &FrameInput) {
    pen.painter().rect_filled(rect, 0.0, pen.theme.colour(Ink::Sheet));
    let half = 0.5 * rect.height();
    let rows = [0.5, 1.5].map(|row| rect.min.y + row * half + 4.0);
    let row = |y: f32| (Pos2::new(rect.min.x + 8.0, y), rect.max.x - 8.0);
    arrives(pen, row(rows[0]), shown);
    takes(pen, row(rows[1]), state, shown);
}

/// What is measured, what is heard, how loud it is and what to change.
fn arrives(pen: &mut Pen, (at, right): (Pos2, f32), shown: &FrameInput) {
    let bench = &shown.bench;
    let plate = Spot::new(at.x, at.y, Role::Strong, Ink::Sheet);
    let words = bench.measured.words().to_uppercase();
    let room = plate.room(&words).expand2(vec2(6.0, 3.0));
    pen.painter().rect_filled(room, 0.0, pen.theme.colour(Ink::Text));
    pen.write(plate, &words);
    let mut right = right;
    if let Some(heard) = bench.heard {
        let end = Spot::new(right, at.y, Role::Note, Ink::Second).end();
        right = pen.write(end, &loudness(heard, shown.now)).min.x - GAP;
        if let Some(wrong) = wrong(heard) {
            right = warn(pen, Pos2::new(right, at.y), &wrong);
        }
    }
    let spot = Spot::new(room.max.x + 10.0, at.y, Role::Value, Ink::Text);
    let words = fitting(&status(bench.heard), Role::Value, f64::from(right - spot.at.x));
    pen.write(spot, &words);
}

/// What is wrong with what arrives.
fn wrong(heard: &Heard) -> Option<String> {
    match heard.returned {
        Some(returned) => returned.fault.map(|fault| fault.to_string()),
        None => (heard.advice != Advice::Good).then(|| heard.advice.to_string()),
    }
}

/// A filled plate with what is wrong, ending at a place; returns where it begins.
fn warn(pen: &mut Pen, end: Pos2, words: &str) -> f32 {
    let spot = Spot::new(end.x - 6.0, end.y, Role::Strong, Ink::Sheet).end();
    let room = spot.room(words).expand2(vec2(6.0, 3.0));
    pen.painter().rect_filled(room, 0.0, pen.theme.colour(Ink::Fault));
    pen.write(spot, words);
    room.min.x - GAP
}

/// A word, what it is known by, and what it asks for; nothing where settings are set.
type Deed = (&'static str, &'static str, Option<Action>);

const OF_A_RADIO: [Deed; 3] = [
    ("write the track", "write the track", Some(Action::WriteTrack)),
    ("keep plan", "keep the plan", Some(Action::KeepPlan)),
    ("new radio", "forget these takes", Some(Action::ForgetTakes)),
];

const OF_A_DEVICE: [Deed; 2] = [
    ("use settings", "use the settings of the device", None),
    ("new device", "forget these takes", Some(Action::ForgetTakes)),
];

/// The step, the takes so far, what comes next, and what can be done with them.
fn takes(pen: &mut Pen, (at, right): (Pos2, f32), state: &mut WindowState, shown: &FrameInput) {
    let bench = &shown.bench;
    let is_radio = bench.measured == Measured::Radio;
    let (label, known) = match is_radio {
        true => ("volume step", "name of the volume step"),
        false => ("knob at", "position of the knob"),
    };
    let spot = Spot::new(at.x, at.y, Role::Note, Ink::Second);
    let left = pen.write(spot, label).max.x + 7.0;
    let place = Rect::from_min_size(Pos2::new(left, at.y - 15.0), vec2(64.0, 20.0));
    text_field::show(pen, place, known, &mut state.step);
    let deeds: &[Deed] = match is_radio {
        true => &OF_A_RADIO,
        false if bench.settings.is_some() => &OF_A_DEVICE,
        false => &OF_A_DEVICE[1..],
    };
    let words: Vec<Word> =
        deeds.iter().map(|(words, name, _)| Word::new(words, name, Role::Note, true)).collect();
    let (clicked, left) = row::ending_at(pen, Pos2::new(right, at.y), GAP, &words);
    match clicked.map(|at| deeds[at].2) {
        Some(Some(action)) => pen.gestures.actions.push(action),
        Some(None) => use_settings(pen, shown),
        None => {}
    }
    let spot = Spot::new(place.max.x + GAP, at.y, Role::Note, Ink::Text);
    let words = told(bench);
    pen.write(spot, &fitting(&words, Role::Note, f64::from(left - GAP - spot.at.x)));
}

/// Sets what comes nearest to the device, each setting that differs in a gesture of its own.
fn use_settings(pen: &mut Pen, shown: &FrameInput) {
    let Some(settings) = shown.bench.settings else { return };
    for (id, plain) in moves(&shown.settings, &settings) {
        pen.gestures.set(id, plain);
    }
}

/// The takes so far and what comes next.
fn told(bench: &BenchInput) -> String {
    let names: Vec<String> = bench.takes.iter().map(|path| name(path)).collect();
    let next = match (bench.progress, bench.fault) {
        (Some(share), _) => format!("reading, {:.0} %", 100.0 * share),
        (None, Some(fault)) => fault.to_owned(),
        (None, None) => bench.next.to_owned(),
    };
    match names.is_empty() {
        true => next,
        false => format!("{}: {next}", names.join(", ")),
    }
}

/// Said before the first signal to a device (common practice, no source).
const FIRST_START: &str = "Lowest volume first: below 40 Hz you do not notice how loud it is. Short \
                           bursts, a subsonic filter on, no wiring under power, never while driving.";

/// What is said above the views that show a device: cautions first, then how it stands.
pub fn say(state: &WindowState, shown: &FrameInput) -> Option<Sentence> {
    let shows_sound = !matches!(state.view, View::Plan | View::Lessons);
    if shown.bench.measured != Measured::Device {
        return None;
    }
    if state.open == Open::TestSignal && !state.has_started {
        return Some(FIRST_START.into());
    }
    let returned = shown.bench.heard.and_then(|heard| heard.returned).unwrap_or_default();
    (shows_sound && !state.comparison.is_blind()).then(|| returned.sentence().into())
}

/// What is measured, as a word at the start of the line; it goes round.
pub fn choose(pen: &mut Pen, rect: Rect, shown: &FrameInput) {
    let measured = shown.bench.measured;
    let ink = if measured == Measured::Line { Ink::Second } else { Ink::Text };
    let spot = Spot::new(rect.min.x, rect.min.y + 11.0, Role::Strong, ink);
    // No slab under it: the name of what arrives stands there.
    if pen.word(spot, measured.words(), "what is measured", false) {
        pen.gestures.actions.push(Action::Measure(measured.next()));
    }
}
