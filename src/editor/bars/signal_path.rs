//! The line at the foot of every view: the settings stand at its stations, and
//! one listens by standing at one of its four posts.

use crate::editor::bars::{bench, end_meters, listen_points};
use crate::editor::controls::number;
use crate::editor::controls::pen::{LEAST, Pen, Spot, reach_width};
use crate::editor::model::state::{FrameInput, WindowState};
use crate::editor::paint::scene;
use crate::figures::{difference, short};
use crate::plot::route::{Route, Stop};
use crate::plot::stations::{End, Station};
use crate::plot::{Cause, Ink, Role, Scene};
use crate::settings::Id;
use crate::settings::{ActsOn, Choice, Order};
use egui::{Pos2, Rect, vec2};

/// How far the branch lies beneath the line, in points.
const DROP: f64 = 34.0;

/// Distance of two rows of words, in points: each row can be hit by itself.
const ROW: f32 = LEAST.y;

/// How far left of the low band the rows beneath it begin, in points.
const ROWS_LEFT: f32 = 24.0;

/// Shows the line in `rect`.
pub fn show(
    pen: &mut Pen,
    rect: Rect,
    ends: &[End; 2],
    state: &mut WindowState,
    shown: &FrameInput,
) {
    let settings = pen.settings();
    let route = Route::new((0.0, 0.0), rect.width().into(), DROP);
    let mut scene = Scene::new(rect.width().into(), rect.height().into(), "");
    route.draw(&mut scene, &settings);
    draw_wire(&mut scene, &route, rect.height());
    for (stop, station) in [
        (Stop::Trim, Station::trim(&settings)),
        (Stop::Octave, Station::octave(&settings)),
        (Stop::Dry, Station::dry(&settings)),
        (Stop::LowBand, Station::low_band(&settings)),
        (Stop::HighPass, Station::high_pass(&settings)),
        (Stop::Output, Station::output(&settings)),
    ] {
        let ink = if station.is_on { station.ink } else { Ink::Second };
        scene.disc(route.stop(stop), 4.5, Ink::Sheet, (ink, 1.8));
    }
    scene::draw(pen.painter(), rect.min, &scene, &pen.theme);

    let line = Line { route, origin: rect.min };
    line.upright(pen, Stop::Trim, Id::input_trim_db, &Station::trim(&settings));
    line.octave(pen, &Station::octave(&settings));
    line.upright(pen, Stop::Dry, Id::dry_level_db, &Station::dry(&settings));
    line.low_band(pen, &Station::low_band(&settings));
    line.closed_box(pen);
    line.high_pass(pen, &Station::high_pass(&settings));
    line.output(pen, &Station::output(&settings));
    listen_points::show(pen, &line.route, rect);
    for (end, x, align, ink) in
        [(&ends[0], rect.min.x, 0.0, Ink::Given), (&ends[1], rect.max.x, 1.0, Ink::Text)]
    {
        let at = |y: f32, role, ink| Spot { align, ..Spot::new(x, rect.min.y + y, role, ink) };
        pen.write(at(25.0, Role::Note, Ink::Second), end.name);
        pen.write(at(43.0, Role::Level, ink), &end.value);
        for (i, note) in end.notes.iter().enumerate() {
            pen.write(at(61.0 + 12.5 * i as f32, Role::Note, Ink::Second), note);
        }
    }
    if let Some(now) = shown.now {
        end_meters::show(pen, rect, now);
    }
    bench::choose(pen, rect, shown);
    listen_points::signal_and_bypass(pen, rect, state, shown);
}

/// The thin wire that takes the difference of both ends.
fn draw_wire(scene: &mut Scene, route: &Route, height: f32) {
    let y = f64::from(height) - 8.0;
    let corners =
        [(route.left, route.y + 3.0), (route.left, y), (route.right, y), (route.right, route.y)];
    scene.line(Cause::Difference, corners.to_vec());
}

