//! What holds for any settings and any sound: drawn at random, the same draws at every run.

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use underpin::dsp::chain;
use underpin::path::Path;
use underpin::presets::Preset;
use underpin::settings::{ALL, Kind, Setting, Settings};

use crate::line::{amplitude_db, noise, peak, render, sine};

const RATE: f64 = 48_000.0;

/// So many draws, always the same.
fn draws(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(0x5EED),
        ..ProptestConfig::default()
    }
}

/// The plain value at a place from 0 to 1 of what a setting takes.
fn at(setting: &Setting, place: f32) -> f32 {
    let plain = match setting.kind {
        Kind::Switch => f32::from(place > 0.5),
        Kind::Choice { words, .. } => (place * words.len() as f32).floor(),
        Kind::Number { off: Some(off), .. } if place < 0.1 => off,
        Kind::Number { min, max, .. } => min + place * (max - min),
    };
    setting.clamp(plain)
}

/// Any settings.
fn any_settings() -> impl Strategy<Value = Settings> {
    prop::collection::vec(0f32..1.0, ALL.len()).prop_map(|places| {
        let mut plain = [0.0; ALL.len()];
        for (i, setting) in ALL.iter().enumerate() {
            plain[i] = at(setting, places[i]);
        }
        Settings::from_plain(plain)
    })
}

/// Any settings of the stages that are linear.
fn linear_settings() -> impl Strategy<Value = Settings> {
    any_settings().prop_map(|settings| {
        let fixed = [
            ("bypass", "off"),
            ("listen", "blend"),
            ("octave.level_db", "off"),
            ("low_band.acts_on", "blend"),
            ("output.ceiling", "off"),
        ];
        let set = |s: Settings, (key, word): &(&str, &str)| s.with(key, word).expect("a setting");
        fixed.iter().fold(settings, set)
    })
}

proptest! {
    #![proptest_config(draws(200))]

    #[test]
    fn settings_survive_their_text(settings in any_settings()) {
        for (setting, plain) in settings.each() {
            prop_assert_eq!(setting.parse(&setting.show(plain)), Ok(plain), "{}", setting.key);
        }
        prop_assert_eq!(Settings::from_plain(settings.to_plain()), settings);
    }

    #[test]
    fn a_preset_survives_its_file(settings in any_settings(), name in "[ -~]{1,40}", when in "\\PC{0,60}") {
        let preset = Preset::new(&name, &when, settings);
        prop_assert_eq!(Preset::parse(&preset.to_toml()), Ok(preset));
    }

    #[test]
    fn no_text_makes_a_setting_or_a_preset_fall_over(text in "\\PC{0,40}") {
        for setting in ALL {
            if let Ok(plain) = setting.parse(&text) {
                prop_assert_eq!(setting.clamp(plain), plain, "{} from {:?}", setting.key, text);
            }
        }
        let _ = Setting::of(&text);
        let _ = Preset::parse(&text);
    }
}

