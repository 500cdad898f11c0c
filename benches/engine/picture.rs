//! What the methods do, drawn as one SVG (`cargo bench --bench engine -- --pictures` writes
//! `docs/octave.svg`): a tone's spectrum with and without the mirror image, a recorded bass note,
//! a chord that is told apart, and a kick over a note.

use std::f64::consts::TAU;
use std::fmt::Write;

use realfft::RealFftPlanner;
use underpin::settings::Method;

use super::octave_goals::fit::{blackman_harris, db};
use super::octave_goals::onsets::rest_over_time;
use super::octave_goals::recorded::Recording;
use super::octave_goals::signals::{KICK, Kick, sampled, tone};
use super::octave_goals::{ANALYSIS_HZ, RATE_HZ, decimated, render};
use super::with;

/// A panel, in pixels.
const WIDTH: f64 = 380.0;
const HEIGHT: f64 = 180.0;

/// Styles of the source, of what is halved at once, and of what is tracked.
const SOURCE: &str = "stroke=\"#888\" stroke-dasharray=\"3 2\"";
const HALVED: &str = "stroke=\"#a50\"";
const TRACKED: &str = "stroke=\"#06c\" stroke-width=\"1.6\"";

/// A curve's points and its style.
type Curve = (Vec<[f64; 2]>, &'static str);

/// What is drawn on the axes `x` and `y`, with a line at each tick.
struct Panel {
    title: String,
    x: [f64; 2],
    y: [f64; 2],
    x_ticks: Vec<f64>,
    y_ticks: Vec<f64>,
    curves: Vec<Curve>,
}

impl Panel {
    /// The panel with its upper left corner at `at`.
    fn svg(&self, at: [f64; 2]) -> String {
        let share = |v: f64, [from, to]: [f64; 2]| ((v - from) / (to - from)).clamp(0.0, 1.0);
        let across = |x: f64| WIDTH * share(x, self.x);
        let down = |y: f64| HEIGHT * (1.0 - share(y, self.y));
        let mut svg = format!(
            "<g transform=\"translate({},{})\">\n<text y=\"-8\">{}</text>\n",
            at[0], at[1], self.title
        );
        for &tick in &self.x_ticks {
            let x = across(tick);
            let _ = writeln!(svg, "<path d=\"M{x:.0} 0V{HEIGHT}\" stroke=\"#ddd\"/>");
            let _ = writeln!(
                svg,
                "<text x=\"{x:.0}\" y=\"{}\" text-anchor=\"middle\">{tick}</text>",
                HEIGHT + 15.0
            );
        }
        for &tick in &self.y_ticks {
            let y = down(tick);
            let _ = writeln!(svg, "<path d=\"M0 {y:.0}H{WIDTH}\" stroke=\"#ddd\"/>");
            let _ = writeln!(
                svg,
                "<text x=\"-6\" y=\"{:.0}\" text-anchor=\"end\">{tick}</text>",
                y + 4.0
            );
        }
        for (points, style) in &self.curves {
            let points: Vec<String> =
                points.iter().map(|[x, y]| format!("{:.1},{:.1}", across(*x), down(*y))).collect();
            let _ =
                writeln!(svg, "<polyline fill=\"none\" {style} points=\"{}\"/>", points.join(" "));
        }
        svg + "</g>\n"
    }
}

/// The highest level of every pixel in dB re `reference`, up to `most_hz`.
fn spectrum(y: &[f64], rate_hz: f64, most_hz: f64, reference: &mut Option<f64>) -> Vec<[f64; 2]> {
    let window = blackman_harris(y.len());
    let mut input: Vec<f64> = y.iter().zip(&window).map(|(y, w)| y * w).collect();
    let transform = RealFftPlanner::new().plan_fft_forward(y.len());
    let mut bins = transform.make_output_vec();
    transform.process(&mut input, &mut bins).expect("matching lengths");
    let levels: Vec<f64> = bins.iter().map(|bin| db(bin.norm())).collect();
    let zero = *reference.get_or_insert(levels.iter().fold(-999.0, |a: f64, &b| a.max(b)));
    let pixel_hz = most_hz / WIDTH * 2.0;
    let mut pixels = vec![[0.0, -999.0f64]; (WIDTH / 2.0) as usize + 1];
    for (i, level) in levels.iter().enumerate() {
        let hz = i as f64 * rate_hz / y.len() as f64;
        if let Some(pixel) = pixels.get_mut((hz / pixel_hz) as usize) {
            *pixel = [hz, pixel[1].max(level - zero)];
        }
    }
    pixels.retain(|pixel| pixel[1] > -999.0);
    pixels
}

/// The source and what both methods make of it, from sample `from` on.
fn spectra(title: String, x: &[f64], rate_hz: f64, from: usize, least_db: f64) -> Panel {
    const MOST_HZ: f64 = 180.0;
    let mut reference = None;
    let mut curves = vec![(spectrum(&x[from..], rate_hz, MOST_HZ, &mut reference), SOURCE)];
    for (method, style) in [(Method::Halved, HALVED), (Method::Tracked, TRACKED)] {
        let y = render(&with(method), rate_hz, x);
        curves.push((spectrum(&y[from..], rate_hz, MOST_HZ, &mut reference), style));
    }
    let x_ticks = (0..=6).map(|i| 30.0 * f64::from(i)).collect();
    let y_ticks = (0..=4).map(|i| least_db + least_db / -4.0 * f64::from(i)).collect();
    Panel { title, x: [0.0, MOST_HZ], y: [least_db, 0.0], x_ticks, y_ticks, curves }
}

/// What is not on the halves of 50 and 80 Hz that start together.
fn told_apart() -> Panel {
    let curve = |method, style| {
        let rest = rest_over_time(&with(method), [50.0, 80.0]);
        (rest.into_iter().map(|(ms, rest_db)| [ms, rest_db]).collect(), style)
    };
    Panel {
        title: "50 + 80 Hz from 0 ms: rest beside the halves, dB, over ms".into(),
        x: [0.0, 500.0],
        y: [-100.0, 0.0],
        x_ticks: (0..=5).map(|i| 100.0 * f64::from(i)).collect(),
        y_ticks: (0..=4).map(|i| 25.0 * f64::from(i) - 100.0).collect(),
        curves: vec![curve(Method::Halved, HALVED), curve(Method::Tracked, TRACKED)],
    }
}

/// A kick over 82.4 Hz: the exact halves as late as `tracked` is, and both methods.
fn kick_over_note() -> Panel {
    const HIT_S: f64 = 1.5;
    let kick = Kick { amplitude: 0.5, ..KICK };
    let x = sampled(2.2, RATE_HZ, |t| 0.25 * (TAU * 82.4 * t).sin() + kick.at(t - HIT_S));
    let seen = |y: &[f64]| -> Vec<[f64; 2]> {
        let from = ((HIT_S - 0.1) * ANALYSIS_HZ) as usize;
        let last = y[from..].iter().take((0.5 * ANALYSIS_HZ) as usize).step_by(6);
        last.enumerate().map(|(i, &y)| [6e3 * i as f64 / ANALYSIS_HZ - 100.0, y]).collect()
    };
    let curve = |method, style| (seen(&decimated(&render(&with(method), RATE_HZ, &x))), style);
    Panel {
        title: "A kick over 82.4 Hz: the octave part, over ms after the hit".into(),
        x: [-100.0, 400.0],
        y: [-0.75, 0.75],
        x_ticks: (0..=5).map(|i| 100.0 * f64::from(i) - 100.0).collect(),
        y_ticks: vec![-0.5, 0.0, 0.5],
        curves: vec![curve(Method::Halved, HALVED), curve(Method::Tracked, TRACKED)],
    }
}

/// The picture; `note` is a recorded bass note.
pub(crate) fn drawn(note: &Recording) -> String {
    let image = spectra(
        "60 Hz held: dB re the source, over Hz".into(),
        &tone(0.5, 60.0, 6.0, RATE_HZ),
        RATE_HZ,
        2 * RATE_HZ as usize,
        -160.0,
    );
    let title = format!("{}, a recorded bass note: dB, over Hz", note.name);
    let note = spectra(title, &note.samples, note.rate_hz, 0, -80.0);
    let panels = [image.svg([40.0, 30.0]), note.svg([465.0, 30.0])].concat()
        + &[told_apart().svg([40.0, 270.0]), kick_over_note().svg([465.0, 270.0])].concat();
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 860 500\" font-family=\"sans-serif\" \
         font-size=\"11\">\n<rect width=\"860\" height=\"500\" fill=\"#fff\"/>\n{panels}\
         <text x=\"40\" y=\"490\">Grey, dashed: source. Brown: halved at once. Blue: tracked.</text>\n</svg>\n"
    )
}
