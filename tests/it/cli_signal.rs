//! `signal`: every option reaches the file; levels are those of AES17.

use std::f64::consts::TAU;

use crate::program::Bench;

fn left(samples: &[f32]) -> Vec<f32> {
    samples.iter().step_by(2).copied().collect()
}

fn right(samples: &[f32]) -> Vec<f32> {
    samples.iter().skip(1).step_by(2).copied().collect()
}

#[track_caller]
fn check_close(samples: &[f32], expected: impl Fn(f64) -> f64) {
    for (n, sample) in samples.iter().enumerate() {
        let expected = expected(n as f64);
        // f32 keeps 24 bits of samples below 1: half a step is 2^-25.
        assert!(
            (f64::from(*sample) - expected).abs() < 6e-8,
            "sample {n}: {sample}, not {expected}"
        );
    }
}

#[test]
fn a_tone_is_the_sine_of_its_formula_at_its_level() {
    let bench = Bench::new();
    bench.does("signal tone --hz 40 --level -6 --seconds 0.5 --rate 44100 -o t.wav");
    let samples = bench.read_wav("t.wav");
    assert_eq!(samples.len(), 2 * 22_050);
    assert_eq!(left(&samples), right(&samples));
    // AES17: the peak of a sine of L dBFS is 10^(L/20).
    check_close(&left(&samples), |n| 10f64.powf(-6.0 / 20.0) * (TAU * 40.0 * n / 44_100.0).sin());
}

#[test]
fn tones_add_up() {
    let bench = Bench::new();
    bench.does("signal tones --hz 55 --hz 82.4 --level -20 --seconds 0.2 -o t.wav");
    let of = |hz: f64, n: f64| 0.1 * (TAU * hz * n / 48_000.0).sin();
    check_close(&left(&bench.read_wav("t.wav")), |n| of(55.0, n) + of(82.4, n));
}

#[test]
fn a_sweep_is_that_of_its_formula() {
    let bench = Bench::new();
    bench.does("signal sweep --from 20 --to 200 --level -20 --seconds 1 -o s.wav");
    // Farina (AES 108th Convention, 2000): sin(2π f1 L (e^(t/L) - 1)), L = T / ln(f2/f1).
    let l = 1.0 / 10f64.ln();
    check_close(&left(&bench.read_wav("s.wav")), |n| {
        0.1 * (TAU * 20.0 * l * ((n / 48_000.0 / l).exp() - 1.0)).sin()
    });
}

#[test]
fn pink_noise_has_its_level_over_a_period_and_repeats() {
    let bench = Bench::new();
    bench.does("signal pink --level -20 --period 1 --seconds 2 -o p.wav");
    let samples = left(&bench.read_wav("p.wav"));
    assert_eq!(samples[..48_000], samples[48_000..]);
    let square = |x: &f32| f64::from(*x).powi(2);
    let mean_square = samples[..48_000].iter().map(square).sum::<f64>() / 48_000.0;
    // AES17: 0 dBFS r.m.s. is a mean square of 1/2.
    let level = 10.0 * (2.0 * mean_square).log10();
    assert!((level + 20.0).abs() < 1e-4, "{level} dBFS: rounding to f32 moves it by less");
}

#[test]
fn bursts_and_kicks_come_again_and_stay_below_their_level() {
    let bench = Bench::new();
    for kind in ["burst --cycles 4", "kick"] {
        bench.does(&format!(
            "signal {kind} --hz 60 --every 1.5 --level -12 --seconds 3 -o b.wav -f"
        ));
        let samples = left(&bench.read_wav("b.wav"));
        let (first, second) = samples.split_at(72_000);
        assert_eq!(first, second, "{kind}");
        let peak = first.iter().fold(0f32, |peak, x| peak.max(x.abs()));
        let level = 10f32.powf(-12.0 / 20.0);
        // An envelope of less than two cycles at its top costs a kick some of its peak.
        assert!(peak <= level && peak > 0.5 * level, "{kind}: {peak}");
    }
}

#[test]
fn silence_is_exact_zeros() {
    let bench = Bench::new();
    bench.does("signal silence --seconds 0.1 -o s.wav");
    assert_eq!(bench.read_wav("s.wav"), vec![0.0; 9600]);
}

#[test]
fn channels_play_as_told() {
    let bench = Bench::new();
    let play = |channels: &str| {
        bench.does(&format!("signal tone --seconds 0.1 --channels {channels} -o c.wav --force"));
        bench.read_wav("c.wav")
    };
    let (tone, silence) = (play("mono"), vec![0.0; 4800]);
    let turned: Vec<f32> = tone.iter().map(|x| -x).collect();
    for (channels, l, r) in [
        ("both", &tone, &tone),
        ("left", &tone, &silence),
        ("right", &silence, &tone),
        ("opposite", &tone, &turned),
    ] {
        let samples = play(channels);
        assert_eq!((&left(&samples), &right(&samples)), (l, r), "{channels}");
    }
}

#[test]
fn the_same_seed_gives_the_same_file_and_another_one_another() {
    let bench = Bench::new();
    for (name, args) in [("a", "--seed 7"), ("b", "--seed 7"), ("c", "--seed 8")] {
        bench.does(&format!("signal pink --seconds 1 --format 16 {args} -o {name}.wav"));
    }
    assert_eq!(bench.read("a.wav"), bench.read("b.wav"));
    assert_ne!(bench.read("a.wav"), bench.read("c.wav"));
}

#[test]
fn fades_begin_and_end_at_nothing() {
    let bench = Bench::new();
    bench.does("signal tone --hz 1000 --fade 0.05 --seconds 0.5 -o f.wav");
    let samples = left(&bench.read_wav("f.wav"));
    let peak =
        |range: std::ops::Range<usize>| samples[range].iter().fold(0f32, |p, x| p.max(x.abs()));
    let full = peak(10_000..14_000);
    assert!(peak(0..48) < 0.01 * full && peak(23_952..24_000) < 0.01 * full);
    assert!((peak(2400..21_600) / full - 1.0).abs() < 1e-6);
}

#[test]
fn a_pipe_gives_the_same_samples_as_a_file() {
    let bench = Bench::new();
    bench.does("signal kick --seconds 0.5 -o k.wav");
    let piped = bench.does("signal kick --seconds 0.5 -o -");
    assert_eq!(crate::program::wav_samples(&piped.out), bench.read_wav("k.wav"));
}

#[test]
fn impossible_signals_are_refused_and_leave_nothing() {
    let bench = Bench::new();
    bench.fails("signal tone --hz 24000 -o x.wav", 2, &["24000"]);
    bench.fails("signal tone --level 1 -o x.wav", 2, &["full scale"]);
    bench.fails("signal tone --seconds -1 -o x.wav", 2, &["--seconds"]);
    bench.fails("signal pink --hz 40 -o x.wav", 2, &["--hz"]);
    bench.fails("signal pink --period 1e9 -o x.wav", 2, &["--period"]);
    bench.fails("signal sweep --from 100 --to 50 -o x.wav", 2, &["50"]);
    bench.fails("signal tone", 2, &["--output"]);
    bench.fails("signal tine -o x.wav", 2, &["tone"]);
    assert!(bench.names().is_empty(), "{:?}", bench.names());
}
