//! The pictures of the report, each drawn for a wide page and for a narrow one.

use crate::figures::{hertz, short};
use crate::measure::layers::Layers;
use crate::plot::axis::Frame;
use crate::plot::low_end::{Beside, low_end};
use crate::plot::responses::Responses;
use crate::plot::scene::{Rect, Scene};
use crate::plot::stations::End;
use crate::plot::{bore, lane, line, responses, swings, tone};
use crate::report::svg::{escape, inline};
use crate::report::{Picture, Run, Sheet};

/// Width of the wide page, of its two columns, and of a narrow page, in pixels.
const WIDE: f64 = Picture::WIDE;
const LEFT: f64 = 434.0;
const RIGHT: f64 = 222.0;
const NARROW: f64 = Picture::NARROW;

/// One-third octaves in the bore log, in Hz.
const LOG_HZ: (f64, f64) = (20.0, 315.0);

/// All pictures but the line.
pub(super) fn pictures(sheet: &Sheet) -> String {
    let mut numbers = 1..;
    let mut page = String::new();
    let mut add = |picture: Option<Picture>| -> String {
        let Some(picture) = picture else { return String::new() };
        section(&picture, numbers.next().unwrap_or_default())
    };
    page += &add(sheet.responses.as_ref().and_then(drawn));
    page += &add(sheet.broad().and_then(|run| strata(sheet, run)));
    let log_width = if sheet.tone().is_some() { LEFT } else { WIDE };
    let log = add(sheet.broad().and_then(|run| log(sheet, run, log_width)));
    let has_pair = !log.is_empty();
    let lines = add(sheet.tone().and_then(|run| lines(sheet, run, has_pair)));
    let folds = add(sheet.tone().and_then(|run| folds(run, has_pair)));
    page += &match (log.is_empty(), lines.is_empty() && folds.is_empty()) {
        (false, false) => format!("<div class=\"pair\">\n{log}{lines}{folds}</div>\n"),
        _ => log + &lines + &folds,
    };
    page + &sheet.pictures.iter().map(|picture| add(Some(picture.clone()))).collect::<String>()
}

/// All pictures but the line, in the order of the page, each by itself.
pub fn list(sheet: &Sheet) -> Vec<Picture> {
    let (broad, tone) = (sheet.broad(), sheet.tone());
    let own = [
        sheet.responses.as_ref().and_then(drawn),
        broad.and_then(|run| strata(sheet, run)),
        broad.and_then(|run| log(sheet, run, WIDE)),
        tone.and_then(|run| lines(sheet, run, false)),
        tone.and_then(|run| folds(run, false)),
    ];
    own.into_iter().flatten().chain(sheet.pictures.iter().cloned()).collect()
}

/// The line with the settings at its stations.
pub(super) fn line(sheet: &Sheet) -> String {
    let Some(settings) = &sheet.settings else { return String::new() };
    let run = sheet.broad().or(sheet.tone());
    let given = run.map(|run| &run.readings.before.level);
    let out = run.and_then(|run| run.readings.after.as_ref()).map(|side| &side.level);
    let ends = || [End::given(given), End::out(out)];
    let about = "The line with the settings at its stations";
    let mut wide = Scene::new(WIDE, line::HEIGHT, about);
    line::line(&mut wide, (0.0, 0.0), WIDE, settings, ends());
    let mut narrow = Scene::new(NARROW, line::HEIGHT_DOWN, about);
    line::line_down(&mut narrow, (0.0, 0.0), settings, ends());
    format!("<section class=\"line\">{}</section>\n", both(&wide, &narrow))
}

/// A numbered picture with its title.
fn section(picture: &Picture, number: usize) -> String {
    let unit = match picture.unit.as_str() {
        "" => String::new(),
        unit => format!("<span class=\"unit\">{}</span>", escape(unit)),
    };
    format!(
        "<section><h2>{unit}{number} · {} <small>{}</small></h2>\n{}</section>\n",
        escape(&picture.title),
        escape(&picture.note),
        both(&picture.wide, &picture.narrow)
    )
}

fn both(wide: &Scene, narrow: &Scene) -> String {
    format!(
        "<div class=\"wide\">{}</div>\n<div class=\"narrow\">{}</div>\n",
        inline(wide),
        inline(narrow)
    )
}

/// Responses with what to do where.
fn drawn(shown: &Responses) -> Option<Picture> {
    let strip = if shown.verdicts.is_empty() { 0.0 } else { responses::STRIP + 2.0 };
    let draw = |width: f64, height: f64| {
        let mut scene = Scene::new(width, height + 24.0 + strip, "Responses of the low end");
        let rect = Rect::new(34.0, 4.0, width - 34.0, height);
        responses::responses(&mut scene, rect, shown).map(|_| scene)
    };
    Some(Picture {
        title: "Responses".into(),
        note: if shown.verdicts.is_empty() { "" } else { "and what to do where" }.into(),
        unit: "dB re the mid band".into(),
        wide: draw(WIDE, 240.0)?,
        narrow: draw(NARROW, 210.0)?,
    })
}

