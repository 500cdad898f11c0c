//! Clipping is seen where it is, and nowhere else.

use std::f64::consts::{PI, TAU};

use underpin::analysis::clipping::{Clipping, Detector};
use underpin::signal::random::Random;

const RATES: [f64; 4] = [44_100.0, 48_000.0, 96_000.0, 192_000.0];

fn gain(db: f64) -> f64 {
    10f64.powf(db / 20.0)
}

/// Two seconds of a sine.
fn sine(hz: f64, level_db: f64, fs: f64) -> Vec<f64> {
    (0..2 * fs as usize).map(|n| gain(level_db) * (TAU * hz * n as f64 / fs).sin()).collect()
}

/// Two seconds of a sine driven above full scale and cut there.
fn overdriven(hz: f64, overdrive_db: f64, fs: f64) -> Vec<f64> {
    sine(hz, overdrive_db, fs).into_iter().map(|x| x.clamp(-1.0, 1.0)).collect()
}

/// How samples are stored.
#[derive(Clone, Copy, Debug)]
enum Store {
    Bits16,
    Dithered16,
    Bits24,
    Float,
}

const STORES: [Store; 4] = [Store::Bits16, Store::Dithered16, Store::Bits24, Store::Float];

/// The samples as they come back from a file.
fn stored(samples: &[f64], store: Store) -> Vec<f64> {
    let mut random = Random::new(1);
    let mut whole = |x: f64, scale: f64, dither: f64| {
        let triangle = dither * (random.unit() + random.unit() - 1.0);
        (x * scale + triangle).round().clamp(-scale, scale - 1.0) / scale
    };
    let mut back = |x: f64| match store {
        Store::Bits16 => whole(x, 32_768.0, 0.0),
        Store::Dithered16 => whole(x, 32_768.0, 1.0),
        Store::Bits24 => whole(x, 8_388_608.0, 0.0),
        Store::Float => f64::from(x as f32),
    };
    samples.iter().map(|x| back(*x)).collect()
}

fn reading(samples: &[f64], fs: f64) -> Clipping {
    let mut detector = Detector::new(fs, 1);
    detector.push(&[samples]);
    detector.reading()
}

#[track_caller]
fn clean(samples: &[f64], fs: f64, what: &str) {
    assert_eq!(reading(samples, fs), Clipping::default(), "{what} at {fs} Hz");
}

#[test]
fn a_clean_full_scale_low_tone_is_not_clipped() {
    // Its longest run that rounds to 16-bit full scale is 17 samples at 20 Hz and 192 kHz (numpy).
    for fs in RATES {
        for hz in [10.0, 20.0, 31.7, 40.0, 80.0, 1000.0] {
            for store in STORES {
                clean(&stored(&sine(hz, 0.0, fs), store), fs, &format!("{hz} Hz {store:?}"));
            }
        }
    }
}

#[test]
fn the_warning_comes_on_with_the_first_tenth_of_a_decibel() {
    // 0.25 dB of overdrive is 1 % of distortion, 0.1 dB a third of a per cent (closed form of a
    // hard-clipped sine): the warning must be on by then, at every period's two tops.
    for fs in RATES {
        for hz in [20.0, 40.0, 80.0] {
            for overdrive_db in [0.05, 0.1, 0.25, 1.0, 6.0] {
                for store in STORES {
                    let got = reading(&stored(&overdriven(hz, overdrive_db, fs), store), fs);
                    let what = format!("{hz} Hz +{overdrive_db} dB {store:?} at {fs} Hz: {got:?}");
                    assert_eq!(got.digital_runs, 2 * 2 * hz as u64, "{what}");
                    assert_eq!(got.flat_runs, 0, "{what}");
                }
            }
        }
    }
}

#[test]
fn the_first_event_is_where_the_first_top_is_cut() {
    // 40 Hz with 1 dB of overdrive reaches full scale at asin(0.891251)/(2π·40) = 4.372 ms.
    let got = reading(&overdriven(40.0, 1.0, 48_000.0), 48_000.0);
    let first_s = got.first_s.expect("an event");
    // Within three samples: what is within two 16-bit steps of the top counts with it.
    assert!((first_s - gain(-1.0).asin() / (TAU * 40.0)).abs() < 3.0 / 48_000.0, "{first_s}");
}

#[test]
fn a_full_scale_square_is_clipped() {
    for fs in RATES {
        let square = |n: usize| if (n as f64 * 40.0 / fs).fract() < 0.5 { 1.0 } else { -1.0 };
        let got = reading(&(0..2 * fs as usize).map(square).collect::<Vec<_>>(), fs);
        // 160 tops less the first, whose start was not heard, and the last, whose end was not.
        assert!((157..=159).contains(&got.digital_runs), "{got:?}");
        // Gibbs: band-limited, its edges overshoot by 1.43 dB.
        assert!(got.inter_sample_overs > 150, "{got:?}");
    }
}

#[test]
fn what_was_clipped_before_a_gain_is_seen_as_flat() {
    for fs in RATES {
        for store in STORES {
            for overdrive_db in [0.25, 3.0] {
                let turned_down: Vec<f64> =
                    overdriven(40.0, overdrive_db, fs).iter().map(|x| gain(-6.0) * x).collect();
                let got = reading(&stored(&turned_down, store), fs);
                let what = format!("+{overdrive_db} dB {store:?} at {fs} Hz: {got:?}");
                assert_eq!((got.digital_runs, got.flat_runs), (0, 160), "{what}");
                let flat_dbfs = got.flat_dbfs.expect("a level");
                // Two steps of 16 bits at −6 dBFS are 0.001 dB.
                assert!((flat_dbfs + 6.0).abs() < 0.002, "{what}");
                assert_eq!(got.inter_sample_overs, 0, "{what}");
            }
        }
    }
}

