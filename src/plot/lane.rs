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

/// Every setting under the axis, those that do not act too: the window lays handles on them.
pub fn draw(scene: &mut Scene, frame: &Frame, top: f64, settings: &Settings) {
    let places = Places::of(frame, top, settings);
    places.draw_lines(scene);
    places.draw_posts(scene);
    places.draw_names(scene, settings);
}

/// Where the settings stand under the axis, in pixels, and the colours of what acts.
struct Places {
    top: f64,
    floor: f64,
    source: (f64, f64),
    halves: (f64, f64),
    band: (f64, f64),
    centre: f64,
    high_pass: f64,
    is_octave: bool,
    is_low: bool,
    is_high_pass: bool,
}

impl Places {
    fn of(frame: &Frame, top: f64, settings: &Settings) -> Self {
        let x = |hz: f32| frame.x(hz.into()).clamp(frame.rect.x, frame.rect.right());
        let (from, to) = (settings.octave_from_hz, settings.octave_to_hz);
        let centre = settings.low_band_centre_hz;
        let half = (settings.low_band_width_oct / 2.0).exp2();
        Self {
            top,
            floor: x(settings.octave_floor_hz),
            source: (x(from), x(to)),
            halves: (x(from / 2.0), x(to / 2.0)),
            band: (x(centre / half), x(centre * half)),
            centre: x(centre),
            high_pass: x(settings.high_pass_hz),
            is_octave: !settings.octave_is_off(),
            is_low: settings.low_band_gain_db != 0.0,
            is_high_pass: settings.high_pass_order != Order::Off,
        }
    }

    fn y(&self, row: usize) -> f64 {
        self.top + ROWS[row]
    }

    fn octave_ink(&self) -> Ink {
        on_off(self.is_octave, Ink::Octave)
    }

    /// The source band, where it lands at half, and the low band.
    fn draw_lines(&self, scene: &mut Scene) {
        let octave = if self.is_octave { Cause::Octave } else { Cause::Taken };
        let (above, below) = (self.y(0), self.y(1));
        scene.line(octave, vec![(self.source.0, above), (self.source.1, above)]);
        for (from, to) in [(self.source.0, self.halves.0), (self.source.1, self.halves.1)] {
            scene.line(Cause::Difference, vec![(from, above + 4.0), (to, below)]);
        }
        scene.line(octave, vec![(self.halves.0, below), (self.halves.1, below)]);
        for end in [self.halves.0, self.halves.1] {
            scene.rule((end - 3.5, below + 3.5), (end + 3.5, below - 3.5), 1.5, self.octave_ink());
        }
        let low = if self.is_low { Cause::LowBand } else { Cause::Taken };
        scene.line(low, vec![(self.band.0, self.y(2)), (self.band.1, self.y(2))]);
    }

    fn draw_posts(&self, scene: &mut Scene) {
        let octave = self.octave_ink();
        for (x, row, ink) in [
            (self.source.0, 0, octave),
            (self.source.1, 0, octave),
            (self.floor, 0, octave),
            (self.high_pass, 2, on_off(self.is_high_pass, Ink::Text)),
            (self.centre, 2, on_off(self.is_low, Ink::Low)),
        ] {
            scene.rule((x, self.y(row) - 5.0), (x, self.y(row) + 5.0), 1.5, ink);
        }
    }

    /// A placer that keeps words off the lines and posts.
    fn placer(&self, width: f64) -> Placer {
        let mut placer = Placer::new(Rect::new(0.0, self.top, width, 48.0));
        for ((from, to), row) in [
            ((self.floor, self.floor), 0),
            (self.source, 0),
            (self.halves, 1),
            ((self.high_pass, self.high_pass), 2),
            (self.band, 2),
        ] {
            placer.keep_off(Rect::new(from - 7.0, self.y(row) - 6.0, to - from + 14.0, 12.0));
        }
        // The words that choose the range stand at the end of the last row.
        placer.keep_off(Rect::new(width - RANGE, self.y(2) - 8.0, RANGE, 16.0));
        placer
    }

    /// Each name in full, or in one word where there is little room, or not at all.
    fn draw_names(&self, scene: &mut Scene, settings: &Settings) {
        let mut placer = self.placer(scene.width);
        let [source, floor, lands, band, high_pass] = names(settings);
        for (words, ink, (from, to), row) in [
            ([source, "source".into()], self.octave_ink(), self.source, 0),
            ([floor, "floor".into()], self.octave_ink(), (self.floor, self.floor), 0),
            ([lands, "half".into()], self.octave_ink(), self.halves, 1),
            ([band, "low band".into()], on_off(self.is_low, Ink::Low), self.band, 2),
            (
                [high_pass, "high-pass".into()],
                on_off(self.is_high_pass, Ink::Text),
                (self.high_pass, self.high_pass),
                2,
            ),
        ] {
            for words in words {
                let label = Label::new(words, Role::Note, ink);
                let label = Label { halo: Some(Ink::Ground), ..label };
                let half = label.size().0 / 2.0;
                let y = self.y(row);
                let places = [(to + 10.0 + half, y), (from - 10.0 - half, y)];
                if placer.set_on(scene, &label, places).is_some() {
                    break;
                }
            }
        }
    }
}

/// Source band, floor, where the source lands, low band and high-pass in words.
fn names(settings: &Settings) -> [String; 5] {
    let hz = |hz: f32| short(hz.into(), 1);
    let (from, to, floor) =
        (settings.octave_from_hz, settings.octave_to_hz, settings.octave_floor_hz);
    let width = short(settings.low_band_width_oct.into(), 2);
    [
        format!("source {}\u{2013}{} Hz", hz(from), hz(to)),
        if floor > 0.0 { format!("floor {}", hz(floor)) } else { "no floor".into() },
        format!("lands at half, {}\u{2013}{}", hz(from / 2.0), hz(to / 2.0)),
        format!("low band {} Hz, {width} oct", hz(settings.low_band_centre_hz)),
        match settings.high_pass_order {
            Order::Off => "high-pass off".into(),
            _ => format!("high-pass {}", frequency(settings.high_pass_hz.into())),
        },
    ]
}
