//! No label lies on another, whatever the readings and the width of the page.
//!
//! Widths come from the font files, read by an independent reader.

use crate::sheets::{absurd, noise, ordinary, settings, tone, words_only};
use underpin::analysis::scope::Scope;
use underpin::measure::Readings;
use underpin::measure::layers::Layers;
use underpin::plot::label::{Label, Placer};
use underpin::plot::lane::Which;
use underpin::plot::low_end::{Beside, low_end};
use underpin::plot::scene::Rect;
use underpin::plot::stations::End;
use underpin::plot::{
    Anchor, Cause, Ink, Mark, Role, Scene, bore, lane, line, responses, swings, tone as beside,
    waves,
};
use underpin::settings::Settings;

/// Every text of a scene with the rectangle of its letters.
fn texts(scene: &Scene) -> Vec<(String, Rect)> {
    let medium = include_bytes!("../../assets/fonts/UnderpinSans-Medium.ttf");
    let heavy = include_bytes!("../../assets/fonts/UnderpinSans-SemiBold.ttf");
    let medium = ttf_parser::Face::parse(medium, 0).expect("a font");
    let heavy = ttf_parser::Face::parse(heavy, 0).expect("a font");
    let advance = |face: &ttf_parser::Face, c: char| {
        let glyph = face.glyph_index(c).unwrap_or_default();
        f64::from(face.glyph_hor_advance(glyph).unwrap_or(600)) / 1000.0
    };
    let rect = |mark: &Mark| match mark {
        Mark::Text { at, anchor, role, words, .. } => {
            let face = if role.is_heavy() { &heavy } else { &medium };
            let width = words.chars().map(|c| advance(face, c)).sum::<f64>() * role.size();
            let x = match anchor {
                Anchor::Start => at.0,
                Anchor::Middle => at.0 - width / 2.0,
                Anchor::End => at.0 - width,
            };
            // From the base line up to the top of small letters with a stem, 0.7 of the size.
            let height = 0.7 * role.size();
            Some((words.clone(), Rect::new(x, at.1 - height, width, height)))
        }
        _ => None,
    };
    scene.marks.iter().filter_map(rect).filter(|(words, _)| !words.is_empty()).collect()
}

#[track_caller]
fn no_label_lies_on_another(scene: &Scene) {
    let texts = texts(scene);
    for (i, (words, rect)) in texts.iter().enumerate() {
        for (other, taken) in &texts[i + 1..] {
            assert!(!rect.meets(taken), "{words:?} lies on {other:?} at {} px", scene.width);
        }
        // A fifth of a pixel: advances are rounded to a thousandth of the size.
        let inside = rect.x >= -0.2
            && rect.y >= -0.2
            && rect.right() <= scene.width + 0.2
            && rect.bottom() <= scene.height + 0.2;
        assert!(inside, "{words:?} leaves the picture of {} px: {rect:?}", scene.width);
    }
}

/// A wave of a tone and its half whose higher swing reaches `peak`.
fn waves_of(peak: f64, width: f64, height: f64) -> Scene {
    let at = |n: usize| 2.0 * std::f64::consts::TAU * n as f64 / 256.0;
    let shape = |n: usize| 0.6 * (2.0 * at(n)).sin() - 0.6 * at(n).sin();
    let highest = (0..256).map(shape).fold(0.0, f64::max);
    let out: Vec<f64> = (0..256).map(|n| shape(n) * peak / highest).collect();
    let part = |gain: f64| out.iter().map(|x| gain * x).collect::<Vec<f64>>();
    let (dry, octave) = (part(0.6), part(0.4));
    let scope = Scope { span_s: 0.067, period_s: 0.0335, locked_to_octave: true, dry, octave, out };
    let mut scene = Scene::new(width, height, "");
    assert!(waves::waves(&mut scene, Rect::new(0.0, 0.0, width, height), 150.0, &scope));
    scene
}