/// The line on the screen.
struct Line {
    route: Route,
    origin: Pos2,
}

impl Line {
    fn at(&self, stop: Stop) -> Pos2 {
        let (x, y) = self.route.stop(stop);
        self.origin + vec2(x as f32, y as f32)
    }

    /// Name and value above a station.
    fn upright(&self, pen: &mut Pen, stop: Stop, id: Id, station: &Station) {
        let at = self.at(stop);
        let name_ink = if station.ink == Ink::Text { Ink::Second } else { station.ink };
        pen.write(Spot::new(at.x, at.y - 25.0, Role::Note, name_ink).middle(), station.name);
        let ink = if station.is_on { Ink::Text } else { Ink::Second };
        let spot = Spot::new(at.x, at.y - 11.0, Role::Value, ink).middle();
        number::show(pen, spot, id, &station.value);
    }

    /// The octave part: level on its branch, source band, floor, method and phase beneath.
    fn octave(&self, pen: &mut Pen, station: &Station) {
        let at = self.at(Stop::Octave);
        let (ink, value_ink) =
            if station.is_on { (Ink::Octave, Ink::Text) } else { (Ink::Second, Ink::Second) };
        let spot = Spot::new(at.x + 10.0, at.y - 7.0, Role::Strong, ink);
        let x = pen.write(spot, station.name).max.x + 6.0;
        let spot = Spot::new(x, at.y - 7.0, Role::Value, value_ink);
        number::show(pen, spot, Id::octave_level_db, &station.value);

        let settings = pen.settings();
        let hz = |hz: f32| short(hz.into(), 1);
        let floor = settings.octave_floor_hz;
        let floor = if floor > 0.0 { hz(floor) } else { "off".into() };
        let (from, to) = (hz(settings.octave_from_hz), format!("{} Hz", hz(settings.octave_to_hz)));
        let (method, response) = (settings.octave_method.word(), settings.octave_response.word());
        let phase = format!("{}\u{b0}", short(settings.octave_phase_deg.into(), 1));
        let cells = [&from, &to, &floor, method, response, &phase].map(cell_width);
        let width = cells.iter().sum::<f32>() + note_width("\u{2013}") + note_width("floor") + 8.0;
        // Under the middle of its branch, and left of what stands under the low band.
        let middle = self.at(Stop::Dry).x - 0.5 * width;
        let x = middle.min(self.at(Stop::LowBand).x - ROWS_LEFT - 4.0 - width);
        let mut row = Row { x, y: at.y + 17.0 };
        row.number(pen, Id::octave_from_hz, &from);
        row.word(pen, "\u{2013}", 0.0);
        row.number(pen, Id::octave_to_hz, &to);
        row.word(pen, "floor", 4.0);
        row.number(pen, Id::octave_floor_hz, &floor);
        row.turn(pen, Id::octave_method, method);
        row.turn(pen, Id::octave_response, response);
        row.number(pen, Id::octave_phase_deg, &phase);
    }

    fn low_band(&self, pen: &mut Pen, station: &Station) {
        self.upright(pen, Stop::LowBand, Id::low_band_gain_db, station);
        let at = self.at(Stop::LowBand);
        let settings = pen.settings();
        let mut row = Row { x: at.x - ROWS_LEFT, y: at.y + 19.0 };
        let centre = format!("{} Hz", short(settings.low_band_centre_hz.into(), 1));
        row.number(pen, Id::low_band_centre_hz, &centre);
        let on = match settings.low_band_acts_on {
            ActsOn::Blend => "on blend",
            ActsOn::Octave => "on octave",
        };
        row.turn(pen, Id::low_band_acts_on, on);
        let mut row = Row { x: at.x - ROWS_LEFT, y: at.y + 19.0 + ROW };
        let width = format!("{} oct wide", short(settings.low_band_width_oct.into(), 2));
        row.number(pen, Id::low_band_width_oct, &width);
    }