/// Layers of the low end, with the settings under the axis.
fn strata(sheet: &Sheet, run: &Run) -> Option<Picture> {
    let beside = Beside {
        target: sheet.target.as_ref(),
        original: sheet.original.as_ref(),
        ..Beside::default()
    };
    let settings = sheet.settings.as_ref();
    let beside = beside.with(settings);
    let draw = |width: f64, height: f64| {
        let about = "Levels of the low end, layer by layer";
        let lane_height = settings.map_or(0.0, |_| lane::HEIGHT);
        let mut scene = Scene::new(width, height + 24.0 + lane_height, about);
        let rect = Rect::new(34.0, 4.0, width - 34.0, height);
        let frame: Frame = low_end(&mut scene, rect, &run.readings, beside)?;
        if let Some(settings) = settings {
            let top = rect.bottom() + 20.0;
            lane::draw(&mut scene, &frame, top, settings, lane::Which::Acting);
        }
        Some(scene)
    };
    let layers = run.readings.strata.is_some();
    let note = if layers {
        "height of a layer = dB that stage added, smoothed to 1/6 octave"
    } else {
        "power per octave, smoothed to 1/6 octave"
    };
    Some(Picture {
        title: if layers { "Layers of the low end".into() } else { "The low end".into() },
        note: note.into(),
        unit: "dB re mean of 200 Hz to 1 kHz".into(),
        wide: draw(WIDE, 264.0)?,
        narrow: draw(NARROW, 230.0)?,
    })
}

/// One-third octaves as a bore log.
fn log(sheet: &Sheet, run: &Run, width: f64) -> Option<Picture> {
    let strata = Layers::thirds(&run.readings, LOG_HZ.0, LOG_HZ.1);
    if strata.is_empty() {
        return None;
    }
    let draw = |width: f64| {
        let about = "One-third octaves, one row a band";
        let mut scene = Scene::new(width, bore::height(&strata), about);
        bore::bore(&mut scene, (0.0, 0.0), width, &strata, sheet.target.as_ref());
        scene
    };
    let seconds = short(run.readings.seconds, 1);
    Some(Picture {
        title: "One-third octaves".into(),
        note: format!("base 10, {}, mean of {seconds} s", brief(&run.name)),
        unit: String::new(),
        wide: draw(width),
        narrow: draw(NARROW),
    })
}

/// A name from outside, short enough for a note beside a title.
fn brief(name: &str) -> String {
    const LONGEST: usize = 32;
    match name.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}…", &name[..end]),
        None => name.into(),
    }
}

/// The lines beside the tone.
fn lines(sheet: &Sheet, run: &Run, has_pair: bool) -> Option<Picture> {
    let partials = run.out().partials.as_ref()?;
    let draw = |width: f64, height: f64| {
        let about = format!("Lines beside the {} tone", hertz(partials.tone_hz));
        let mut scene = Scene::new(width, height, about);
        let rect = Rect::new(34.0, 4.0, width - 34.0, height - 40.0);
        tone::tone(&mut scene, rect, partials, sheet.harmonics_limit);
        scene
    };
    let (wide, height) = if has_pair { (RIGHT, 158.0) } else { (WIDE, 260.0) };
    let note = match has_pair {
        true => "what stands beside it".to_string(),
        false => format!("{}, {}", brief(&run.name), run.out().spectrum.window.name()),
    };
    Some(Picture {
        title: format!("A {} tone", hertz(partials.tone_hz)),
        note,
        unit: String::new(),
        wide: draw(wide, height),
        narrow: draw(NARROW, 210.0),
    })
}

/// Odd and even swings laid together.
fn folds(run: &Run, has_pair: bool) -> Option<Picture> {
    let scope = run.readings.scope.as_ref()?;
    let draw = |width: f64, height: f64| {
        let mut scene = Scene::new(width, height, "Odd and even swings laid together");
        swings::swings(&mut scene, Rect::new(0.0, 2.0, width, height - 2.0), scope);
        (!scene.marks.is_empty()).then_some(scene)
    };
    let (wide, height) = if has_pair { (RIGHT, 92.0) } else { (WIDE, 160.0) };
    Some(Picture {
        title: "Odd and even swings laid together".into(),
        note: String::new(),
        unit: String::new(),
        wide: draw(wide, height)?,
        narrow: draw(NARROW, 130.0)?,
    })
}
