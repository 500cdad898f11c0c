//! The regions of the window: head, sentence, sheet, lane, line and foot, in three sizes.

use egui::{Pos2, Rect};

/// The smallest window, in points: nothing is cut off in it.
pub const SMALLEST: egui::Vec2 = egui::vec2(720.0, 480.0);

/// Height of the bar of the test signal, in points.
const TEST_SIGNAL: f32 = 28.0;

/// Height of the line with its three rows of settings, in points.
const LINE: f32 = 124.0;

/// Height of a tray of one row and of two, in points.
const TRAYS: [f32; 3] = [0.0, 26.0, 50.0];

/// Room for the words of the frequency axis, in points.
pub const TICKS: f32 = 18.0;

/// The zoom nearest to `wanted` (1 for natural size) at which a window of a natural size in
/// points still shows everything: in steps, as letters are made anew for each zoom.
pub fn fitting_zoom(wanted: f32, natural: egui::Vec2) -> f32 {
    let most = (natural.x / SMALLEST.x).min(natural.y / SMALLEST.y);
    let most = (most / ZOOM_STEP).floor() * ZOOM_STEP;
    wanted.clamp(LEAST_ZOOM, 1.5 * MOST_ZOOM).min(most).max(FEWEST_PIXELS)
}

/// How much larger everything is by itself in a large window of a natural size in points: one
/// sits further from it, and there is room.
pub fn by_itself(natural: egui::Vec2) -> f32 {
    let fits = |(size, _): &&(egui::Vec2, f32)| natural.x >= size.x && natural.y >= size.y;
    LARGER.iter().find(fits).map_or(1.0, |(_, zoom)| *zoom)
}

/// From which size on everything is how much larger; what is left is a window of 1024 by 576 at
/// least, and one of 1280 by 720 in the largest.
const LARGER: [(egui::Vec2, f32); 2] =
    [(egui::vec2(1800.0, 1000.0), 1.5), (egui::vec2(1280.0, 720.0), 1.25)];

/// A change of the zoom by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ZoomStep {
    /// One step larger.
    Larger,
    /// One step smaller.
    Smaller,
    /// Back to the natural size.
    Natural,
}

/// The zoom one step away from `now`; the same at an end.
pub fn next_zoom(now: f32, step: ZoomStep) -> f32 {
    let next = match step {
        ZoomStep::Larger => ZOOMS.iter().find(|zoom| **zoom > now + 0.01),
        ZoomStep::Smaller => ZOOMS.iter().rev().find(|zoom| **zoom < now - 0.01),
        ZoomStep::Natural => Some(&1.0),
    };
    next.copied().unwrap_or(now)
}

/// The zooms one step apart, as shares of the natural size.
const ZOOMS: [f32; 9] = [LEAST_ZOOM, 0.9, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, MOST_ZOOM];

/// What is drawn on, in a window of any size: never less than the smallest one, or what stands
/// side by side would have to be less than nothing wide. The rest lies outside the window.
pub fn page(window: Rect) -> Rect {
    Rect::from_min_size(window.min, window.size().max(SMALLEST))
}

/// Smallest and largest zoom that can be asked for.
const LEAST_ZOOM: f32 = 0.75;
const MOST_ZOOM: f32 = 3.0;

/// Where a host makes the window smaller than asked for, everything shrinks with it down to this.
const FEWEST_PIXELS: f32 = 0.25;

/// Between two zooms, as a share of the natural size.
const ZOOM_STEP: f32 = 0.05;

/// Where everything lies, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layout {
    /// Words of the views on the left, preset and latch on the right.
    pub head: Rect,
    /// The sentence.
    pub sentence: Rect,
    /// Size of its letters, and how many rows it may have.
    pub letters: (f32, usize),
    /// The test signal; of no height while there is none.
    pub bar: Rect,
    /// The tray that is open; of no height while none is.
    pub tray: Rect,
    /// The picture with the words of its axes.
    pub sheet: Rect,
    /// The line.
    pub line: Rect,
    /// Measuring conditions.
    pub foot: Rect,
    /// Room for the words of the left axis.
    pub axis: f32,
    /// Room for the settings under the axis of the Spectrum.
    pub lane: f32,
    /// True where words must be few.
    pub is_small: bool,
}

impl Layout {
    /// The regions of a page, with or without the bar of the test signal, and a tray of up to two
    /// rows.
    pub fn of(page: Rect, has_bar: bool, tray_rows: usize) -> Self {
        let (margin, head, letters, sentence, axis, lane, line) = match page.width() {
            width if width < 860.0 => (10.0, 30.0, (14.0, 1), 22.0, 32.0, 44.0, LINE),
            width if width < 1280.0 => (16.0, 36.0, (17.0, 2), 46.0, 36.0, 48.0, LINE),
            _ => (24.0, 42.0, (20.0, 2), 54.0, 40.0, 52.0, LINE),
        };
        let (left, right) = (page.min.x + margin, page.max.x - margin);
        let row = |top: f32, height: f32| {
            Rect::from_min_max(Pos2::new(left, top), Pos2::new(right, top + height))
        };
        let foot_height = 20.0;
        let foot = row(page.max.y - foot_height, foot_height);
        let line = row(foot.min.y - line, line);
        let sentence = row(page.min.y + head, sentence);
        let gap = |is_there: bool| if is_there { 6.0 } else { 0.0 };
        let bar = row(sentence.max.y + 2.0, if has_bar { TEST_SIGNAL } else { 0.0 });
        let has_tray = tray_rows > 0;
        let tray = row(bar.max.y + gap(has_bar && has_tray), TRAYS[tray_rows.min(2)]);
        let sheet = Rect::from_min_max(
            Pos2::new(left, tray.max.y + gap(has_bar || has_tray)),
            Pos2::new(right, line.min.y - 6.0),
        );
        Self {
            head: row(page.min.y, head),
            sentence,
            letters,
            bar,
            tray,
            sheet,
            line,
            foot,
            axis,
            lane,
            is_small: page.width() < 860.0,
        }
    }
}