#[test]
fn no_figure_of_a_wave_is_struck_through_by_full_scale() {
    let mut figures = 0;
    for (width, height) in [(700.0, 240.0), (940.0, 380.0), (1250.0, 560.0)] {
        for step in 0..60 {
            let scene = waves_of(0.5 * 1.05f64.powi(step), width, height);
            let full_scale = scene.marks.iter().filter_map(|mark| match mark {
                Mark::Line { cause: Cause::Target, points, .. } => Some(points[0].1),
                _ => None,
            });
            let full_scale: Vec<f64> = full_scale.collect();
            for (words, rect) in texts(&scene).iter().filter(|(words, _)| words.starts_with('+')) {
                figures += 1;
                let is_through = |y: &f64| rect.y < *y && *y < rect.bottom();
                assert!(!full_scale.iter().any(is_through), "{words} at {width} px, {step}");
            }
        }
    }
    // Of 180 pictures with two swings and more each, most have room for their figures.
    assert!(figures > 300, "{figures} figures");
}

/// Every readings of the sheets.
fn readings() -> Vec<Readings> {
    let mut all: Vec<Readings> = [noise(), tone(60.0, 0.0), tone(41.2, 34.0), tone(150.0, -40.0)]
        .map(|run| run.readings)
        .into();
    all.extend(absurd().into_iter().flat_map(|sheet| sheet.runs).map(|run| run.readings));
    let mut short = noise().readings;
    short.before.spectrum.averages = 3.0;
    all.push(short);
    let mut deep = noise().readings;
    deep.after.iter_mut().for_each(|side| side.spectrum.power.iter_mut().for_each(|p| *p *= 1e-3));
    all.push(deep);
    all
}

/// Settings from the defaults to the corners of their ranges.
fn corners() -> Vec<Settings> {
    let words = [
        "octave.level_db=off",
        "octave.from_hz=25",
        "octave.to_hz=200",
        "octave.floor_hz=50",
        "octave.floor_hz=10",
        "low_band.gain_db=-18",
        "low_band.centre_hz=16",
        "low_band.centre_hz=160",
        "low_band.width_oct=4",
        "low_band.acts_on=octave",
        "high_pass.order=4",
        "high_pass.hz=8",
        "high_pass.hz=60",
        "output.ceiling=on",
        "bypass=on",
        "listen=difference",
        "octave.phase_deg=-180",
    ];
    let mut all = vec![Settings::default(), settings()];
    for pair in words {
        let (key, value) = pair.split_once('=').expect("a pair");
        for start in [Settings::default(), settings()] {
            all.push(start.with(key, value).expect("a setting"));
        }
        let last = *all.last().expect("some");
        all.push(last.with("low_band.gain_db", "18").expect("a setting"));
    }
    all
}

#[test]
fn the_low_end_keeps_its_labels_apart() {
    let sheet = ordinary();
    let beside = Beside {
        target: sheet.target.as_ref(),
        original: sheet.original.as_ref(),
        ..Beside::default()
    };
    for readings in readings() {
        for width in [300.0, 358.0, 480.0, 682.0, 1200.0] {
            let mut scene = Scene::new(width, 340.0, "");
            let rect = Rect::new(34.0, 4.0, width - 34.0, 300.0);
            low_end(&mut scene, rect, &readings, beside);
            no_label_lies_on_another(&scene);
        }
    }
}

#[test]
fn the_lane_keeps_its_labels_apart_at_every_corner_of_the_settings() {
    let readings = noise().readings;
    for settings in corners() {
        for (width, which) in [(358.0, Which::Acting), (682.0, Which::Acting), (682.0, Which::All)]
        {
            let mut scene = Scene::new(width, 290.0 + lane::HEIGHT, "");
            let rect = Rect::new(34.0, 4.0, width - 34.0, 260.0);
            let frame = low_end(&mut scene, rect, &readings, Beside::default()).expect("a picture");
            let top = rect.bottom() + 20.0;
            lane::draw(&mut scene, &frame, top, &settings, which);
            no_label_lies_on_another(&scene);
        }
    }
}

