//! The promises of the signal path: what it leaves alone, and what it survives.

use crate::line::{amplitude_db, noise, peak, render, settings, sine};
use underpin::path::{Listen, Path, Tap};
use underpin::settings::Settings;

const RATE: f64 = 48_000.0;

/// Settings that put every stage to work.
fn busy() -> Settings {
    settings(&[
        ("input.trim_db", "-3"),
        ("octave.level_db", "0"),
        ("low_band.gain_db", "8"),
        ("high_pass.order", "4"),
        ("output.gain_db", "6"),
        ("output.ceiling", "on"),
    ])
}

#[test]
fn bypass_is_the_input_bit_for_bit() {
    let bypass = busy().with("bypass", "on").expect("setting");
    let mut input = noise(0.9, 48_000, 1);
    input[7] = -0.0;
    let out = render(&bypass, RATE, &input);
    assert!(input.iter().zip(&out).all(|(a, b)| a.to_bits() == b.to_bits()));
}

#[test]
fn with_nothing_added_the_dry_part_is_untouched() {
    let dry = settings(&[("octave.level_db", "off")]);
    let input = noise(0.9, 48_000, 2);
    assert_eq!(render(&dry, RATE, &input), input);
}

#[test]
fn block_size_does_not_change_one_sample() {
    let steps =
        [busy(), settings(&[("low_band.centre_hz", "90")]), settings(&[("listen", "octave")])];
    let left = noise(0.5, 30_000, 3);
    let right = sine(0.5, 61.0, RATE, 30_000.0 / RATE);
    let run = |sizes: &[usize]| {
        let mut path = Path::new(RATE, 2);
        let mut out = [left.clone(), right.clone()];
        let mut sizes = sizes.iter().cycle();
        for (i, settings) in steps.iter().enumerate() {
            path.set(settings);
            let mut at = i * 10_000;
            while at < (i + 1) * 10_000 {
                let end = (i + 1) * 10_000;
                let end = end.min(at + sizes.next().expect("cycle"));
                let [l, r] = &mut out;
                path.process(&mut [&mut l[at..end], &mut r[at..end]], &mut ());
                at = end;
            }
        }
        out
    };
    let whole = run(&[10_000]);
    for sizes in [&[1usize][..], &[64], &[127, 1, 500, 33], &[4096]] {
        assert!(run(sizes) == whole, "blocks of {sizes:?} sound different");
    }
}

#[test]
fn mono_is_the_left_of_two_equal_channels() {
    let input = noise(0.5, 20_000, 4);
    let mut path = Path::new(RATE, 2);
    path.set(&busy());
    let (mut left, mut right) = (input.clone(), input.clone());
    path.process(&mut [&mut left, &mut right], &mut ());
    assert_eq!(render(&busy(), RATE, &input), left);
    assert_eq!(left, right);
}

#[test]
fn bad_samples_are_heard_as_silence() {
    let bad = [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, 1e30, -1e30, 1e-40];
    let mut spoilt = sine(0.5, 60.0, RATE, 2.0);
    let mut silent = spoilt.clone();
    for i in 24_000..48_000 {
        spoilt[i] = bad[i % bad.len()];
        silent[i] = 0.0;
    }
    let out = render(&busy(), RATE, &spoilt);
    assert!(out.iter().all(|x| x.is_finite()));
    assert_eq!(out, render(&busy(), RATE, &silent));
}

#[test]
fn fifty_milliseconds_after_the_last_bad_sample_all_is_normal() {
    // 20 ms of bad samples in the middle of a tone; 50 ms later the dry tone in its band is the
    // undisturbed one within 5 % of its peak. (The octave part is off: it needs its onset.)
    let band = settings(&[("octave.level_db", "off"), ("low_band.gain_db", "6")]);
    let clean = sine(0.5, 60.0, RATE, 2.0);
    let mut spoilt = clean.clone();
    spoilt[47_000..48_000].fill(f32::NAN);
    let (a, b) = (render(&band, RATE, &clean), render(&band, RATE, &spoilt));
    let after = 48_000 + 2_400;
    let worst = a[after..].iter().zip(&b[after..]).fold(0f32, |w, (a, b)| w.max((a - b).abs()));
    assert!(worst < 0.05 * peak(&a), "off by {worst}");
}

#[test]
fn silence_becomes_exact_zero() {
    let mut input = noise(0.9, 48_000, 5);
    input.resize(48_000 * 5, 0.0);
    for extra in ["tracked", "halved", "divided"] {
        let settings = busy().with("octave.method", extra).expect("setting");
        let out = render(&settings, RATE, &input);
        assert!(out[48_000 * 4..].iter().all(|x| *x == 0.0), "{extra} never ends");
    }
}

#[test]
fn any_sample_rate_gives_finite_sound() {
    for rate_hz in [1234.5678, 8_000.0, 44_100.0, 96_000.0, 192_000.0, 768_000.0] {
        let out = render(&busy(), rate_hz, &noise(0.9, 20_000, 6));
        assert!(out.iter().all(|x| x.is_finite()), "at {rate_hz} Hz");
        assert!(
            peak(&out) <= 10f32.powf(-1.0 / 20.0) * 1.000_001,
            "ceiling broken at {rate_hz} Hz"
        );
    }
}

