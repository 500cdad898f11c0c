//! The settings under the frequency axis: posts and dimension lines where they act.

use crate::figures::{difference, frequency, short};
use crate::plot::axis::Frame;
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Rect, Role, Scene};
use crate::plot::{Cause, Ink};
use crate::settings::{Order, Settings};

/// Height of the lane in points.
pub const HEIGHT: f64 = 48.0;

/// Heights of the rows under the top of the lane, in points.
pub const ROWS: [f64; 3] = [10.0, 23.0, 37.0];

/// Which settings are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// Those that do something: a picture to read.
    Acting,
    /// All, and room for the words that choose the range of the axis: a window lays handles on them.
    All,
}

/// Room for the words that choose the range of the axis, in points.
const RANGE: f64 = 56.0;

/// The colour of a cause that acts, or that of one that does not.
pub fn on_off(is_on: bool, ink: Ink) -> Ink {
    if is_on { ink } else { Ink::Second }
}

/// Draws the lane with its top at `top`, under the axis of `frame`.
pub fn draw(scene: &mut Scene, frame: &Frame, top: f64, settings: &Settings, which: Which) {
    let places = Places::of(frame, top, settings, which);
    places.draw_lines(scene);
    places.draw_posts(scene);
    places.draw_names(scene, settings);
}

/// Where the settings stand under the axis, in pixels, and the colours of what acts.
struct Places {
    which: Which,
    top: f64,
    floor: f64,
    source: (f64, f64),
    halves: (f64, f64),
    band: (f64, f64),
    centre: f64,
    high_pass: f64,
    is_octave: bool,
    has_floor: bool,
    is_low: bool,
    is_high_pass: bool,
}

impl Places {
    fn of(frame: &Frame, top: f64, settings: &Settings, which: Which) -> Self {
        let x = |hz: f32| frame.x(hz.into()).clamp(frame.rect.x, frame.rect.right());
        let (from, to) = (settings.octave_from_hz, settings.octave_to_hz);
        let centre = settings.low_band_centre_hz;
        let half = (settings.low_band_width_oct / 2.0).exp2();
        Self {
            which,
            top,
            floor: x(settings.octave_floor_hz),
            source: (x(from), x(to)),
            halves: (x(from / 2.0), x(to / 2.0)),
            band: (x(centre / half), x(centre * half)),
            centre: x(centre),
            high_pass: x(settings.high_pass_hz),
            is_octave: !settings.octave_is_off(),
            has_floor: !settings.octave_is_off() && settings.octave_floor_hz > 0.0,
            is_low: settings.low_band_gain_db != 0.0,
            is_high_pass: settings.high_pass_order != Order::Off,
        }
    }

    fn y(&self, row: usize) -> f64 {
        self.top + ROWS[row]
    }

    /// Whether a setting is drawn that acts, or does not.
    fn shows(&self, acts: bool) -> bool {
        acts || self.which == Which::All
    }

    fn octave_ink(&self) -> Ink {
        on_off(self.is_octave, Ink::Octave)
    }

    /// The source band, where it lands at half, and the low band.
    fn draw_lines(&self, scene: &mut Scene) {
        if self.shows(self.is_octave) {
            self.draw_octave(scene);
        }
        if self.shows(self.is_low) {
            let low = if self.is_low { Cause::LowBand } else { Cause::Taken };
            scene.line(low, vec![(self.band.0, self.y(2)), (self.band.1, self.y(2))]);
        }
    }

    fn draw_octave(&self, scene: &mut Scene) {
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
    }

    fn draw_posts(&self, scene: &mut Scene) {
        let octave = self.octave_ink();
        for (x, row, ink, acts) in [
            (self.source.0, 0, octave, self.is_octave),
            (self.source.1, 0, octave, self.is_octave),
            (self.floor, 0, octave, self.has_floor),
            (self.high_pass, 2, on_off(self.is_high_pass, Ink::Text), self.is_high_pass),
            (self.centre, 2, on_off(self.is_low, Ink::Low), self.is_low),
        ] {
            if self.shows(acts) {
                scene.rule((x, self.y(row) - 5.0), (x, self.y(row) + 5.0), 1.5, ink);
            }
        }
    }

    /// A placer that keeps words off the lines and posts.
    fn placer(&self, width: f64) -> Placer {
        let mut placer = Placer::new(Rect::new(0.0, self.top, width, HEIGHT));
        for ((from, to), row, acts) in [
            ((self.floor, self.floor), 0, self.has_floor),
            (self.source, 0, self.is_octave),
            (self.halves, 1, self.is_octave),
            ((self.high_pass, self.high_pass), 2, self.is_high_pass),
            (self.band, 2, self.is_low),
        ] {
            if self.shows(acts) {
                let (x, y) = (from - 7.0, self.y(row) - 6.0);
                placer.keep_off(Rect::new(x, y, to - from + 14.0, 12.0));
            }
        }
        if self.which == Which::All {
            // The words that choose the range stand at the end of the last row.
            placer.keep_off(Rect::new(width - RANGE, self.y(2) - 8.0, RANGE, 16.0));
        }
        placer
    }

    /// Each name in full, or in one word where there is little room, or not at all.
    fn draw_names(&self, scene: &mut Scene, settings: &Settings) {
        let mut placer = self.placer(scene.width);
        let [source, floor, lands, band, high_pass] = names(settings);
        let (octave, low) = (self.octave_ink(), on_off(self.is_low, Ink::Low));
        let cut = on_off(self.is_high_pass, Ink::Text);
        for (words, ink, (from, to), row, acts) in [
            ([source, "source".into()], octave, self.source, 0, self.is_octave),
            ([floor, "floor".into()], octave, (self.floor, self.floor), 0, self.has_floor),
            ([lands, "half".into()], octave, self.halves, 1, self.is_octave),
            ([band, "low band".into()], low, self.band, 2, self.is_low),
            (
                [high_pass, "high-pass".into()],
                cut,
                (self.high_pass, self.high_pass),
                2,
                self.is_high_pass,
            ),
        ] {
            if !self.shows(acts) {
                continue;
            }
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
    let (centre, width) =
        (hz(settings.low_band_centre_hz), short(settings.low_band_width_oct.into(), 2));
    let gain = match settings.low_band_gain_db {
        0.0 => String::new(),
        db => format!(" {} dB at", difference(db.into())),
    };
    [
        format!("source {}\u{2013}{} Hz", hz(from), hz(to)),
        if floor > 0.0 { format!("floor {}", hz(floor)) } else { "no floor".into() },
        format!("lands at half, {}\u{2013}{}", hz(from / 2.0), hz(to / 2.0)),
        format!("low band{gain} {centre} Hz, {width} oct"),
        match settings.high_pass_order {
            Order::Off => "high-pass off".into(),
            _ => format!("high-pass {}", frequency(settings.high_pass_hz.into())),
        },
    ]
}
