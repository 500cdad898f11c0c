//! What stands beside a tone: left of it the effect, right of it harmonics.
//!
//! The tone is a plumb line through the sheet. The two sides have one figure
//! each and are never summed; odd halves belong to the octave part and to
//! neither figure.

use crate::analysis::partials::{Line, Partials};
use crate::figures::{difference, frequency, hertz, level, percent, short};
use crate::plot::axis::{Frame, FrequencyAxis, LevelAxis};
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Anchor, Rect, Role, Scene};
use crate::plot::{Cause, Fill, Ink};
use crate::units::gain_to_db;

/// Foot of the sheet in dB re the tone: below the rounding of 16 bits.
const BOTTOM_DB: f64 = -105.0;

/// Draws the lines into `rect`, which leaves 34 px on the left and 32 px below for words, with
/// the two figures. `limit` is the limit of the harmonics as a share of the tone.
pub fn tone(scene: &mut Scene, rect: Rect, partials: &Partials, limit: Option<f64>) {
    let over = limit.is_some_and(|limit| partials.thd_f > limit);
    draw_figures(scene, rect, partials, over);
    lines(scene, rect, partials, limit);
}

/// Draws the lines into `rect` without the figures.
pub fn lines(scene: &mut Scene, rect: Rect, partials: &Partials, limit: Option<f64>) {
    let frame =
        Frame { rect, hz: span(partials), db: LevelAxis { bottom_db: BOTTOM_DB, top_db: 4.0 } };
    let tone_x = frame.x(partials.tone_hz);
    scene.area(Fill::Flat(Ink::Sheet), rect.corners());
    scene.area(Fill::Flat(Ink::Lit), Rect { width: tone_x - rect.x, ..rect }.corners());
    let mut picture = Picture { scene, frame, placer: Placer::new(rect) };
    picture.draw_levels();
    picture.draw_limit(limit, tone_x);
    picture.draw_above(partials, limit);
    picture.draw_odd_halves(partials);
    picture.draw_below(partials);
    picture.draw_tone(partials, tone_x);
    picture.name_limit(limit, tone_x);
    picture.draw_frequencies(partials);
}

/// From below the lowest line that is heard to above the highest one; at least an octave down
/// and three octaves up.
fn span(partials: &Partials) -> FrequencyAxis {
    let tone = partials.tone_hz.max(1.0);
    let heard = |lines: &[Line], least: f64, pick: fn(f64, f64) -> f64| {
        let heard = lines.iter().filter(|line| line.re_tone_db > BOTTOM_DB);
        heard.map(|line| line.hz).fold(least, pick)
    };
    let above = heard(&partials.above, tone * 8.0, f64::max);
    let below = heard(&partials.below, tone / 2.0, f64::min);
    FrequencyAxis { from_hz: below.max(tone / 8.0) / 1.5, to_hz: above.min(tone * 20.0) * 1.12 }
}

struct Picture<'a> {
    scene: &'a mut Scene,
    frame: Frame,
    placer: Placer,
}