#[test]
fn a_change_while_it_sounds_does_not_click() {
    // A 30 Hz tone has no energy above 1 kHz; a click has. Each change is made at once.
    let changes: &[(&str, &str)] = &[
        ("low_band.gain_db", "12"),
        ("low_band.centre_hz", "20"),
        ("low_band.width_oct", "0.3"),
        ("low_band.acts_on", "octave"),
        ("high_pass.order", "4"),
        ("high_pass.hz", "40"),
        ("high_pass.order", "2"),
        ("output.gain_db", "-12"),
        ("input.trim_db", "6"),
        ("dry.level_db", "off"),
        ("listen", "difference"),
        ("bypass", "on"),
        ("bypass", "off"),
        ("high_pass.order", "off"),
    ];
    let mut now = settings(&[("octave.level_db", "off")]);
    let mut path = Path::new(RATE, 1);
    path.set(&now);
    let mut out = sine(0.5, 30.0, RATE, 15.0);
    for (i, stretch) in out.chunks_mut(48_000).enumerate() {
        if let Some((key, text)) = i.checked_sub(1).and_then(|i| changes.get(i)) {
            now = now.with(key, text).expect("setting");
            path.set(&now);
        }
        path.process(&mut [stretch], &mut ());
    }
    // Second difference of a 30 Hz sine of amplitude 4 is 6e-5; a step of 1 % of full scale is 1e-2.
    let kink = out.windows(3).map(|w| (w[0] - 2.0 * w[1] + w[2]).abs()).fold(0.0, f32::max);
    assert!(kink < 2e-3, "second difference {kink}");
}

#[test]
fn sweeping_the_centre_in_ten_milliseconds_stays_within_the_gain() {
    // Trapezoidal state-variable filters stay bounded while their coefficients move
    // (Zavalishin); bound from common practice: 1.5 times the largest static gain.
    let gain = settings(&[
        ("octave.level_db", "off"),
        ("low_band.gain_db", "12"),
        ("low_band.centre_hz", "20"),
    ]);
    let mut path = Path::new(RATE, 1);
    path.set(&gain);
    let mut out = sine(0.2, 30.0, RATE, 2.0);
    let (first, second) = out.split_at_mut(48_000);
    path.process(&mut [first], &mut ());
    path.set(&gain.with("low_band.centre_hz", "160").expect("setting"));
    path.process(&mut [second], &mut ());
    assert!(peak(&out) < 1.5 * 0.2 * 10f32.powf(12.0 / 20.0));
}

#[test]
fn trim_dry_and_output_are_plain_gains() {
    let input = sine(0.1, 100.0, RATE, 1.0);
    for (key, db) in [("input.trim_db", 6.0), ("dry.level_db", -7.5), ("output.gain_db", 3.0)] {
        let set = settings(&[("octave.level_db", "off"), (key, &db.to_string())]);
        let gained = amplitude_db(&render(&set, RATE, &input), 100.0, RATE);
        let plain = amplitude_db(&input, 100.0, RATE);
        assert!((gained - plain - db).abs() < 1e-5, "{key}: {}", gained - plain);
    }
}

#[test]
fn a_low_band_on_the_octave_part_leaves_the_dry_part_alone() {
    // The dry tone stands in the middle of a band of +12 dB that does not act on it.
    let octave = settings(&[
        ("octave.level_db", "off"),
        ("low_band.gain_db", "12"),
        ("low_band.centre_hz", "60"),
        ("low_band.acts_on", "octave"),
    ]);
    let input = sine(0.1, 60.0, RATE, 2.0);
    let out = render(&octave, RATE, &input);
    let worst = input.iter().zip(&out).fold(0f32, |w, (a, b)| w.max((a - b).abs()));
    assert!(worst < 1e-6, "the dry part is off by {worst}");
    // With an octave part the half has the band's gain at 30 Hz and the tone has none.
    let with = |gain: &str| {
        let set = octave.with("octave.level_db", "0").expect("setting");
        let set = set.with("low_band.centre_hz", "30").expect("setting");
        let out = render(&set.with("low_band.gain_db", gain).expect("setting"), RATE, &input);
        let settled = &out[RATE as usize..];
        [30.0, 60.0].map(|hz| amplitude_db(settled, hz, RATE))
    };
    let (plain, lifted) = (with("0"), with("12"));
    assert!((lifted[0] - plain[0] - 12.0).abs() < 0.05, "{plain:?} {lifted:?}");
    assert!((lifted[1] - plain[1]).abs() < 0.05, "{plain:?} {lifted:?}");
}

