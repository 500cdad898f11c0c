//! A logarithmic frequency axis and a linear level axis, with the ticks of the trade.
//!
//! Frequencies are those of ISO 266 (R10); thinned to 1-2-5 a decade, then to
//! decades, until the widest label fits between its neighbours.

use crate::figures;
use crate::plot::lettering::CAPITAL;
use crate::plot::scene::{Anchor, Rect, Role, Scene};
use crate::plot::{Ink, scene::Point};
use crate::units::octaves;

/// One decade of ISO 266 preferred frequencies (R10), in Hz.
const DECADE_HZ: [f64; 10] = [10.0, 12.5, 16.0, 20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0];

/// Room between two labels, in pixels.
const GAP: f64 = 5.0;

/// A logarithmic frequency axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrequencyAxis {
    /// Left end in Hz, above 0.
    pub from_hz: f64,
    /// Right end in Hz, above `from_hz`.
    pub to_hz: f64,
}

impl Default for FrequencyAxis {
    fn default() -> Self {
        Self::LOW_END
    }
}

/// A mark on an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// The value it marks, in the axis' unit.
    pub value: f64,
    /// Its words; empty for a mark without a label.
    pub words: String,
    /// True for the 1-2-5 frequencies.
    pub is_strong: bool,
}

/// A linear level axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelAxis {
    /// Bottom in dB.
    pub bottom_db: f64,
    /// Top in dB, above `bottom_db`.
    pub top_db: f64,
}

/// A drawing area with both axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Where it lies, in pixels.
    pub rect: Rect,
    /// From left to right.
    pub hz: FrequencyAxis,
    /// From top to bottom.
    pub db: LevelAxis,
}

impl FrequencyAxis {
    /// The low end, 16 Hz to 1 kHz.
    pub const LOW_END: Self = Self { from_hz: 16.0, to_hz: 1000.0 };
    /// The whole range, 16 Hz to 20 kHz.
    pub const WHOLE: Self = Self { from_hz: 16.0, to_hz: 20000.0 };

    /// Where `hz` lies: 0 at the left end, 1 at the right end, beyond them outside.
    pub fn share(&self, hz: f64) -> f64 {
        octaves(self.from_hz, hz) / octaves(self.from_hz, self.to_hz)
    }

    /// The frequency at a share of the axis: the inverse of [`Self::share`].
    pub fn hz(&self, share: f64) -> f64 {
        self.from_hz * (share * octaves(self.from_hz, self.to_hz)).exp2()
    }

    /// All one-third-octave frequencies on the axis; only those that fit in `width` pixels have words.
    pub fn ticks(&self, width: f64) -> Vec<Tick> {
        let third = width / octaves(self.from_hz, self.to_hz) / 3.0;
        let thirds: Vec<f64> = self.thirds().collect();
        let widest = |keep: &dyn Fn(usize) -> bool| {
            let kept = thirds.iter().filter(|hz| keep(place(**hz)));
            kept.map(|hz| Role::Strong.width(&figures::frequency(*hz))).fold(0.0, f64::max) + GAP
        };
        let shown: &dyn Fn(usize) -> bool = if widest(&|_| true) <= third {
            &|_| true
        } else if widest(&is_one_two_five) <= 3.0 * third {
            &is_one_two_five
        } else {
            &|place| place == 0
        };
        let tick = |hz: &f64| Tick {
            value: *hz,
            words: if shown(place(*hz)) { figures::frequency(*hz) } else { String::new() },
            is_strong: is_one_two_five(place(*hz)),
        };
        thirds.iter().map(tick).collect()
    }

    fn thirds(&self) -> impl Iterator<Item = f64> {
        let decades = [0.1, 1.0, 10.0, 100.0, 1000.0];
        let all = decades.into_iter().flat_map(|times| DECADE_HZ.map(|hz| hz * times));
        // Half a percent: an axis that ends on a tick shows it in spite of rounding.
        let (from, to) = (self.from_hz * 0.995, self.to_hz * 1.005);
        all.filter(move |hz| (from..=to).contains(hz))
    }
}

/// Place of a preferred frequency in its decade, 0 to 9.
fn place(hz: f64) -> usize {
    (10.0 * hz.log10()).round().rem_euclid(10.0) as usize
}

/// 10, 20, 50, 100 ...: places 0, 3 and 7.
fn is_one_two_five(place: usize) -> bool {
    matches!(place, 0 | 3 | 7)
}