#[test]
fn a_clean_tone_below_full_scale_is_not_flat() {
    for fs in RATES {
        for level_db in [-0.1, -6.0, -20.0, -60.0] {
            for store in STORES {
                clean(&stored(&sine(20.0, level_db, fs), store), fs, &format!("{level_db} dB"));
            }
        }
    }
}

#[test]
fn tops_as_flat_as_a_tone_and_its_third_harmonic_make_them_are_smooth() {
    // sin x + sin(3x)/9 has no curvature at its tops: they are 8/9 - t^4/3 (its Taylor series).
    for fs in RATES {
        for hz in [20.0, 40.0, 100.0] {
            let flat = |n: usize| {
                let x = TAU * hz * n as f64 / fs;
                0.5 * (x.sin() + (3.0 * x).sin() / 9.0)
            };
            let signal: Vec<f64> = (0..2 * fs as usize).map(flat).collect();
            for store in STORES {
                clean(&stored(&signal, store), fs, &format!("flat tops, {hz} Hz {store:?}"));
            }
        }
    }
}

#[test]
fn one_flat_top_alone_is_a_coincidence_and_two_are_none() {
    // A clean tone with one or two of its tops cut at half of full scale.
    for (cut, told) in [(1, 0), (2, 2)] {
        let mut tone: Vec<f64> = sine(40.0, -12.0, 48_000.0);
        for top in 0..cut {
            let from = 1200 * (10 + top);
            for x in &mut tone[from..from + 600] {
                *x = (3.0 * *x).min(0.5);
            }
        }
        let got = reading(&tone, 48_000.0);
        assert_eq!((got.digital_runs, got.flat_runs), (0, told), "{cut}: {got:?}");
    }
}

#[test]
fn a_clip_of_one_polarity_is_counted_once_a_period() {
    let cut: Vec<f64> = sine(40.0, 1.0, 48_000.0).iter().map(|x| 0.5 * x.min(1.0)).collect();
    let got = reading(&cut, 48_000.0);
    assert_eq!((got.digital_runs, got.flat_runs), (0, 80));
}

#[test]
fn smooth_and_noisy_signals_are_clean() {
    let fs = 48_000.0;
    let mut random = Random::new(11);
    let noise: Vec<f64> = (0..96_000).map(|_| 0.5 * (2.0 * random.unit() - 1.0)).collect();
    clean(&noise, fs, "white noise");
    // sin + sin³/9: the flattest top two lines can make.
    let flattest = |n: usize| {
        let a = TAU * 20.0 * n as f64 / fs;
        0.9 * (a.sin() + (3.0 * a).sin() / 9.0)
    };
    clean(&(0..96_000).map(flattest).collect::<Vec<_>>(), fs, "a flat top");
    let beat = |n: usize| {
        let t = n as f64 / fs;
        0.5 * ((TAU * 40.0 * t).sin() + (TAU * 41.3 * t).sin())
    };
    clean(&(0..96_000).map(beat).collect::<Vec<_>>(), fs, "a beat");
    clean(&[0.0; 96_000], fs, "silence");
    clean(&[0.25; 96_000], fs, "a mean value alone");
    let stepped: Vec<f64> = (0..96_000).map(|n| if n < 40_000 { 0.0 } else { 0.5 }).collect();
    clean(&stepped, fs, "one step");
}

#[test]
fn a_tone_between_the_samples_goes_above_full_scale() {
    // A quarter of the sample rate at 45°: samples read 3.01 dB below the true peak (BS.1770).
    for fs in RATES {
        let tone = |level_db: f64| -> Vec<f64> {
            (0..9600).map(|n| gain(level_db) * (PI * (n as f64 / 2.0 + 0.25)).sin()).collect()
        };
        for over_db in [0.05, 0.4, 1.0] {
            let over = reading(&tone(over_db), fs);
            assert!(over.inter_sample_overs > 4000, "+{over_db} dB: {over:?}");
            assert_eq!((over.digital_runs, over.flat_runs), (0, 0));
        }
        clean(&tone(-0.1), fs, "a tone just below");
    }
}

#[test]
fn block_size_does_not_change_the_reading() {
    let left = overdriven(40.0, 0.5, 48_000.0);
    let right: Vec<f64> = left.iter().map(|x| 0.3 * x).collect();
    let mut whole = Detector::new(48_000.0, 2);
    whole.push(&[&left, &right]);
    for size in [1, 7, 64, 4801] {
        let mut parts = Detector::new(48_000.0, 2);
        for (left, right) in left.chunks(size).zip(right.chunks(size)) {
            parts.push(&[left, right]);
        }
        assert_eq!(parts.reading(), whole.reading(), "blocks of {size}");
    }
    assert!(whole.reading().digital_runs == 160 && whole.reading().flat_runs == 160);
}

#[test]
fn a_wave_that_is_struck_and_dies_away_is_not_clipped() {
    // Ten strikes a second to one height, which halves in 0.29 s: the top is broken on one side only.
    let fs = 48_000.0;
    let struck: Vec<f64> =
        (0..96_000).map(|n| 0.5 * (-f64::from(n % 4_800) / 20_000.0).exp()).collect();
    clean(&struck, fs, "a struck wave");
}
