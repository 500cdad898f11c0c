//! A picture as a page by itself: the finding above it, settings and conditions beneath.

use crate::plot::lettering::wrap;
use crate::plot::scene::{Anchor, Mark, Point, Role, Scene};
use crate::plot::stations::Station;
use crate::plot::{Fill, Ink};
use crate::settings::Settings;

/// Room at the edges of the page, in pixels.
const MARGIN: f64 = 16.0;

/// Distance of two rows of the finding and of two notes, in pixels.
const ROWS: (f64, f64) = (20.0, 15.0);

/// `picture` under `finding`, over `notes`, one a row; words that need more than the width of
/// the picture go on in a row of their own.
pub fn page(picture: &Scene, finding: &str, notes: &[String]) -> Scene {
    let head = wrap(finding, Role::Value, picture.width);
    let notes: Vec<String> =
        notes.iter().flat_map(|note| wrap(note, Role::Note, picture.width)).collect();
    let top = MARGIN + ROWS.0 * head.len() as f64 + 6.0;
    let foot = top + picture.height + 10.0;
    let height = foot + ROWS.1 * notes.len() as f64 + MARGIN - 4.0;
    let mut page = Scene::new(picture.width + 2.0 * MARGIN, height, finding);
    let (width, height) = (page.width, page.height);
    page.area(
        Fill::Flat(Ink::Ground),
        vec![(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)],
    );
    for (i, row) in head.into_iter().enumerate() {
        let at = (MARGIN, MARGIN + 13.0 + ROWS.0 * i as f64);
        page.text(at, Anchor::Start, Role::Value, Ink::Text, row);
    }
    page.marks.extend(picture.marks.iter().map(|mark| moved(mark, (MARGIN, top))));
    for (i, row) in notes.into_iter().enumerate() {
        let at = (MARGIN, foot + 10.0 + ROWS.1 * i as f64);
        page.text(at, Anchor::Start, Role::Note, Ink::Second, row);
    }
    page
}

/// The stages that do something, with their settings, in the order of the line.
pub fn line_in_words(settings: &Settings) -> String {
    let stations = [
        Station::trim(settings),
        Station::dry(settings),
        Station::octave(settings),
        Station::low_band(settings),
        Station::closed_box(settings),
        Station::high_pass(settings),
        Station::output(settings),
    ];
    let words = stations.into_iter().filter(|station| station.is_on).map(|station| {
        let notes: Vec<_> = std::iter::once(station.value).chain(station.notes).collect();
        format!("{} {}", station.name, notes.join(", "))
    });
    words.collect::<Vec<_>>().join(" \u{b7} ")
}

/// A mark moved by `by`.
fn moved(mark: &Mark, by: Point) -> Mark {
    let to = |(x, y): Point| (x + by.0, y + by.1);
    let mut mark = mark.clone();
    match &mut mark {
        Mark::Line { points, .. } | Mark::Area { points, .. } | Mark::Outline { points, .. } => {
            points.iter_mut().for_each(|point| *point = to(*point));
        }
        Mark::Rule { from, to: end, .. } => (*from, *end) = (to(*from), to(*end)),
        Mark::Disc { at, .. } | Mark::Text { at, .. } => *at = to(*at),
    }
    mark
}
