//! Layers of the low end, held against closed forms.

use crate::sheets::{high_pass, noise, ordinary, peak, spectrum};
use underpin::curve::Curve;
use underpin::measure::layers::{Layers, asked};
use underpin::plot::axis::Frame;
use underpin::plot::low_end::{Beside, low_end};
use underpin::plot::responses::lets_go_hz;
use underpin::plot::scene::{Mark, Point, Rect};
use underpin::plot::{Cause, Fill, Scene};
use underpin::settings::Settings;

#[track_caller]
fn near(found: f64, wanted: f64, tolerance: f64) {
    assert!((found - wanted).abs() <= tolerance, "{found}, not {wanted}");
}

/// Noise with every stage a plain gain, so that every layer is known exactly.
fn plain_gains() -> underpin::measure::Readings {
    let mut readings = noise().readings;
    let pink = |times: f64| spectrum(move |hz| times * 1e-4 / hz);
    readings.before.spectrum = pink(1.0);
    let strata = readings.strata.as_mut().expect("layers");
    strata.dry = pink(1.0);
    strata.blend = pink(4.0);
    strata.low_band = pink(8.0);
    readings.after.as_mut().expect("an output").spectrum = pink(2.0);
    readings
}

#[test]
fn pink_noise_is_flat_in_bands_of_any_width() {
    // Pink noise has equal power per octave. Tolerance: a band at 16 Hz holds
    // four bins, whose sum differs from the integral by less than 0.02 dB.
    let readings = plain_gains();
    let wide = Layers::thirds(&readings, 16.0, 1000.0);
    let narrow = Layers::smoothed(&readings, 16.0, 1000.0, 200);
    for band in wide.bands.iter().chain(&narrow.bands) {
        near(band.given, 0.0, 0.02);
    }
}

#[test]
fn a_layer_is_as_high_as_the_decibels_its_stage_added() {
    // Power times 4, then times 2, then divided by 4: 6.02, 3.01 and -6.02 dB.
    let strata = Layers::smoothed(&plain_gains(), 16.0, 1000.0, 200);
    for band in &strata.bands {
        near(band.octave_added(), 10.0 * 4f64.log10(), 1e-9);
        near(band.low_band_added(), 10.0 * 2f64.log10(), 1e-9);
        near(band.out - band.low_band, -10.0 * 4f64.log10(), 1e-9);
    }
}

#[test]
fn the_layers_and_what_was_taken_add_up_to_what_comes_out() {
    let strata = Layers::thirds(&noise().readings, 16.0, 1000.0);
    for band in &strata.bands {
        let taken = band.out - band.low_band;
        near(band.dry + band.octave_added() + band.low_band_added() + taken, band.out, 1e-9);
    }
}

#[test]
fn bands_follow_the_closed_responses() {
    // Butterworth |H|^2 and the peaking band, averaged over the band on a logarithmic axis by
    // Simpson's rule. Tolerance: bins of 0.5 Hz against the integral.
    let strata = Layers::thirds(&noise().readings, 31.5, 1000.0);
    for band in &strata.bands {
        let middle_hz = 10f64.powf((10.0 * band.hz.log10()).round() / 10.0);
        let mean = |response: &dyn Fn(f64) -> f64| {
            let at = |i: i32| response(middle_hz * 10f64.powf(0.05 * f64::from(i) / 100.0));
            let weight = |i: i32| match i.abs() {
                100 => 1.0,
                i if i % 2 == 1 => 4.0,
                _ => 2.0,
            };
            (-100..=100).map(|i| weight(i) * at(i)).sum::<f64>() / 600.0
        };
        let given = mean(&|hz| high_pass(hz, 80.0, 4));
        near(band.given, 10.0 * given.log10(), 0.02);
        let source = |hz: f64| high_pass(hz, 50.0, 3) * (1.0 - high_pass(hz, 125.0, 3));
        let octave = |hz: f64| high_pass(2.0 * hz, 80.0, 4) * source(2.0 * hz);
        let blend = |hz: f64| high_pass(hz, 80.0, 4) + octave(hz);
        near(band.octave_added(), 10.0 * (mean(&blend) / given).log10(), 0.02);
        let lifted = mean(&|hz| blend(hz) * peak(hz, 38.0, 6.0, 1.2));
        near(band.low_band_added(), 10.0 * (lifted / mean(&blend)).log10(), 0.02);
    }
}