#[test]
fn the_bore_log_keeps_its_figures_apart() {
    let sheet = ordinary();
    for readings in readings() {
        for width in [330.0, 358.0, 434.0, 682.0] {
            let strata = Layers::thirds(&readings, 16.0, 1000.0);
            let mut scene = Scene::new(width, bore::height(&strata), "");
            bore::bore(&mut scene, (0.0, 0.0), width, &strata, sheet.target.as_ref());
            no_label_lies_on_another(&scene);
        }
    }
}

#[test]
fn the_tone_keeps_its_labels_apart() {
    for readings in readings() {
        let Some(partials) = readings.after.as_ref().and_then(|side| side.partials.as_ref()) else {
            continue;
        };
        for (width, height) in [(222.0, 158.0), (358.0, 210.0), (682.0, 260.0)] {
            for limit in [None, Some(0.001), Some(1e-9), Some(0.5)] {
                let mut scene = Scene::new(width, height, "");
                let rect = Rect::new(34.0, 4.0, width - 34.0, height - 40.0);
                beside::tone(&mut scene, rect, partials, limit);
                no_label_lies_on_another(&scene);
            }
        }
    }
}

#[test]
fn the_swings_keep_their_labels_apart() {
    for readings in readings() {
        let Some(scope) = &readings.scope else { continue };
        for (width, height) in [(222.0, 92.0), (358.0, 130.0), (682.0, 160.0)] {
            let mut scene = Scene::new(width, height, "");
            swings::swings(&mut scene, Rect::new(0.0, 2.0, width, height - 2.0), scope);
            no_label_lies_on_another(&scene);
        }
    }
}

#[test]
fn responses_keep_their_labels_apart() {
    let found = words_only().responses.expect("responses");
    for curves in 0..=found.curves.len() {
        let mut some = found.clone();
        some.curves.truncate(curves);
        for width in [300.0, 358.0, 682.0, 1200.0] {
            let mut scene = Scene::new(width, 300.0, "");
            let rect = Rect::new(34.0, 4.0, width - 34.0, 240.0);
            let drawn = responses::responses(&mut scene, rect, &some);
            assert_eq!(drawn.is_some(), curves > 0);
            no_label_lies_on_another(&scene);
        }
    }
}

#[test]
fn the_line_keeps_its_stations_apart_at_every_corner_of_the_settings() {
    let loud = noise().readings.before.level;
    for settings in corners() {
        let ends = || [End::given(Some(&loud)), End::out(Some(&loud))];
        let mut scene = Scene::new(682.0, line::HEIGHT, "");
        line::line(&mut scene, (0.0, 0.0), 682.0, &settings, ends());
        no_label_lies_on_another(&scene);
        let mut scene = Scene::new(358.0, line::HEIGHT_DOWN, "");
        line::line_down(&mut scene, (0.0, 0.0), &settings, ends());
        no_label_lies_on_another(&scene);
    }
}

#[test]
fn a_label_tries_above_below_left_right_and_is_then_dropped() {
    let frame = Rect::new(0.0, 0.0, 200.0, 100.0);
    let mut placer = Placer::new(frame);
    let mut scene = Scene::new(200.0, 100.0, "");
    let label = Label::new("dry", Role::Label, Ink::Text);
    let mut sides = Vec::new();
    while let Some(rect) = placer.set(&mut scene, &label, [(100.0, 50.0)], 8.0) {
        sides.push((rect.x + rect.width / 2.0 - 100.0, rect.y + rect.height / 2.0 - 50.0));
    }
    assert_eq!(sides.len(), 4);
    assert!(sides[0].1 < -4.0 && sides[0].0.abs() < 1e-9, "first above");
    assert!(sides[1].1 > 4.0 && sides[1].0.abs() < 1e-9, "then below");
    assert!(sides[2].0 < -4.0 && sides[2].1.abs() < 1e-9, "then left");
    assert!(sides[3].0 > 4.0 && sides[3].1.abs() < 1e-9, "then right");
}
