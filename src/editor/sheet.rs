//! The plain sheet: every setting in the order of the line, and the levels.

use super::levels::{self, Strand};
use super::look::{Look, medium, strong};
use super::test_bar::{self, Measuring};
use super::wish::Wish;
use super::{number, words};
use crate::plot::{Ink, Palette};
use crate::settings::{ALL, Kind, Settings};
use egui::{Align2, Pos2, Rect, Ui, vec2};

/// What the sheet shows.
#[derive(Clone, Debug)]
pub struct Shown {
    /// What is set.
    pub settings: Settings,
    /// Level before and after.
    pub strands: [Strand; 2],
    /// How often the output left full scale.
    pub overs: u32,
    /// One sentence for the reader, if there is one.
    pub notice: Option<String>,
    /// Measuring mode.
    pub measuring: Measuring,
}

/// The columns: a heading and the groups of keys under it.
const COLUMNS: [&[(&str, &str)]; 3] = [
    &[("listen", ""), ("input and dry", "input"), ("", "dry"), ("high-pass", "high_pass")],
    &[("octave part", "octave")],
    &[("low band", "low_band"), ("output", "output")],
];

/// Height of a heading.
const HEADING: f32 = 26.0;

/// Draws the sheet over the whole of `ui`; returns what a hand asks for.
pub fn show(ui: &mut Ui, shown: &Shown, look: &Look) -> Vec<Wish> {
    let mut wishes = Vec::new();
    let margin = if ui.max_rect().width() < 860.0 { 10.0 } else { 16.0 };
    let page = ui.max_rect();
    ui.painter().rect_filled(page, 0.0, look.colour(Ink::Ground));
    let page = page.shrink(margin);
    head(ui, page, shown, look, &mut wishes);

    let foot = page.max.y - levels::HEIGHT;
    let bar = Pos2::new(page.min.x, foot - 14.0 - test_bar::HEIGHT);
    let bar = Rect::from_min_size(bar, vec2(page.width(), test_bar::HEIGHT));
    let gap = 24.0;
    let width = (page.width() - 2.0 * gap) / 3.0;
    for (place, column) in COLUMNS.iter().enumerate() {
        let left = page.min.x + place as f32 * (width + gap);
        let mut top = page.min.y + 50.0;
        for (heading, group) in *column {
            top = self::group(
                ui,
                Pos2::new(left, top),
                width,
                heading,
                group,
                shown,
                look,
                &mut wishes,
            );
        }
    }
    test_bar::show(ui, bar, &shown.measuring, look, &mut wishes);
    ui.painter().hline(page.x_range(), bar.min.y - 6.0, look.rule());
    ui.painter().hline(page.x_range(), foot - 10.0, look.rule());
    let strip = Rect::from_min_max(Pos2::new(page.min.x, foot), page.max);
    levels::show(ui, strip, shown.strands, shown.overs, look, &mut wishes);
    wishes
}

/// The name, the palettes, and one sentence.
fn head(ui: &mut Ui, page: Rect, shown: &Shown, look: &Look, wishes: &mut Vec<Wish>) {
    let (ink, second) = (look.colour(Ink::Text), look.colour(Ink::Second));
    ui.painter().text(page.min, Align2::LEFT_TOP, "Underpin", strong(17.0), ink);
    let mut x = page.max.x - 150.0;
    let palettes =
        [("day", Palette::Day), ("night", Palette::Night), ("contrast", Palette::HighContrast)];
    for (name, palette) in palettes {
        let chosen = look.palette == palette;
        let place = Pos2::new(x, page.min.y);
        let (clicked, width) = words::word(ui, place, name, name, chosen, look);
        if clicked {
            wishes.push(Wish::Show(palette));
        }
        x += width + 12.0;
    }
    let sentence = match (&shown.notice, shown.settings.bypass) {
        (Some(notice), _) => notice.clone(),
        (None, true) => "Bypass: what comes out is what the radio gives.".into(),
        (None, false) => String::new(),
    };
    let place = page.min + vec2(0.0, 26.0);
    ui.painter().text(place, Align2::LEFT_TOP, sentence, medium(14.0), second);
}

/// One group under its heading; returns where the next one may begin.
#[expect(clippy::too_many_arguments, reason = "a place, a group, and what it shows")]
fn group(
    ui: &mut Ui,
    place: Pos2,
    width: f32,
    heading: &str,
    group: &str,
    shown: &Shown,
    look: &Look,
    wishes: &mut Vec<Wish>,
) -> f32 {
    let mut top = place.y;
    if !heading.is_empty() {
        let ink = match group {
            "octave" => Ink::Octave,
            "low_band" => Ink::Low,
            _ => Ink::Text,
        };
        let at = Pos2::new(place.x, top + HEADING - 8.0);
        ui.painter().text(at, Align2::LEFT_BOTTOM, heading, strong(13.5), look.colour(ink));
        ui.painter().hline(place.x..=place.x + width, top + HEADING - 6.0, look.rule());
        top += HEADING;
    }
    let plain = shown.settings.to_plain();
    for (index, setting) in ALL.iter().enumerate().filter(|(_, s)| s.group() == group) {
        let rect = Rect::from_min_size(Pos2::new(place.x, top), vec2(width, number::HEIGHT));
        match setting.kind {
            Kind::Number { .. } => {
                number::show(ui, rect, index, plain[index], look, wishes);
            }
            _ => words::show(ui, rect, index, plain[index], look, wishes),
        }
        top += number::HEIGHT;
    }
    top
}