    /// The closed box in a row beneath low band and high-pass: switch, what it is, what it becomes.
    fn closed_box(&self, pen: &mut Pen) {
        let at = self.at(Stop::LowBand);
        let settings = pen.settings();
        let plain = |value: f32| short(value.into(), 2);
        let mut row = Row { x: at.x - ROWS_LEFT, y: at.y + 19.0 + 2.0 * ROW };
        let words = if settings.closed_box_on { "box on" } else { "box off" };
        row.turn(pen, Id::closed_box_on, words);
        row.number(pen, Id::closed_box_from_hz, &plain(settings.closed_box_from_hz));
        row.number(pen, Id::closed_box_from_q, &plain(settings.closed_box_from_q));
        row.word(pen, "to", 2.0);
        let to = format!("{} Hz", plain(settings.closed_box_to_hz));
        row.number(pen, Id::closed_box_to_hz, &to);
        row.number(pen, Id::closed_box_to_q, &plain(settings.closed_box_to_q));
    }

    fn high_pass(&self, pen: &mut Pen, station: &Station) {
        let settings = pen.settings();
        let hz = format!("{} Hz", short(settings.high_pass_hz.into(), 1));
        let shown = Station { value: hz, ..station.clone() };
        self.upright(pen, Stop::HighPass, Id::high_pass_hz, &shown);
        let order = match settings.high_pass_order {
            Order::Off => "off",
            Order::Second => "2nd order",
            Order::Fourth => "4th order",
        };
        let at = self.at(Stop::HighPass);
        let ink = if station.is_on { Ink::Text } else { Ink::Second };
        let spot = Spot::new(at.x, at.y + 19.0, Role::Note, ink).middle();
        pen.turn(spot, Id::high_pass_order, order);
    }

    fn output(&self, pen: &mut Pen, station: &Station) {
        self.upright(pen, Stop::Output, Id::output_gain_db, station);
        let at = self.at(Stop::Output);
        let settings = pen.settings();
        let on = settings.output_ceiling;
        let ink = if on { Ink::Text } else { Ink::Second };
        let words = if on { "ceiling" } else { "ceiling off" };
        let spot = Spot::new(at.x, at.y + 19.0, Role::Note, ink).middle();
        pen.turn(spot, Id::output_ceiling, words);
        let level = format!("{} dBFS", difference(settings.output_ceiling_dbfs.into()));
        let spot = Spot::new(at.x, at.y + 19.0 + ROW, Role::Note, ink).middle();
        number::show(pen, spot, Id::output_ceiling_dbfs, &level);
    }
}

/// Words and numbers side by side, each in a cell in which it can be hit.
struct Row {
    x: f32,
    y: f32,
}

/// How wide the cell of these words is.
fn cell_width(words: &str) -> f32 {
    reach_width(Role::Strong.width(words) as f32)
}

fn note_width(words: &str) -> f32 {
    Role::Note.width(words) as f32
}

impl Row {
    /// The middle of the next cell, on the base line of its words.
    fn cell(&mut self, words: &str) -> Spot {
        let width = cell_width(words);
        let spot = Spot::new(self.x + 0.5 * width, self.y, Role::Strong, Ink::Text).middle();
        self.x += width;
        spot
    }

    fn number(&mut self, pen: &mut Pen, id: Id, words: &str) {
        let spot = self.cell(words);
        number::show(pen, spot, id, words);
    }

    fn turn(&mut self, pen: &mut Pen, id: Id, words: &str) {
        let spot = self.cell(words);
        pen.turn(spot, id, words);
    }

    /// A word that is only read, `gap` points from its neighbours.
    fn word(&mut self, pen: &mut Pen, words: &str, gap: f32) {
        let spot = Spot::new(self.x + gap, self.y, Role::Note, Ink::Second);
        pen.write(spot, words);
        self.x += note_width(words) + 2.0 * gap;
    }
}
