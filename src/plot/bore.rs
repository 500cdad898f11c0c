//! One-third octaves as a bore log: high on top, deep at the bottom, one row a band.
//!
//! Each row carries its own strip (what the radio gives, octave part, low
//! band), a dot for what comes out, a diamond for the target, and the figures.

use crate::curve::Curve;
use crate::figures::{difference, frequency};
use crate::measure::layers::{BandLayers, Layers, asked};
use crate::plot::axis::LevelAxis;
use crate::plot::scene::{Anchor, Point, Rect, Role, Scene};
use crate::plot::{Fill, Ink};

/// Height of the head in pixels.
const HEAD: f64 = 20.0;

/// Height of a row in pixels.
const ROW: f64 = 18.6;

/// The largest height of a row, where there is more room than rows.
const MOST_ROW: f64 = 28.0;

/// Least distance of two levels in the head in pixels.
const TICKS: f64 = 60.0;

/// Width of a column of figures in pixels.
const COLUMN: f64 = 44.0;

/// A miss above this is boxed, in dB (common practice, no source).
const BOXED_DB: f64 = 3.0;

/// Height of the log in pixels.
pub fn height(strata: &Layers) -> f64 {
    HEAD + ROW * strata.bands.len() as f64 + 2.0
}

/// The height of a row at which the log fills `height`, within what reads well.
pub fn row_to_fill(strata: &Layers, height: f64) -> f64 {
    ((height - HEAD - 2.0) / strata.bands.len().max(1) as f64).clamp(ROW, MOST_ROW)
}

/// Draws the log with its top left at `at`, `width` pixels wide.
pub fn bore(scene: &mut Scene, at: Point, width: f64, strata: &Layers, target: Option<&Curve>) {
    bore_in_rows(scene, at, (width, ROW), strata, target);
}

/// The same with rows of a height; returns where it ends.
pub fn bore_in_rows(
    scene: &mut Scene,
    at: Point,
    (width, row): (f64, f64),
    strata: &Layers,
    target: Option<&Curve>,
) -> f64 {
    let given = if strata.has_layers { "radio" } else { "before" };
    let out = if strata.has_layers { "out" } else { "after" };
    let columns: &[&str] = match (strata.has_out, target) {
        (true, Some(_)) => &[given, out, "target", "off by"],
        (true, None) => &[given, out, "change"],
        (false, Some(_)) => &["level", "target", "off by"],
        (false, None) => &["level"],
    };
    let right = at.0 + width;
    let first_column = right - COLUMN * columns.len() as f64;
    let strip = Rect::new(at.0 + 38.0, at.1, first_column - at.0 - 44.0, 0.0);
    let log = Log { axis: levels(strata, target), strip, right, row, target };
    let bottom = at.1 + HEAD + row * strata.bands.len() as f64;
    let head_y = at.1 + 12.0;
    scene.text((at.0 + 30.0, head_y), Anchor::End, Role::Note, Ink::Second, "Hz");
    for (i, words) in columns.iter().enumerate() {
        let x = first_column + COLUMN * (i + 1) as f64 - 4.0;
        let (role, ink) = match *words {
            "out" | "after" => (Role::Strong, Ink::Text),
            _ => (Role::Note, Ink::Second),
        };
        scene.text((x, head_y), Anchor::End, role, ink, *words);
    }
    log.draw_levels(scene, head_y, bottom);
    scene.rule((at.0, at.1 + HEAD - 2.0), (right, at.1 + HEAD - 2.0), 1.3, Ink::Text);
    for (i, band) in strata.bands.iter().rev().enumerate() {
        let top = at.1 + HEAD + row * i as f64;
        log.draw_row(scene, (at.0, top), band, strata, columns);
    }
    bottom + 2.0
}

/// The level axis of the strips, from the deep end on the left to the highest on the right.
fn levels(strata: &Layers, target: Option<&Curve>) -> LevelAxis {
    let wanted = strata.bands.iter().filter_map(|band| asked(target, band.hz));
    let all = strata.bands.iter().flat_map(|band| [band.given, band.out]).chain(wanted);
    let (low, high) = all.fold((0f64, 0f64), |(low, high), db| (low.min(db), high.max(db)));
    LevelAxis { bottom_db: (low - 3.0).clamp(-48.0, -15.0), top_db: high.clamp(0.0, 60.0) + 2.0 }
}

struct Log<'a> {
    axis: LevelAxis,
    strip: Rect,
    right: f64,
    /// Height of a row.
    row: f64,
    target: Option<&'a Curve>,
}

