//! How long the search and the reading of takes last: five minutes of stereo at 48 kHz with the
//! track in it over and over, the median of several runs by the clock.
//!
//! `cargo bench --bench captures`

use std::hint::black_box;
use std::time::Instant;

use underpin::planning::capture::Capture;
use underpin::planning::diagnose::diagnose;
use underpin::planning::take_reading::{Purpose, TakeReading};
use underpin::signal::track::Track;
use underpin::signal::track::layout::Form;

const RATE_HZ: u32 = 48_000;
const SECONDS: usize = 300;
const ROUNDS: usize = 3;
/// Samples handed over at a time, as a file reader would.
const BLOCK: usize = 4_096;

fn main() {
    let track = Track::new(Form::Short, 0, f64::from(RATE_HZ));
    let frames: Vec<[f64; 2]> = (0..track.samples()).map(|n| track.frame(n)).collect();
    let lane = |c: usize| -> Vec<f32> {
        (0..SECONDS * RATE_HZ as usize).map(|n| frames[n % frames.len()][c] as f32).collect()
    };
    let (left, right) = (lane(0), lane(1));
    let mut times: Vec<f64> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            let mut takes = Vec::new();
            let mut capture = Capture::new(RATE_HZ, 2).expect("a rate that serves");
            let mut keep = |take| {
                if let Ok(take) = take {
                    takes.push(TakeReading::new(&take, Purpose::Radio));
                }
            };
            for (l, r) in left.chunks(BLOCK).zip(right.chunks(BLOCK)) {
                capture.push(&[l, r], &mut keep);
            }
            capture.finish(&mut keep);
            black_box(diagnose(&takes, None));
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!("five minutes of stereo, diagnosed: {:.2} s", times[ROUNDS / 2]);
}