#[test]
fn each_part_is_heard_alone() {
    // 60 Hz of the dry part, 30 Hz of the octave part: each where it is asked for, 60 dB down
    // where it is not.
    let input = sine(0.1, 60.0, RATE, 3.0);
    for (listen, dry, octave) in
        [("blend", true, true), ("dry", true, false), ("octave", false, true)]
    {
        let out = render(&settings(&[("listen", listen), ("octave.level_db", "0")]), RATE, &input);
        let settled = &out[2 * RATE as usize..];
        for (hz, heard) in [(60.0, dry), (30.0, octave)] {
            let level = amplitude_db(settled, hz, RATE) + 20.0;
            assert_eq!(level > -3.0, heard, "{listen}: {hz} Hz at {level} dB");
            assert!(heard || level < -60.0, "{listen}: {hz} Hz at {level} dB");
        }
    }
}

#[test]
fn both_channels_blend_with_the_octave_part() {
    struct Taps([Vec<Vec<f64>>; 3]);
    impl Listen for Taps {
        fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
            let at = match tap {
                Tap::Dry => 0,
                Tap::Octave => 1,
                Tap::Blend => 2,
                _ => return,
            };
            self.0[at].resize(2, Vec::new());
            self.0[at].iter_mut().zip(channels).for_each(|(all, c)| all.extend_from_slice(c));
        }
    }
    let mut path = Path::new(RATE, 2);
    path.set(&settings(&[("octave.level_db", "0"), ("dry.level_db", "-3")]));
    let mut left = sine(0.5, 61.0, RATE, 1.0);
    let mut right: Vec<f32> = left.iter().map(|x| 0.5 * x).collect();
    let mut taps = Taps(Default::default());
    path.process(&mut [&mut left, &mut right], &mut taps);
    let [dry, octave, blend] = &taps.0;
    let loudest = octave[0].iter().fold(0f64, |most, x| most.max(x.abs()));
    assert!(loudest > 0.1, "there is an octave part");
    for side in 0..2 {
        for n in 0..dry[side].len() {
            assert_eq!(blend[side][n], dry[side][n] + octave[side][n], "channel {side}");
        }
    }
}

#[test]
fn the_octave_part_follows_the_trim() {
    let half = |trim: &str| {
        let set = settings(&[("input.trim_db", trim), ("octave.level_db", "0")]);
        let out = render(&set, RATE, &sine(0.1, 60.0, RATE, 3.0));
        amplitude_db(&out[2 * RATE as usize..], 30.0, RATE)
    };
    let fell = half("0") - half("-12");
    assert!((fell - 12.0).abs() < 0.05, "12 dB of trim took {fell} dB from the octave part");
}

#[test]
fn difference_is_what_comes_out_minus_what_came_in() {
    let input = noise(0.3, 20_000, 8);
    let blend = settings(&[("low_band.gain_db", "6")]);
    let difference = blend.with("listen", "difference").expect("setting");
    let (out, only) = (render(&blend, RATE, &input), render(&difference, RATE, &input));
    for i in 0..input.len() {
        assert!((out[i] - input[i] - only[i]).abs() < 1e-6);
    }
}

#[test]
fn the_ceiling_holds_every_sample_and_lasting_true_peaks() {
    // A tone at fs/4 with 45 degrees of phase hides 3.01 dB between its samples
    // (ITU-R BS.1770 annex 2; 20·lg cos 45°).
    let set = settings(&[
        ("octave.level_db", "off"),
        ("output.ceiling", "on"),
        ("output.ceiling_dbfs", "-3"),
    ]);
    let input: Vec<f32> = (0..48_000)
        .map(|i| {
            (std::f64::consts::FRAC_PI_2 * f64::from(i) + std::f64::consts::FRAC_PI_4).sin() as f32
        })
        .collect();
    let out = render(&set, RATE, &input);
    let ceiling_db = -3.0;
    assert!(20.0 * peak(&out).log10() <= ceiling_db + 1e-4);
    // Samples read 3.01 dB under the true peak.
    let true_peak_db = 20.0 * peak(&out[4_800..]).log10() + 3.0103;
    assert!((true_peak_db - ceiling_db).abs() < 0.1, "true peak {true_peak_db}");
}

#[test]
fn a_quiet_signal_never_feels_the_ceiling() {
    let set = settings(&[("octave.level_db", "off"), ("output.ceiling", "on")]);
    let input = sine(0.5, 50.0, RATE, 1.0);
    assert_eq!(render(&set, RATE, &input), input);
}

#[test]
fn posts_are_heard_in_the_order_of_the_line() {
    #[derive(Default)]
    struct Heard(Vec<(Tap, Vec<f64>)>);
    impl Listen for Heard {
        fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
            assert_eq!(channels.len(), 1);
            self.0.push((tap, channels[0].to_vec()));
        }
    }
    let mut heard = Heard::default();
    let mut path = Path::new(RATE, 1);
    let input = noise(0.5, 100, 9);
    let mut out = input.clone();
    path.process(&mut [&mut out], &mut heard);
    let taps: Vec<Tap> = heard.0.iter().map(|(tap, _)| *tap).collect();
    assert_eq!(taps, [Tap::Before, Tap::Dry, Tap::Octave, Tap::Blend, Tap::LowBand, Tap::After]);
    let exact = |signal: &[f32]| signal.iter().map(|x| f64::from(*x)).collect::<Vec<_>>();
    assert_eq!(heard.0[0].1, exact(&input));
    assert_eq!(heard.0[5].1, exact(&out));
}