impl Log<'_> {
    fn x(&self, db: f64) -> f64 {
        let share = 1.0 - self.axis.share(db);
        self.strip.x
            + self.strip.width * if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 }
    }

    /// The levels in the head, and a hair line from each down to the foot of the log.
    fn draw_levels(&self, scene: &mut Scene, head_y: f64, bottom: f64) {
        let ticks = self.axis.ticks(self.strip.width, TICKS);
        for tick in ticks.iter().filter(|tick| tick.value > self.axis.bottom_db) {
            let x = self.x(tick.value);
            let unit = if tick.is_strong { " dB" } else { "" };
            let words = format!("{}{unit}", tick.words);
            if x + Role::Tick.width(&words) / 2.0 <= self.strip.right() + 4.0 {
                scene.text((x, head_y), Anchor::Middle, Role::Tick, Ink::Second, words);
            }
            scene.rule((x, head_y + 6.0), (x, bottom), 1.0, Ink::Grid);
        }
    }

    fn draw_row(
        &self,
        scene: &mut Scene,
        (left, top): Point,
        band: &BandLayers,
        strata: &Layers,
        columns: &[&str],
    ) {
        let (middle, base) = (top + self.row / 2.0 - 1.0, top + self.row / 2.0 + 3.0);
        let is_decade = frequency(band.hz).starts_with(['1', '2', '5']) && strong(band.hz);
        let (role, ink) =
            if is_decade { (Role::CellStrong, Ink::Text) } else { (Role::Cell, Ink::Text) };
        scene.text((left + 30.0, base), Anchor::End, role, ink, frequency(band.hz));
        self.draw_strip(scene, middle, band, strata);
        let asked = asked(self.target, band.hz);
        if strata.has_out {
            scene.disc((self.x(band.out), middle), 3.0, Ink::Text, (Ink::Sheet, 0.8));
        }
        if let Some(asked) = asked {
            let x = self.x(asked);
            let diamond =
                vec![(x, middle - 4.2), (x + 4.2, middle), (x, middle + 4.2), (x - 4.2, middle)];
            scene.outline(diamond, 1.2, Ink::Text);
        }
        self.draw_figures(scene, base, band, asked, columns);
        let rule_y = top + self.row - 1.5;
        scene.rule((left, rule_y), (self.right, rule_y), 1.0, Ink::Grid);
    }

    /// The strip: the wall, what the octave part added, what the low band added.
    fn draw_strip(&self, scene: &mut Scene, middle: f64, band: &BandLayers, strata: &Layers) {
        // What was taken away again has no colour: the strip ends where the dot stands.
        let kept = |db: f64| if strata.has_out { db.min(band.out) } else { db };
        let mut piece = |from: f64, to: f64, fill: Fill| {
            let (x0, x1) = (self.x(kept(from)), self.x(kept(to)));
            if x1 - x0 >= 0.5 {
                // As high as its row is.
                let half = 3.0 * self.row / ROW;
                let rect = Rect::new(x0, middle - half, x1 - x0, 2.0 * half);
                scene.area(fill, rect.corners());
            }
        };
        piece(self.axis.bottom_db, band.dry, Fill::Flat(Ink::GivenWash));
        if strata.has_layers {
            piece(band.dry, band.blend, Fill::Slanted);
            piece(band.blend.max(band.dry), band.low_band, Fill::Upright);
        }
        let end = self.x(band.dry);
        let half = 4.5 * self.row / ROW;
        scene.rule((end, middle - half), (end, middle + half), 1.6, Ink::Given);
        // The wash alone is hardly seen on the page: a line under it says that a wall is there.
        let foot = middle + 3.0 * self.row / ROW;
        scene.rule((self.x(self.axis.bottom_db), foot), (end, foot), 1.0, Ink::Given);
    }

    fn draw_figures(
        &self,
        scene: &mut Scene,
        base: f64,
        band: &BandLayers,
        asked: Option<f64>,
        columns: &[&str],
    ) {
        let off = asked.map(|asked| band.out - asked);
        let first = self.right - COLUMN * columns.len() as f64;
        for (i, column) in columns.iter().enumerate() {
            let x = first + COLUMN * (i + 1) as f64 - 4.0;
            let figure = |value: Option<f64>, none: &str| value.map_or(none.into(), difference);
            let (words, is_strong) = match *column {
                "out" | "after" => (difference(band.out), true),
                "target" => (figure(asked, "none"), false),
                "off by" => (figure(off, "\u{2013}"), off.is_some()),
                "change" => (difference(band.out - band.given), false),
                _ => (difference(band.given), false),
            };
            let role = if is_strong { Role::CellStrong } else { Role::Cell };
            let ink = if is_strong { Ink::Text } else { Ink::Second };
            if *column == "off by" && off.is_some_and(|off| off.abs() > BOXED_DB) {
                let width = role.width(&words) + 7.0;
                let boxed = Rect::new(x - width + 3.5, base - 11.0, width, 14.5);
                scene.outline(boxed.corners(), 1.4, Ink::Text);
            }
            scene.text((x, base), Anchor::End, role, ink, words);
        }
    }
}

/// True for 10, 20, 50, 100 ... Hz.
fn strong(hz: f64) -> bool {
    let lead = hz / 10f64.powf(hz.log10().floor());
    [1.0, 2.0, 5.0].iter().any(|whole| (lead - whole).abs() < 0.01)
}
