//! The settings under the frequency axis: posts and dimension lines where they act.

use crate::plot::axis::Frame;
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Rect, Role, Scene};
use crate::plot::words::short;
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
    if settings.octave_level_db > -60.0 {
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
        let gain_words = crate::plot::words::difference(gain.into());
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
