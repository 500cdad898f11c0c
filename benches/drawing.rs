//! What one picture of the low end and one whole report cost: the median of several
//! runs by the clock.
//!
//! `cargo bench --bench drawing`

use std::hint::black_box;
use std::time::Instant;

use underpin::plot::Scene;
use underpin::plot::low_end::{Beside, low_end};
use underpin::plot::scene::Rect;

#[allow(dead_code)]
#[path = "../tests/it/sheets.rs"]
mod sheets;

const ROUNDS: usize = 31;

fn main() {
    let sheet = sheets::ordinary();
    let readings = &sheet.runs[0].readings;
    for width in [720.0, 960.0, 1920.0] {
        median(&format!("the low end, {width} px"), || {
            let mut scene = Scene::new(width, 400.0, "");
            let rect = Rect::new(34.0, 4.0, width - 34.0, 360.0);
            low_end(&mut scene, rect, readings, Beside::default());
            black_box(&scene);
        });
    }
    median("a report in HTML", || {
        black_box(underpin::report::html(&sheet));
    });
}

fn median(what: &str, run: impl Fn()) {
    let mut times: Vec<f64> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            run();
            1e3 * start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!("{what:24} {:8.3} ms", times[ROUNDS / 2]);
}