#[test]
fn nothing_is_asked_outside_the_target() {
    let sheet = ordinary();
    let target = sheet.target.as_ref();
    assert_eq!(asked(target, 20.0), None);
    assert_eq!(asked(target, 25.0), Some(0.5));
    assert_eq!(asked(target, 31.5).map(|db| db > 0.5 && db < 1.7), Some(true));
    assert_eq!(asked(target, 315.0), None);
    assert_eq!(asked(None, 40.0), None);
}

fn drawn(readings: &underpin::measure::Readings) -> (Scene, Frame) {
    let mut scene = Scene::new(700.0, 340.0, "test");
    let rect = Rect::new(40.0, 10.0, 650.0, 290.0);
    let frame = low_end(&mut scene, rect, readings, Beside::default()).expect("a picture");
    (scene, frame)
}

fn areas(scene: &Scene, wanted: Fill) -> Vec<&Vec<Point>> {
    let area = |mark| match mark {
        &Mark::Area { fill, ref points } if fill == wanted => Some(points),
        _ => None,
    };
    scene.marks.iter().filter_map(area).collect()
}

#[test]
fn the_drawn_layer_has_its_height_in_pixels() {
    // What comes out lies 3.01 dB above dry: the octave layer is cut there, no low band is left.
    let (scene, frame) = drawn(&plain_gains());
    let octave = areas(&scene, Fill::Slanted);
    assert_eq!(octave.len(), 1);
    let heights = octave[0].iter().map(|point| point.1);
    let (top, bottom) = heights.fold((f64::MAX, f64::MIN), |(t, b), y| (t.min(y), b.max(y)));
    let per_db = 290.0 / (frame.db.top_db - frame.db.bottom_db);
    // Tolerance: the ripple of the bins, 0.02 dB on each side.
    near(bottom - top, 3.0103 * per_db, 0.04 * per_db);
    assert!(areas(&scene, Fill::Upright).is_empty(), "a layer above what comes out");
}

#[test]
fn nothing_coloured_stands_above_what_comes_out() {
    let (scene, _) = drawn(&noise().readings);
    let out = scene.marks.iter().find_map(|mark| match mark {
        Mark::Line { cause: Cause::Out, points, .. } => Some(points),
        _ => None,
    });
    let out = out.expect("what comes out is drawn");
    for fill in [Fill::Slanted, Fill::Upright] {
        for (x, y) in areas(&scene, fill).into_iter().flatten() {
            let edge = out.iter().find(|point| (point.0 - x).abs() < 0.01);
            if let Some(edge) = edge {
                assert!(*y >= edge.1 - 0.01, "{fill:?} at {x} stands {} above", edge.1 - y);
            }
        }
    }
}

#[test]
fn a_short_stretch_is_open_at_the_bottom() {
    let mut readings = noise().readings;
    assert!(areas(&drawn(&readings).0, Fill::Dots).is_empty(), "two minutes settle all");
    readings.before.spectrum.averages = 6.0;
    let (scene, frame) = drawn(&readings);
    let dots = areas(&scene, Fill::Dots);
    let edge = dots[0].iter().map(|point| point.0).fold(0.0, f64::max);
    // sd = 4.343/sqrt(B T) dB (Bendat & Piersol); B = 0.1152 f for 1/6 octave; T = 6 blocks of
    // 2 s over 35/18, N·Σw⁴/(Σw²)² of Hann in closed form; sd = 1 dB at 26.5 Hz.
    let wanted = 4.3429f64.powi(2) / (0.11519 * 12.0 / (35.0 / 18.0));
    near(edge, frame.x(wanted), 1.0);
}

