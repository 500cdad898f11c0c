//! The line: the signal from left to right like a transit line, settings at its stations.
//!
//! The octave part branches beneath it and rejoins; after the joint the line
//! is heavy. On a narrow page the same line runs from top to bottom.

use crate::plot::route::{Route, Stop, draw_tracks};
use crate::plot::scene::{Anchor, Point, Role, Scene};
use crate::plot::stations::{End, Station, remark};
use crate::plot::{Cause, Ink};
use crate::settings::Settings;

/// Height of the line from left to right, in pixels.
pub const HEIGHT: f64 = 92.0;

/// Height of the line from top to bottom, in pixels.
pub const HEIGHT_DOWN: f64 = 388.0;

/// Draws the line from left to right with its top left at `at`.
pub fn line(scene: &mut Scene, at: Point, width: f64, settings: &Settings, ends: [End; 2]) {
    let route = Route::new(at, width, 34.0);
    route.draw(scene, settings);
    draw_octave(scene, route.stop(Stop::Octave), &Station::octave(settings));
    for (stop, station) in [
        (Stop::Trim, Station::trim(settings)),
        (Stop::Dry, Station::dry(settings)),
        (Stop::LowBand, Station::low_band(settings)),
        (Stop::HighPass, Station::high_pass(settings)),
        (Stop::Output, Station::output(settings)),
    ] {
        draw_station(scene, route.stop(stop), &station);
    }
    let (x, y) = route.stop(Stop::LowBand);
    draw_closed_box(scene, (x - 38.0, y + 45.0), settings);
    draw_end(scene, at, Anchor::Start, Ink::Given, &ends[0]);
    draw_end(scene, (at.0 + width, at.1), Anchor::End, Ink::Text, &ends[1]);
    if let Some(words) = remark(settings) {
        let at = (route.right, at.1 + HEIGHT - 2.0);
        scene.text(at, Anchor::End, Role::Strong, Ink::Text, words);
    }
}

/// A station: name and value above the line, further settings below it.
fn draw_station(scene: &mut Scene, (x, y): Point, station: &Station) {
    let name_ink = if station.ink == Ink::Text { Ink::Second } else { station.ink };
    scene.text((x, y - 23.0), Anchor::Middle, Role::Note, name_ink, station.name);
    let value_ink = if station.is_on { Ink::Text } else { Ink::Second };
    scene.text((x, y - 10.0), Anchor::Middle, Role::Value, value_ink, station.value.as_str());
    draw_grip(scene, (x, y), station);
    for (i, note) in station.notes.iter().enumerate() {
        let at = (x, y + 19.0 + 13.0 * i as f64);
        scene.text(at, Anchor::Middle, Role::Note, Ink::Second, note.as_str());
    }
}

fn draw_grip(scene: &mut Scene, at: Point, station: &Station) {
    let ink = if station.is_on { station.ink } else { Ink::Second };
    scene.disc(at, 4.5, Ink::Sheet, (ink, 1.8));
}

/// The octave part: name and value on its branch, further settings beneath.
fn draw_octave(scene: &mut Scene, (x, y): Point, station: &Station) {
    draw_grip(scene, (x, y), station);
    let base = y - 7.0;
    let ink = if station.is_on { Ink::Octave } else { Ink::Second };
    scene.text((x + 10.0, base), Anchor::Start, Role::Strong, ink, station.name);
    let value_x = x + 16.0 + Role::Strong.width(station.name);
    let value_ink = if station.is_on { Ink::Text } else { Ink::Second };
    scene.text((value_x, base), Anchor::Start, Role::Value, value_ink, station.value.as_str());
    if station.is_on {
        let words = station.notes.join(", ");
        scene.text((x - 4.5, y + 17.0), Anchor::Start, Role::Note, Ink::Second, words);
    }
}

/// The closed box in a row of its own beneath the low band; nothing when it is off.
fn draw_closed_box(scene: &mut Scene, at: Point, settings: &Settings) {
    let station = Station::closed_box(settings);
    if station.is_on {
        scene.text(at, Anchor::Start, Role::Note, station.ink, station.name);
        let x = at.0 + Role::Note.width(station.name) + 7.0;
        scene.text((x, at.1), Anchor::Start, Role::Note, Ink::Second, station.value);
    }
}

/// An end: name, level, unit and one more figure.
fn draw_end(scene: &mut Scene, (x, y): Point, anchor: Anchor, ink: Ink, end: &End) {
    scene.text((x, y + 25.0), anchor, Role::Note, Ink::Second, end.name);
    scene.text((x, y + 43.0), anchor, Role::Level, ink, end.value.as_str());
    for (i, note) in end.notes.iter().enumerate() {
        let at = (x, y + 58.0 + 13.0 * i as f64);
        scene.text(at, anchor, Role::Note, Ink::Second, note.as_str());
    }
}

/// Draws the line from top to bottom with its top left at `at`, for narrow pages.
pub fn line_down(scene: &mut Scene, at: Point, settings: &Settings, ends: [End; 2]) {
    let (track, branch, words) = (at.0 + 14.0, at.0 + 44.0, at.0 + 64.0);
    let row = |i: f64| at.1 + 14.0 + 42.0 * i;
    let octave = Station::octave(settings);
    let joint = (track, row(4.6));
    draw_tracks(scene, [(track, row(0.0)), joint, (track, row(8.4))], settings);
    let cause = if octave.is_on && !settings.bypass { Cause::Octave } else { Cause::Taken };
    let corners = vec![(track, row(1.4)), (branch, row(2.1)), (branch, row(4.0)), joint];
    scene.track(cause, if cause == Cause::Octave { 2.2 } else { 1.1 }, corners);
    for (i, end, ink) in [(0.0, &ends[0], Ink::Given), (8.4, &ends[1], Ink::Text)] {
        let y = row(i);
        scene.text((words, y - 3.0), Anchor::Start, Role::Note, Ink::Second, end.name);
        scene.text((words, y + 15.0), Anchor::Start, Role::Level, ink, end.value.as_str());
        let notes = end.notes.join(", ");
        let x = words + Role::Level.width(&end.value) + 8.0;
        scene.text((x, y + 15.0), Anchor::Start, Role::Note, Ink::Second, notes);
    }
    for (i, x, station) in [
        (1.0, track, Station::trim(settings)),
        (2.4, track, Station::dry(settings)),
        (3.4, branch, octave),
        (5.4, track, Station::low_band(settings)),
        (6.4, track, Station::high_pass(settings)),
        (7.4, track, Station::output(settings)),
    ] {
        draw_row(scene, (x, row(i)), words, &station);
    }
    draw_closed_box(scene, (words, row(5.4) + 28.0), settings);
}

/// A station of the line from top to bottom, its words at `words` pixels from the left.
fn draw_row(scene: &mut Scene, at: Point, words: f64, station: &Station) {
    draw_grip(scene, at, station);
    let ink = if station.is_on { Ink::Text } else { Ink::Second };
    let name_ink = if station.ink == Ink::Text { Ink::Second } else { station.ink };
    scene.text((words, at.1), Anchor::Start, Role::Note, name_ink, station.name);
    let value_x = words + Role::Note.width(station.name) + 7.0;
    scene.text((value_x, at.1), Anchor::Start, Role::Value, ink, station.value.as_str());
    if !station.notes.is_empty() && station.value != "off" {
        let notes = station.notes.join(", ");
        scene.text((words, at.1 + 14.0), Anchor::Start, Role::Note, Ink::Second, notes);
    }
}
