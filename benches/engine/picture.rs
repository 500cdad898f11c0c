//! Spectra of sources and of what the methods make of them, as a small SVG
//! (`cargo bench --bench engine -- --pictures` writes `docs/octave-spectra.svg`).

use std::fmt::Write;

use realfft::RealFftPlanner;
use underpin::settings::Method;

use super::octave_goals::fit::{blackman_harris, db};
use super::octave_goals::recorded::Recording;
use super::octave_goals::signals::pair;
use super::octave_goals::{RATE_HZ, render};
use super::with;

/// A panel, in pixels, and what it spans.
const WIDTH: f64 = 380.0;
const HEIGHT: f64 = 200.0;
const MOST_HZ: f64 = 180.0;
const LEAST_DB: f64 = -90.0;

/// Levels in dB re the source's strongest line, up to the highest frequency.
fn spectrum(y: &[f64], rate_hz: f64, reference: &mut Option<f64>) -> Vec<(f64, f64)> {
    let window = blackman_harris(y.len());
    let mut input: Vec<f64> = y.iter().zip(&window).map(|(y, w)| y * w).collect();
    let transform = RealFftPlanner::new().plan_fft_forward(y.len());
    let mut bins = transform.make_output_vec();
    transform.process(&mut input, &mut bins).expect("matching lengths");
    let hz = |i: usize| i as f64 * rate_hz / y.len() as f64;
    let shown = bins.iter().enumerate().take_while(|(i, _)| hz(*i) <= MOST_HZ);
    let levels: Vec<(f64, f64)> = shown.map(|(i, bin)| (hz(i), db(bin.norm()))).collect();
    let most = levels.iter().fold(-999.0, |a: f64, level| a.max(level.1));
    let zero = *reference.get_or_insert(most);
    levels.iter().map(|(hz, level)| (*hz, level - zero)).collect()
}

/// The highest level within every pixel, as a path.
fn path(levels: &[(f64, f64)], style: &str) -> String {
    let mut columns = vec![LEAST_DB; WIDTH as usize + 1];
    for (hz, level) in levels {
        let column = &mut columns[(hz / MOST_HZ * WIDTH) as usize];
        *column = column.max(*level);
    }
    let points = columns
        .iter()
        .enumerate()
        .filter(|(i, _)| i % 2 == 0)
        .map(|(i, level)| format!("{i},{:.0}", HEIGHT * level.clamp(LEAST_DB, 0.0) / LEAST_DB));
    let points: Vec<String> = points.collect();
    format!("<polyline fill=\"none\" {style} points=\"{}\"/>\n", points.join(" "))
}

/// The source dashed, the whole-band halves thin, the tracked halves thick.
fn panel(left: f64, title: &str, x: &[f64], rate_hz: f64, from: usize) -> String {
    let mut svg =
        format!("<g transform=\"translate({left},30)\">\n<text y=\"-12\">{title}</text>\n");
    for hz in [0, 30, 60, 90, 120, 150, 180] {
        let at = f64::from(hz) / MOST_HZ * WIDTH;
        let _ = writeln!(svg, "<path d=\"M{at:.0} 0V{HEIGHT}\" stroke=\"#ddd\"/>");
        let _ = writeln!(svg, "<text x=\"{at:.0}\" y=\"216\" text-anchor=\"middle\">{hz}</text>");
    }
    for level in [0, -30, -60, -90] {
        let at = HEIGHT * f64::from(level) / LEAST_DB;
        let _ = writeln!(svg, "<path d=\"M0 {at:.0}H{WIDTH}\" stroke=\"#ddd\"/>");
        let _ = writeln!(
            svg,
            "<text x=\"-6\" y=\"{:.0}\" text-anchor=\"end\">{level}</text>",
            at + 4.0
        );
    }
    let mut reference = None;
    svg += &path(
        &spectrum(&x[from..], rate_hz, &mut reference),
        "stroke=\"#999\" stroke-dasharray=\"3 2\"",
    );
    for (method, style) in [
        (Method::Halved, "stroke=\"#a50\""),
        (Method::Tracked, "stroke=\"#06c\" stroke-width=\"2\""),
    ] {
        let y = render(&with(method), rate_hz, x);
        svg += &path(&spectrum(&y[from..], rate_hz, &mut reference), style);
    }
    svg + "</g>\n"
}

/// The picture: two tones, and a recorded bass note.
pub(crate) fn spectra(note: &Recording) -> String {
    let mut svg = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 860 275\" font-family=\"sans-serif\" \
         font-size=\"11\">\n<rect width=\"860\" height=\"275\" fill=\"#fff\"/>\n",
    );
    let tones = pair([50.0, 80.0], [0.25; 2], 6.0);
    svg += &panel(40.0, "50 Hz and 80 Hz held", &tones, RATE_HZ, 2 * RATE_HZ as usize);
    let title = format!("{}, a recorded bass note", note.name);
    svg += &panel(460.0, &title, &note.samples, note.rate_hz, 0);
    svg += "<text x=\"40\" y=\"266\">Hz, dB re the strongest line of the source. \
            Grey, dashed: source. Brown: halved at once. Blue: tracked.</text>\n</svg>\n";
    svg
}
