//! What each preset does to five recordings, as figures (`cargo bench --bench engine -- --presets`).

use realfft::RealFftPlanner;
use underpin::path::Path;
use underpin::presets::{self, Preset};
use underpin::settings::{Hear, Settings};

use super::octave_goals::fit::db;
use super::octave_goals::recorded::Recording;
use super::recordings::load;

/// Two drums, two bass notes and a drone.
const RECORDINGS: [&str; 5] =
    ["bd_haus", "drum_bass_hard", "bass_woodsy_c", "bass_thick_c", "loop_drone_g_97"];
/// Where most car radios have taken the bass out, and where octave notes go.
const LOW_HZ: [f64; 2] = [20.0, 50.0];
const ABOVE_HZ: [f64; 2] = [50.0, 120.0];

/// A recording through the line, with half a second for what rings on.
fn through(settings: &Settings, recording: &Recording) -> Vec<f64> {
    let mut path = Path::new(recording.rate_hz, 1);
    path.set(settings);
    let silence = vec![0.0; (0.5 * recording.rate_hz) as usize];
    let mut x: Vec<f32> =
        recording.samples.iter().chain(&silence).map(|x| 0.25 * *x as f32).collect();
    path.process(&mut [&mut x], &mut ());
    x.iter().map(|x| f64::from(*x)).collect()
}

/// The power of `y` between two frequencies.
fn power(y: &[f64], rate_hz: f64, [from, to]: [f64; 2]) -> f64 {
    let mut input = y.to_vec();
    let transform = RealFftPlanner::new().plan_fft_forward(y.len());
    let mut bins = transform.make_output_vec();
    transform.process(&mut input, &mut bins).expect("matching lengths");
    let hz = |i: usize| i as f64 * rate_hz / y.len() as f64;
    let within = bins.iter().enumerate().filter(|(i, _)| (from..to).contains(&hz(*i)));
    within.map(|(_, bin)| bin.norm_sqr()).sum()
}

/// What the preset adds below 50 Hz and above, the output gain apart, in dB.
fn added(preset: &Preset, recording: &Recording) -> [f64; 2] {
    let settings = Settings { listen: Hear::Blend, output_gain_db: 0.0, ..preset.settings };
    let untouched = Settings { bypass: true, ..Settings::default() };
    let [with, without] = [settings, untouched].map(|s| through(&s, recording));
    [LOW_HZ, ABOVE_HZ].map(|band| {
        let of = |y: &[f64]| power(y, recording.rate_hz, band);
        0.5 * db(of(&with) / of(&without).max(1e-30))
    })
}

/// Prints the table.
pub(crate) fn print() {
    let recordings = RECORDINGS.map(|name| load(name).expect("recordings: `cargo xtask data`"));
    println!("dB added at 20 to 50 Hz / 50 to 120 Hz, output gain apart");
    println!("| | {} |", RECORDINGS.join(" | "));
    println!("|{}", "---|".repeat(RECORDINGS.len() + 1));
    for preset in presets::all() {
        let cells = recordings.each_ref().map(|recording| {
            let [low, above] = added(&preset, recording);
            format!("{low:+.1} / {above:+.1}")
        });
        println!("| {} | {} |", preset.name, cells.join(" | "));
    }
}
