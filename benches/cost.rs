//! What each stage of the line costs, in nanoseconds per stereo frame, and
//! the whole path next to it, all in one run: the stages take turns, and the
//! median over the rounds is printed, so a busy machine disturbs all alike.
//!
//! `cargo bench --bench cost`

use std::hint::black_box;
use std::time::Instant;

use underpin::dsp::octave::resample::{self, Decimator, Interpolator};
use underpin::dsp::{ceiling::Ceiling, high_pass::HighPass, low_band::LowBand, octave::Octave};
use underpin::path::Path;
use underpin::settings::{Choice, Method, Settings};

const FRAMES: usize = 8_192;
const ROUNDS: usize = 201;

/// Work on a stretch of two channels, in place.
type Work = Box<dyn FnMut(&mut [f64], &mut [f64])>;

/// A named piece of work and what each round of it cost.
struct Stage {
    name: String,
    work: Work,
    ns: Vec<f64>,
}

fn stage(name: impl Into<String>, work: impl FnMut(&mut [f64], &mut [f64]) + 'static) -> Stage {
    Stage { name: name.into(), work: Box::new(work), ns: Vec::new() }
}

/// Settings with every stage at work.
fn busy() -> Settings {
    let with = |settings: Settings, key, text| settings.with(key, text).expect("setting");
    let settings = with(Settings::default(), "low_band.gain_db", "6");
    let settings = with(settings, "high_pass.order", "4");
    with(settings, "output.ceiling", "on")
}

fn stages(rate_hz: f64) -> Vec<Stage> {
    let settings = busy();
    let mut low_band = LowBand::new(rate_hz);
    let mut high_pass = HighPass::new(rate_hz);
    let mut ceiling = Ceiling::new(rate_hz);
    low_band.set(&settings);
    low_band.reset();
    high_pass.set(&settings);
    high_pass.reset();
    ceiling.set(&settings);
    ceiling.reset();
    let (dry, octave) = ([vec![0.1; FRAMES], vec![0.1; FRAMES]], vec![0.0; FRAMES]);
    let mut stages = vec![
        floor(rate_hz),
        stage("low band", move |left, right| {
            let dry = dry.each_ref().map(Vec::as_slice);
            low_band.process(dry, &octave, [left, right]);
        }),
        stage("high-pass, 4th order", move |left, right| high_pass.process(left, right)),
        stage("ceiling", move |left, right| ceiling.process(left, right)),
    ];
    stages.extend(Method::ALL.iter().map(|method| octave_part(*method, rate_hz)));
    stages.push(whole_path("whole path, as it starts", Settings::default(), rate_hz));
    stages.push(whole_path("whole path, every stage at work", settings, rate_hz));
    stages
}

/// What any octave part costs at least: down to the low rate, up again, and mixed in.
fn floor(rate_hz: f64) -> Stage {
    let ratio = resample::ratio(rate_hz);
    let (mut down, mut up) = (Decimator::new(ratio), Interpolator::new(ratio));
    let mut part = vec![0.0; ratio];
    stage("floor: decimate, interpolate, mix", move |left, right| {
        for (left, right) in left.chunks_exact_mut(ratio).zip(right.chunks_exact_mut(ratio)) {
            down.push(0, left, right);
            up.push(down.take()[0]);
            up.fill(0, &mut part);
            for ((l, r), x) in left.iter_mut().zip(right).zip(&part) {
                *l += x;
                *r += x;
            }
        }
    })
}

fn octave_part(method: Method, rate_hz: f64) -> Stage {
    let settings = Settings { octave_method: method, ..Settings::default() };
    let mut octave = Octave::new(rate_hz);
    octave.set(&settings);
    let mut out = vec![0.0; FRAMES];
    stage(format!("octave part, {}", method.word()), move |left, right| {
        octave.process(left, right, &mut out);
        black_box(&out);
    })
}

fn whole_path(name: &str, settings: Settings, rate_hz: f64) -> Stage {
    let mut path = Path::new(rate_hz, 2);
    path.set(&settings);
    let mut block = [vec![0f32; FRAMES], vec![0f32; FRAMES]];
    stage(name, move |left, right| {
        for (lane, samples) in block.iter_mut().zip([&*left, &*right]) {
            for (to, from) in lane.iter_mut().zip(samples) {
                *to = *from as f32;
            }
        }
        let [l, r] = &mut block;
        path.process(&mut [l, r], &mut ());
    })
}

/// Two low tones and an overtone, about -12 dBFS: what the line is for. Whole cycles, so that
/// every round goes on where the last one ended.
fn input(rate_hz: f64) -> Vec<f64> {
    let cycles = |hz: f64| (hz * FRAMES as f64 / rate_hz).round();
    let tone =
        |hz: f64, i: usize| (std::f64::consts::TAU * cycles(hz) * i as f64 / FRAMES as f64).sin();
    (0..FRAMES).map(|i| 0.12 * (tone(55.0, i) + tone(82.4, i)) + 0.02 * tone(1_000.0, i)).collect()
}

fn main() {
    for rate_hz in [48_000.0, 192_000.0] {
        let input = input(rate_hz);
        let mut stages = stages(rate_hz);
        for _ in 0..ROUNDS {
            for stage in &mut stages {
                let (mut left, mut right) = (input.clone(), input.clone());
                let start = Instant::now();
                (stage.work)(&mut left, &mut right);
                stage.ns.push(start.elapsed().as_secs_f64() * 1e9 / FRAMES as f64);
                black_box((left, right));
            }
        }
        println!(
            "{rate_hz} Hz: ns per stereo frame, median of {ROUNDS}; re the floor; of real time"
        );
        let mut floor = None;
        for stage in &mut stages {
            stage.ns.sort_by(f64::total_cmp);
            let median = stage.ns[ROUNDS / 2];
            let re_floor = median / *floor.get_or_insert(median);
            let share = median * rate_hz * 1e-7;
            println!("  {:34} {median:7.2} {re_floor:6.1} ×   {share:.4} %", stage.name);
        }
    }
}