impl Picture<'_> {
    fn draw_levels(&mut self) {
        let rect = self.frame.rect;
        for tick in self.frame.db.ticks(rect.height, 20.0) {
            let y = self.frame.y(tick.value);
            self.scene.rule((rect.x, y), (rect.right(), y), 1.0, Ink::Grid);
            let unit = if tick.is_strong { " dB" } else { "" };
            let words = format!("{}{unit}", tick.words);
            self.scene.text((rect.x - 6.0, y + 3.5), Anchor::End, Role::Tick, Ink::Second, words);
        }
        let bottom = rect.bottom();
        self.scene.rule((rect.x, bottom), (rect.right(), bottom), 1.3, Ink::Text);
    }

    fn draw_limit(&mut self, limit: Option<f64>, tone_x: f64) {
        let Some(limit) = limit.filter(|limit| *limit > 0.0) else { return };
        let y = self.frame.y(gain_to_db(limit));
        let line = vec![(tone_x + 6.0, y), (self.frame.rect.right(), y)];
        self.placer.keep_off_line(&line, 1.0);
        self.scene.line(Cause::Target, line);
    }

    /// The words of the limit, once every stem has its place.
    fn name_limit(&mut self, limit: Option<f64>, tone_x: f64) {
        let Some(limit) = limit.filter(|limit| *limit > 0.0) else { return };
        let y = self.frame.y(gain_to_db(limit));
        let label =
            Label::new(format!("limit {} %", short(100.0 * limit, 4)), Role::Tick, Ink::Text);
        let width = label.size().0;
        let ends = [self.frame.rect.right() - width / 2.0, tone_x + 8.0 + width / 2.0];
        let places = [y - 7.0, y + 7.0].map(|y| ends.map(|x| (x, y))).concat();
        self.placer.set_on(self.scene, &label, places);
    }

    /// Harmonics: stems with a ring, filled in the colour of faults when one alone is over the limit.
    fn draw_above(&mut self, partials: &Partials, limit: Option<f64>) {
        let over = |line: &Line| limit.is_some_and(|limit| line.re_tone_db > gain_to_db(limit));
        for line in self.shown(&partials.above) {
            let (x, y) = self.frame.held(line.hz, line.re_tone_db);
            let over = over(&line);
            let ink = if over { Ink::Fault } else { Ink::Given };
            let width = if over { 2.4 } else { 1.3 };
            self.scene.rule((x, self.frame.rect.bottom()), (x, y), width, ink);
            let (radius, fill) = if over { (4.0, ink) } else { (2.6, Ink::Sheet) };
            self.scene.disc((x, y), radius, fill, (ink, 1.3));
            self.placer.keep_off(Rect::new(
                x - 4.0,
                y - 4.0,
                8.0,
                self.frame.rect.bottom() - y + 4.0,
            ));
        }
        // Names after all stems stand, so that none lies on a later one.
        for line in self.shown(&partials.above).iter().filter(|line| over(line)) {
            let words = format!("{} {}", ordinal(line.order), short(line.re_tone_db, 0));
            let label = Label::new(words, Role::Strong, Ink::Fault);
            let at = self.frame.held(line.hz, line.re_tone_db);
            self.placer.set(self.scene, &label, [at], 6.0);
        }
    }

    fn draw_odd_halves(&mut self, partials: &Partials) {
        for line in self.shown(&partials.odd_halves) {
            let (x, y) = self.frame.held(line.hz, line.re_tone_db);
            self.scene.line(Cause::Octave, vec![(x, self.frame.rect.bottom()), (x, y)]);
            self.placer.keep_off(Rect::new(x - 3.0, y, 6.0, self.frame.rect.bottom() - y));
        }
    }

    /// Lines below the tone: the half as a standing bar, all others dashed.
    fn draw_below(&mut self, partials: &Partials) {
        let lines = self.shown(&partials.below);
        for line in &lines {
            let (x, y) = self.frame.held(line.hz, line.re_tone_db);
            let bottom = self.frame.rect.bottom();
            if is_half(line) {
                let bar = Rect::new(x - 4.5, y, 9.0, bottom - y);
                self.scene.area(Fill::Slanted, bar.corners());
                self.scene.outline(bar.corners(), 1.3, Ink::Octave);
            } else {
                self.scene.line(Cause::Octave, vec![(x, bottom), (x, y)]);
            }
            self.placer.keep_off(Rect::new(x - 5.0, y - 1.0, 10.0, bottom - y + 1.0));
        }
        for line in lines.iter().filter(|line| is_half(line)) {
            let label = Label::new(level(line.hz, 1), Role::Label, Ink::Octave);
            let (x, y) = self.frame.held(line.hz, line.re_tone_db);
            let aside = 9.0 + label.size().0 / 2.0;
            let heights = [y + 12.0, y + 30.0, y + 50.0, y - 8.0];
            let places = heights.map(|y| [(x + aside, y), (x - aside, y)]);
            self.placer.set_on(self.scene, &label, places.concat());
        }
    }

    fn draw_tone(&mut self, partials: &Partials, x: f64) {
        let (top, bottom) = (self.frame.rect.y, self.frame.rect.bottom());
        self.scene.rule((x, top), (x, bottom), 2.4, Ink::Text);
        let y = self.frame.y(0.0);
        self.scene.disc((x, y), 3.6, Ink::Text, (Ink::Text, 1.0));
        self.placer.keep_off(Rect::new(x - 4.0, top, 8.0, bottom - top));
        let words = [format!("the tone, {} dBFS", short(partials.tone_dbfs, 1)), "tone".into()];
        for words in words {
            let label = Label::new(words, Role::Strong, Ink::Text);
            let width = label.size().0;
            let places = [(x + 8.0 + width / 2.0, y + 4.0)];
            if self.placer.set_on(self.scene, &label, places).is_some() {
                return;
            }
        }
    }

    fn draw_frequencies(&mut self, partials: &Partials) {
        let rect = self.frame.rect;
        let mut row = Placer::new(Rect::new(rect.x - 12.0, rect.bottom(), rect.width + 12.0, 18.0));
        let harmonics = partials.above.iter().map(|line| line.hz);
        let always = [1.0, 0.5, 2.0].map(|order| order * partials.tone_hz);
        let others = [3.0, 4.0, 5.0, 8.0, 0.25].map(|order| order * partials.tone_hz);
        let wanted = always.into_iter().chain(harmonics).chain(others);
        let ends = self.frame.hz.from_hz..=self.frame.hz.to_hz;
        for (i, hz) in wanted.filter(|hz| ends.contains(hz)).enumerate() {
            let (role, ink) =
                if i == 0 { (Role::Strong, Ink::Text) } else { (Role::Tick, Ink::Second) };
            let words = if i == 0 { hertz(hz) } else { frequency(hz) };
            let label = Label::new(words, role, ink);
            let at = (self.frame.x(hz), rect.bottom() + 10.0);
            if let Some(set) = row.set_on(self.scene, &label, [at]) {
                row.keep_off(Rect { x: set.x - 5.0, width: set.width + 10.0, ..set });
            }
        }
    }

    /// The lines that stand on the sheet.
    fn shown(&self, lines: &[Line]) -> Vec<Line> {
        let axis = self.frame.hz;
        let on_sheet = |line: &&Line| {
            line.re_tone_db.is_finite()
                && line.re_tone_db > self.frame.db.bottom_db
                && (axis.from_hz..=axis.to_hz).contains(&line.hz)
        };
        lines.iter().filter(on_sheet).copied().collect()
    }
}

