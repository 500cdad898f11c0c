//! The settings under the frequency axis: posts and dimension lines where they act.

use crate::figures::{frequency, short};
use crate::plot::axis::Frame;
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Rect, Role, Scene};
use crate::plot::{Cause, Ink};
use crate::settings::{Order, Settings};

/// Height of a row in pixels.
const ROW: f64 = 15.0;

/// Height of the lane in pixels.
pub const HEIGHT: f64 = 2.0 * ROW + 4.0;

/// Draws the lane with its top at `top`, under the axis of `frame`.
pub fn lane(scene: &mut Scene, frame: &Frame, top: f64, settings: &Settings) {
    let strip = Rect::new(0.0, top, scene.width, HEIGHT);
    let mut lane = Lane { scene, frame, placer: Placer::new(strip) };
    let (octave_row, low_row) = (top + ROW / 2.0, top + 1.5 * ROW);
    let (floor, from, to) =
        (settings.octave_floor_hz, settings.octave_from_hz, settings.octave_to_hz);
    if !settings.octave_is_off() {
        let lands =
            format!("source {}, lands at {} Hz", span(from, to), span(from / 2.0, to / 2.0));
        let shorter = format!("source {} Hz", span(from, to));
        lane.dimension(Cause::Octave, (from, to), octave_row, &[lands, shorter]);
        if floor > 0.0 {
            lane.post(floor, octave_row, Ink::Octave, format!("floor {}", short(floor.into(), 1)));
        }
    }
    let (gain, centre, width) =
        (settings.low_band_gain_db, settings.low_band_centre_hz, settings.low_band_width_oct);
    if gain != 0.0 {
        let half = (width / 2.0).exp2();
        let (centre_words, width_words) = (short(centre.into(), 1), short(width.into(), 2));
        let on = if settings.low_band_acts_on == crate::settings::ActsOn::Octave {
            ", on the octave part"
        } else {
            ""
        };
        let gain_words = crate::figures::difference(gain.into());
        let long = format!("low band {gain_words} dB at {centre_words} Hz, {width_words} oct{on}");
        let shorter = format!("low band {centre_words} Hz");
        lane.dimension(Cause::LowBand, (centre / half, centre * half), low_row, &[long, shorter]);
    }
    if settings.high_pass_order != Order::Off {
        let hz = settings.high_pass_hz;
        lane.post(hz, low_row, Ink::Text, format!("high-pass {}", short(hz.into(), 1)));
    }
}

struct Lane<'a> {
    scene: &'a mut Scene,
    frame: &'a Frame,
    placer: Placer,
}

impl Lane<'_> {
    /// A line from one frequency to another with slashes at its ends and words beside it.
    fn dimension(&mut self, cause: Cause, span_hz: (f32, f32), y: f64, words: &[String]) {
        let (left, right) = (self.frame.rect.x, self.frame.rect.right());
        let at = |hz: f32| self.frame.x(hz.into()).clamp(left, right);
        let (x0, x1) = (at(span_hz.0), at(span_hz.1));
        self.scene.line(cause, vec![(x0, y), (x1, y)]);
        let ink = cause.stroke().ink;
        for x in [x0, x1] {
            self.scene.rule((x - 3.5, y + 3.5), (x + 3.5, y - 3.5), 1.6, ink);
        }
        self.placer.keep_off(Rect::new(x0 - 5.0, y - 5.0, x1 - x0 + 10.0, 10.0));
        for words in words {
            if self.beside(words, ink, y, (x0 - 8.0, x1 + 8.0)) {
                return;
            }
        }
    }

    /// A short post at one frequency with words beside it; without room for words, no post.
    fn post(&mut self, hz: f32, y: f64, ink: Ink, words: String) {
        let x = self.frame.x(hz.into());
        // A post below the axis stands at its end, by its words alone.
        let is_on_axis = x >= self.frame.rect.x;
        let x = x.max(self.frame.rect.x);
        if self.beside(&words, ink, y, (x - 6.0, x + 6.0)) && is_on_axis {
            self.scene.rule((x, y - 5.5), (x, y + 5.5), 2.0, ink);
            self.placer.keep_off(Rect::new(x - 1.0, y - 5.0, 2.0, 10.0));
        }
    }

    /// Sets words right of a place, or else left of it; false when neither has room.
    fn beside(&mut self, words: &str, ink: Ink, y: f64, (left, right): (f64, f64)) -> bool {
        let label = Label::new(words, Role::Note, ink);
        let width = label.size().0;
        let at = |x: f64| (x + width / 2.0, y);
        self.placer.set_on(self.scene, &label, [at(right), at(left - width)]).is_some()
    }
}

/// `50–125`.
fn span(from: f32, to: f32) -> String {
    format!("{}\u{2013}{}", short(from.into(), 2), short(to.into(), 2))
}

/// Heights of the rows under the top of the lane, in points.
pub const ROWS: [f64; 3] = [10.0, 23.0, 37.0];

/// Room for the words that choose the range of the axis, in points.
const RANGE: f64 = 56.0;

/// The colour of a cause that acts, or that of one that does not.
pub fn on_off(is_on: bool, ink: Ink) -> Ink {
    if is_on { ink } else { Ink::Second }
}

/// Lines and words; the grips are laid on them.
pub fn draw(scene: &mut Scene, frame: &Frame, top: f64, settings: &Settings) {
    let (left, right) = (frame.rect.x, frame.rect.right());
    let x = |hz: f32| frame.x(hz.into()).clamp(left, right);
    let y = |row: usize| top + ROWS[row];
    let (from, to) = (settings.octave_from_hz, settings.octave_to_hz);
    let is_octave = !settings.octave_is_off();
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

    let mut placer = Placer::new(Rect::new(0.0, top, scene.width, 48.0));
    let floor = settings.octave_floor_hz;
    for (from, to, row) in [
        (x(floor), x(floor), 0),
        (x(from), x(to), 0),
        (halves.0, halves.1, 1),
        (x(settings.high_pass_hz), x(settings.high_pass_hz), 2),
        (x(centre / half), x(centre * half), 2),
    ] {
        placer.keep_off(Rect::new(from - 7.0, y(row) - 6.0, to - from + 14.0, 12.0));
    }
    // The words that choose the range stand at the end of the last row.
    placer.keep_off(Rect::new(scene.width - RANGE, y(2) - 8.0, RANGE, 16.0));
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