proptest! {
    #![proptest_config(draws(24))]

    #[test]
    fn blocks_of_any_size_sound_the_same(
        settings in any_settings(),
        sizes in prop::collection::vec(1usize..900, 1..12),
        seed in 0u64..1000,
    ) {
        let input = noise(0.5, 6_000, seed);
        let whole = render(&settings, RATE, &input);
        let mut path = Path::new(RATE, 1);
        path.set(&settings);
        let mut parts = input.clone();
        let (mut rest, mut sizes) = (&mut parts[..], sizes.iter().cycle());
        while !rest.is_empty() {
            let size = rest.len().min(*sizes.next().expect("they go round"));
            let (block, after) = rest.split_at_mut(size);
            path.process(&mut [block], &mut ());
            rest = after;
        }
        prop_assert!(whole == parts, "{settings:?}");
    }

    #[test]
    fn equal_channels_stay_equal(settings in any_settings(), seed in 0u64..1000) {
        let input = noise(0.5, 6_000, seed);
        let mut path = Path::new(RATE, 2);
        path.set(&settings);
        let (mut left, mut right) = (input.clone(), input.clone());
        path.process(&mut [&mut left, &mut right], &mut ());
        prop_assert!(left == right, "{settings:?}");
        prop_assert!(left == render(&settings, RATE, &input), "mono differs: {settings:?}");
    }

    #[test]
    fn linear_stages_add_up(settings in linear_settings(), seed in 0u64..1000) {
        let (a, b) = (noise(0.2, 6_000, seed), noise(0.2, 6_000, seed + 5_000));
        let sum: Vec<f32> = a.iter().zip(&b).map(|(a, b)| a + b).collect();
        let [of_a, of_b, of_sum] = [&a, &b, &sum].map(|signal| render(&settings, RATE, signal));
        let loudest = peak(&of_sum).max(peak(&of_a)).max(peak(&of_b)).max(1e-6);
        for i in 0..sum.len() {
            // Sums and results are rounded to f32: 2⁻²⁴ each.
            let off = (of_a[i] + of_b[i] - of_sum[i]).abs();
            prop_assert!(off < 1e-5 * loudest.max(0.4), "sample {i}: {off}, {settings:?}");
        }
    }

    #[test]
    fn a_tone_gets_the_gain_of_the_closed_form(settings in linear_settings(), octave in 0.0f64..5.0) {
        // A whole number of periods in the last second; the first two settle.
        let hz = (20.0 * octave.exp2()).round();
        let input = sine(0.01, hz, RATE, 3.0);
        let out = render(&settings, RATE, &input);
        let gains = f64::from(settings.input_trim_db)
            + if settings.dry_level_db <= -60.0 { -400.0 } else { f64::from(settings.dry_level_db) };
        let want = gains + chain::response_db(&settings, hz, RATE);
        let last = 2 * RATE as usize;
        let told = amplitude_db(&out[last..], hz, RATE) - amplitude_db(&input[last..], hz, RATE);
        // Narrow bands still ring by a hundredth of a decibel after 2 s.
        prop_assert!((told - want).abs() < 0.02 || want < -100.0, "{told}, not {want}: {settings:?}");
    }

    #[test]
    fn nothing_passes_the_ceiling(settings in any_settings(), seed in 0u64..1000, gain in 0.1f64..4.0) {
        let fixed = [("bypass", "off"), ("listen", "blend"), ("output.ceiling", "on")];
        let set = |s: Settings, (key, word): &(&str, &str)| s.with(key, word).expect("a setting");
        let settings = fixed.iter().fold(settings, set);
        let out = render(&settings, RATE, &noise(gain, 9_600, seed));
        let most = 10f32.powf(settings.output_ceiling_dbfs / 20.0);
        // Rounding to f32.
        prop_assert!(peak(&out) <= most * 1.000_001, "{} over {most}: {settings:?}", peak(&out));
    }

    #[test]
    fn a_steady_tone_stays_below_the_ceiling_between_the_samples(
        hz in 30.0f64..16_000.0,
        ceiling_dbfs in -12.0f32..0.0,
        gain in 0.5f64..2.0,
    ) {
        let settings = Settings {
            octave_level_db: -60.0,
            output_ceiling: true,
            output_ceiling_dbfs: ceiling_dbfs,
            ..Settings::default()
        };
        let out = render(&settings, RATE, &sine(gain, hz, RATE, 0.4));
        // From its second appearance on a peak between samples is held: the last 0.2 s.
        let told = between_db(&out[9_600..]);
        prop_assert!(told <= f64::from(ceiling_dbfs) + 0.1, "{told} dBTP over {ceiling_dbfs}");
    }
}

/// The highest peak at eight times the rate, in dB: a Blackman-windowed sinc of 64 taps.
fn between_db(signal: &[f32]) -> f64 {
    const HALF: usize = 32;
    let tap = |x: f64| {
        let u = std::f64::consts::PI * x / HALF as f64;
        let window = 0.42 + 0.5 * u.cos() + 0.08 * (2.0 * u).cos();
        let y = std::f64::consts::PI * x;
        if x == 0.0 { 1.0 } else { window * y.sin() / y }
    };
    let taps: Vec<Vec<f64>> = (0..8)
        .map(|phase| {
            let at = |i: usize| i as f64 - (HALF - 1) as f64 - f64::from(phase) / 8.0;
            (0..2 * HALF).map(|i| tap(at(i))).collect()
        })
        .collect();
    let value = |window: &[f32], taps: &[f64]| -> f64 {
        window.iter().zip(taps).map(|(x, h)| f64::from(*x) * h).sum()
    };
    let peaks = signal.windows(2 * HALF).flat_map(|w| taps.iter().map(move |t| value(w, t).abs()));
    20.0 * peaks.fold(0.0, f64::max).log10()
}