/// The two figures, one on each side.
fn draw_figures(scene: &mut Scene, rect: Rect, partials: &Partials, over: bool) {
    let y = rect.bottom() + 32.0;
    let below = format!("below {}", percent(partials.below_ratio));
    scene.text((rect.x, y), Anchor::Start, Role::Label, Ink::Octave, below.as_str());
    let room = rect.width - Role::Label.width(&below) - 26.0;
    let above = format!("above {}", percent(partials.thd_f));
    let verdict = format!("{above}, over the limit");
    let above = if over && Role::Label.width(&verdict) < room { verdict } else { above };
    if over {
        let width = Role::Label.width(&above) + 10.0;
        let plate = Rect::new(rect.right() - width, y - 12.5, width, 17.0);
        scene.area(Fill::Flat(Ink::Fault), plate.corners());
        let at = (rect.right() - 5.0, y);
        scene.text(at, Anchor::End, Role::Label, Ink::Sheet, above);
    } else {
        scene.text((rect.right(), y), Anchor::End, Role::Label, Ink::Text, above);
    }
}

/// True for the line at exactly half the tone.
fn is_half(line: &Line) -> bool {
    (line.order - 0.5).abs() < 1e-6
}

/// `2nd`, `3rd`, `4th` ...
pub fn ordinal(order: f64) -> String {
    let whole = order.round() as u64;
    let ending = match (whole % 10, whole % 100) {
        (1, n) if n != 11 => "st",
        (2, n) if n != 12 => "nd",
        (3, n) if n != 13 => "rd",
        _ => "th",
    };
    format!("{whole}{ending}")
}

/// What a line is, in words: `half`, `3rd`, `1.5 times`.
pub fn name(line: &Line) -> String {
    let fractions = [(1.0 / 2.0, "half"), (1.0 / 3.0, "a third"), (2.0 / 3.0, "two thirds")];
    let quarters = [(0.25, "a quarter"), (0.75, "three quarters")];
    let known = fractions.iter().chain(&quarters).find(|f| (line.order - f.0).abs() < 1e-3);
    match known {
        Some((_, words)) => (*words).into(),
        None if (line.order - line.order.round()).abs() < 1e-3 => ordinal(line.order),
        None => format!("{} times", short(line.order, 2)),
    }
}

/// A level beside the tone with sign and unit, `−2.9 dB`.
pub fn re_tone(line: &Line) -> String {
    format!("{} dB", difference(line.re_tone_db))
}