impl LevelAxis {
    /// Where `db` lies: 0 at the top, 1 at the bottom, beyond them outside.
    pub fn share(&self, db: f64) -> f64 {
        (self.top_db - db) / (self.top_db - self.bottom_db)
    }

    /// Whole steps of 1, 2, 5, 10 ... dB, as many as stand at least `apart` pixels from each other.
    pub fn ticks(&self, height: f64, apart: f64) -> Vec<Tick> {
        let per_db = height / (self.top_db - self.bottom_db);
        let steps = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
        let step = steps.into_iter().find(|step| step * per_db >= apart).unwrap_or(500.0);
        let (first, last) = ((self.bottom_db / step).ceil(), (self.top_db / step).floor());
        let tick = |i: i64| {
            let value = i as f64 * step;
            Tick { value, words: figures::short(value, 0), is_strong: i == 0 }
        };
        (first as i64..=last as i64).map(tick).collect()
    }
}

impl Frame {
    /// Pixels from the left for a frequency.
    pub fn x(&self, hz: f64) -> f64 {
        self.rect.x + self.rect.width * self.hz.share(hz)
    }

    /// Pixels from the top for a level.
    pub fn y(&self, db: f64) -> f64 {
        self.rect.y + self.rect.height * self.db.share(db)
    }

    /// The place of a frequency and a level.
    pub fn at(&self, hz: f64, db: f64) -> Point {
        (self.x(hz), self.y(db))
    }

    /// The place of a level, held at the top and bottom of the frame.
    pub fn held(&self, hz: f64, db: f64) -> Point {
        let y = self.y(db);
        let y = if y.is_finite() { y } else { self.rect.bottom() };
        (self.x(hz), y.clamp(self.rect.y, self.rect.bottom()))
    }

    /// Draws the lines of the grid.
    pub fn draw_grid(&self, scene: &mut Scene) {
        let (rect, bottom) = (self.rect, self.rect.bottom());
        for tick in self.hz.ticks(rect.width) {
            if tick.is_strong || !tick.words.is_empty() {
                let x = self.x(tick.value);
                scene.rule((x, rect.y), (x, bottom), 1.0, Ink::Grid);
            }
        }
        for tick in self.db.ticks(rect.height, 28.0) {
            let y = self.y(tick.value);
            scene.rule((rect.x, y), (rect.right(), y), 1.0, Ink::Grid);
        }
    }

    /// Draws the base line and the words of both axes: frequencies below, levels on the left.
    pub fn draw_axes(&self, scene: &mut Scene) {
        let (rect, bottom) = (self.rect, self.rect.bottom());
        scene.rule((rect.x, bottom), (rect.right(), bottom), 1.3, Ink::Text);
        // From the right, as the last frequency is the widest: it carries the unit.
        let ticks = self.hz.ticks(rect.width);
        let shown = ticks.iter().rev().filter(|tick| !tick.words.is_empty());
        let mut free_to = f64::MAX;
        for (i, tick) in shown.enumerate() {
            free_to = self.draw_frequency(scene, tick, i == 0, free_to);
        }
        for tick in self.db.ticks(rect.height, 28.0) {
            let y = self.y(tick.value);
            let at = (rect.x - 6.0, y + CAPITAL * Role::Tick.size() / 2.0);
            let unit = if tick.is_strong { " dB" } else { "" };
            let words = format!("{}{unit}", tick.words);
            scene.text(at, Anchor::End, Role::Tick, Ink::Second, words);
        }
    }

    /// One frequency under the base line, if it ends left of `free_to`; the last one carries
    /// the unit. Returns where it begins.
    fn draw_frequency(
        &self,
        scene: &mut Scene,
        tick: &Tick,
        carries_unit: bool,
        free_to: f64,
    ) -> f64 {
        let (role, ink) =
            if tick.is_strong { (Role::Strong, Ink::Text) } else { (Role::Tick, Ink::Second) };
        let words = match (carries_unit, tick.words.strip_suffix('k')) {
            (true, Some(kilo)) => format!("{kilo} kHz"),
            (true, None) => format!("{} Hz", tick.words),
            (false, _) => tick.words.clone(),
        };
        let half = role.width(&words) / 2.0;
        let x = self.x(tick.value).min(self.rect.right() - half);
        if x + half > free_to {
            return free_to;
        }
        scene.text((x, self.rect.bottom() + 13.0), Anchor::Middle, role, ink, words);
        x - half - GAP / 2.0
    }
}
