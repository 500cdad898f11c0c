//! How many times faster than the music a measurement runs, with and without the line
//! that it listens to: by the clock (the median of several runs), and by the time all its
//! threads took on processors (Linux), which a busy machine disturbs less.
//!
//! `cargo bench --bench measuring`

use std::hint::black_box;
use std::time::Instant;

use underpin::measure::{Ask, Measure};
use underpin::path::Path;
use underpin::settings::Settings;

const SECONDS: usize = 60;
const ROUNDS: usize = 3;
/// Samples handed over at a time, as a file reader would.
const BLOCK: usize = 4_096;

fn main() {
    for rate_hz in [48_000, 192_000] {
        let x: Vec<f32> = (0..SECONDS * rate_hz)
            .map(|i| (0.3 * (i as f64 * 0.01).sin() + 0.2 * (i as f64 * i as f64).sin()) as f32)
            .collect();
        let wide: Vec<f64> = x.iter().map(|x| f64::from(*x)).collect();
        let rate = rate_hz as f64;
        report(rate, "one stereo signal", || {
            let mut measure = Measure::new(rate, 2, &Ask::default());
            wide.chunks(BLOCK).for_each(|block| measure.push(&[block, block]));
            black_box(measure);
        });
        report(rate, "two signals and their transfer function", || {
            let ask = Ask { transfer: true, ..Ask::default() };
            let mut measure = Measure::new(rate, 2, &ask);
            wide.chunks(BLOCK).for_each(|b| measure.push_pair(&[b, b], &[b, b]));
            black_box(measure);
        });
        report(rate, "the line alone", || run(rate, &x, &mut ()));
        report(rate, "the line, before, inside and after", || {
            let mut measure = Measure::new(rate, 2, &Ask { strata: true, ..Ask::default() });
            run(rate, &x, &mut measure);
            black_box(measure);
        });
        let mut measure = Measure::new(rate, 2, &Ask { strata: true, ..Ask::default() });
        run(rate, &x, &mut measure);
        let start = Instant::now();
        black_box(measure.reading());
        println!("{rate:>7} Hz  one reading with the lines of a tone: {:.0?}", start.elapsed());
    }
}

fn run(rate: f64, x: &[f32], listener: &mut impl underpin::path::Listen) {
    let mut path = Path::new(rate, 2);
    path.set(&Settings::default());
    let (mut left, mut right) = (vec![0.0; BLOCK], vec![0.0; BLOCK]);
    for block in x.chunks(BLOCK) {
        let (left, right) = (&mut left[..block.len()], &mut right[..block.len()]);
        left.copy_from_slice(block);
        right.copy_from_slice(block);
        path.process(&mut [left, right], listener);
    }
    black_box((left, right));
}

fn report(rate: f64, name: &str, mut work: impl FnMut()) {
    let processors = processor_s();
    let mut times: Vec<f64> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    let speed = SECONDS as f64 / times[ROUNDS / 2];
    print!("{rate:>7} Hz  {name:<42} {speed:>5.0} × by the clock");
    if let (Some(start), Some(end)) = (processors, processor_s()) {
        print!(", {:>5.0} × on one processor", (SECONDS * ROUNDS) as f64 / (end - start));
    }
    println!();
}

/// Seconds this program has been on processors: Linux, where a tick is 10 ms.
fn processor_s() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/stat").ok()?;
    let fields: Vec<&str> = text.rsplit(')').next()?.split_whitespace().collect();
    let ticks = |field: usize| fields.get(field)?.parse::<f64>().ok();
    Some((ticks(11)? + ticks(12)?) / 100.0)
}