#[test]
fn the_radio_lets_go_at_its_corner() {
    // A Butterworth high-pass is 3.0103 dB down at its corner, so 3 dB down 0.06 % above it for
    // the 4th order. Tolerance: the curve is read on straight lines between 200 points.
    for corner_hz in [40.0, 80.0, 120.0] {
        let level = |hz: f64| 10.0 * high_pass(hz, corner_hz, 4).log10();
        let curve = Curve::sampled(16.0, 1000.0, 200, level);
        let found = lets_go_hz(&curve).expect("it lets go");
        near(found / corner_hz, 1.0006, 0.002);
    }
    assert_eq!(lets_go_hz(&Curve::new([(16.0, 0.0), (1000.0, 0.0)])), None);
}

#[test]
fn silence_and_nothing_give_no_picture() {
    for power in [vec![], vec![0.0; 4001]] {
        let mut readings = noise().readings;
        readings.before.spectrum.power = power;
        let mut scene = Scene::new(700.0, 340.0, "test");
        let rect = Rect::new(40.0, 10.0, 650.0, 290.0);
        assert!(low_end(&mut scene, rect, &readings, Beside::default()).is_none());
        assert!(scene.marks.is_empty());
    }
}

#[test]
fn a_mid_band_below_100_dbfs_an_octave_is_no_reference() {
    // A density of c/f holds c·ln 2 an octave: -99 and -101 dBFS are on either side.
    for (dbfs, refers) in [(-99.0, true), (-101.0, false)] {
        let c = 10f64.powf(dbfs / 10.0) / std::f64::consts::LN_2;
        let mut readings = plain_gains();
        readings.before.spectrum = spectrum(move |hz| c / hz);
        assert_eq!(!Layers::thirds(&readings, 16.0, 1000.0).is_empty(), refers, "{dbfs} dBFS");
    }
}

/// Every text of the low end, drawn beside something.
fn words_beside(readings: &underpin::measure::Readings, beside: Beside) -> Vec<String> {
    let mut scene = Scene::new(720.0, 340.0, "");
    low_end(&mut scene, Rect::new(34.0, 4.0, 680.0, 300.0), readings, beside).expect("a picture");
    let words = scene.marks.iter().filter_map(|mark| match mark {
        Mark::Text { words, .. } => Some(words.clone()),
        _ => None,
    });
    words.collect()
}

#[test]
fn an_outline_is_called_before_the_radio_only_where_that_is_known() {
    // Everything is cut by 12 dB, so the outline goes over the whole width.
    let mut readings = plain_gains();
    readings.after.as_mut().expect("an output").spectrum = spectrum(|hz| 0.06e-4 / hz);
    let words = words_beside(&readings, Beside::default());
    assert!(words.iter().any(|w| w == "taken out"), "{words:?}");
    assert!(!words.iter().any(|w| w == "before the radio"), "{words:?}");
    let original = Curve::sampled(16.0, 1000.0, 50, |_| 0.0);
    let known = Beside { original: Some(&original), ..Beside::default() };
    let words = words_beside(&readings, known);
    assert!(words.iter().any(|w| w == "before the radio"), "{words:?}");
}

#[test]
fn an_output_gain_moves_no_layer_and_is_said() {
    // The output gain of -6.02 dB of `plain_gains` is the only difference to what comes out of
    // the low band: drawn without it both lie on each other, and nothing is taken out.
    let gain = Settings { output_gain_db: -6.0206, ..Settings::default() };
    let words = words_beside(&plain_gains(), Beside::default().with(Some(&gain)));
    assert!(words.iter().any(|w| w == "comes out, drawn 6.0 dB up"), "{words:?}");
    assert!(!words.iter().any(|w| w == "taken out"), "{words:?}");
}

#[test]
fn what_is_bypassed_has_no_layers() {
    let mut readings = plain_gains();
    readings.after.as_mut().expect("an output").spectrum = readings.before.spectrum.clone();
    let bypass = Settings { bypass: true, ..Settings::default() };
    let words = words_beside(&readings, Beside::default().with(Some(&bypass)));
    assert!(words.iter().any(|w| w == "bypassed"), "{words:?}");
    assert!(!words.iter().any(|w| w == "taken out" || w == "octave part"), "{words:?}");
}
