//! Settings: the published table of keys, ranges and defaults; text both ways.

use underpin::settings::{ALL, Kind, Method, Order, Setting, Settings};

/// Key, unit, smallest and largest value, default, and the value that means "off".
type Number = (&'static str, &'static str, f32, f32, f32, Option<f32>);

/// Keys, ranges and defaults as users, hosts and files know them. This is the
/// contract, written a second time by hand: a change of it must be made twice.
const NUMBERS: &[Number] = &[
    ("input.trim_db", "dB", -24.0, 24.0, 0.0, None),
    ("dry.level_db", "dB", -60.0, 12.0, 0.0, Some(-60.0)),
    ("octave.level_db", "dB", -60.0, 12.0, -6.0, Some(-60.0)),
    ("octave.from_hz", "Hz", 25.0, 100.0, 30.0, None),
    ("octave.to_hz", "Hz", 60.0, 200.0, 160.0, None),
    ("octave.floor_hz", "Hz", 10.0, 50.0, 18.0, Some(0.0)),
    ("octave.phase_deg", "°", -180.0, 180.0, 0.0, None),
    ("low_band.gain_db", "dB", -18.0, 18.0, 0.0, None),
    ("low_band.centre_hz", "Hz", 16.0, 160.0, 45.0, None),
    ("low_band.width_oct", "oct", 0.2, 4.0, 1.0, None),
    ("closed_box.from_hz", "Hz", 15.0, 120.0, 40.0, None),
    ("closed_box.from_q", "", 0.3, 2.0, 0.9, None),
    ("closed_box.to_hz", "Hz", 10.0, 80.0, 25.0, None),
    ("closed_box.to_q", "", 0.3, 1.2, 0.71, None),
    ("high_pass.hz", "Hz", 8.0, 60.0, 20.0, None),
    ("output.gain_db", "dB", -24.0, 24.0, 0.0, None),
    ("output.ceiling_dbfs", "dBFS", -12.0, 0.0, -1.0, None),
];

/// The same for settings that are one of a list of words, the default first.
const WORDS: &[(&str, &str, &[&str])] = &[
    ("bypass", "off", &["on", "off"]),
    ("listen", "blend", &["blend", "octave", "dry", "difference"]),
    ("octave.method", "tracked", &["tracked", "halved", "divided"]),
    ("octave.response", "clean", &["clean", "fast"]),
    ("low_band.acts_on", "blend", &["blend", "octave"]),
    ("closed_box.on", "off", &["off", "on"]),
    ("high_pass.order", "off", &["off", "2", "4"]),
    ("output.ceiling", "off", &["off", "on"]),
];

#[track_caller]
fn of(key: &str) -> &'static Setting {
    Setting::of(key).unwrap()
}

#[track_caller]
fn check_reads(key: &str, text: &str, expected: f32) {
    assert_eq!(of(key).parse(text), Ok(expected), "{key} from {text:?}");
}

#[track_caller]
fn check_refuses(key: &str, text: &str, words: &[&str]) {
    let why = of(key).parse(text).expect_err(&format!("{key} must refuse {text:?}"));
    for word in words {
        assert!(why.contains(word), "{why:?} lacks {word:?}");
    }
}

#[test]
fn the_table_holds_the_published_settings_and_no_other() {
    let mut keys: Vec<&str> =
        NUMBERS.iter().map(|n| n.0).chain(WORDS.iter().map(|w| w.0)).collect();
    let mut declared: Vec<&str> = ALL.iter().map(|s| s.key).collect();
    keys.sort_unstable();
    declared.sort_unstable();
    assert_eq!(declared, keys);
}

#[test]
fn every_number_has_its_published_unit_range_and_default() {
    for (key, symbol, low, high, standard, off_at) in NUMBERS {
        let Kind::Number { unit, min, max, default, off, .. } = of(key).kind else {
            panic!("{key} is not a number");
        };
        assert_eq!(
            (unit.symbol(), min, max, default, off),
            (*symbol, *low, *high, *standard, *off_at),
            "{key}"
        );
    }
}

#[test]
fn every_choice_reads_its_published_words_and_no_other() {
    for (key, default, words) in WORDS {
        let setting = of(key);
        assert_eq!(setting.show(setting.default()), *default, "{key}");
        for word in *words {
            let plain = setting.parse(word).unwrap();
            assert_eq!(setting.show(plain), *word, "{key}");
        }
        check_refuses(key, "sideways", &[key, words[0], words[words.len() - 1]]);
    }
}

#[test]
fn what_show_writes_parse_reads_back_to_the_same_value() {
    for setting in ALL {
        let values: Vec<f32> = match setting.kind {
            Kind::Switch => vec![0.0, 1.0],
            Kind::Choice { words, .. } => (0..words.len()).map(|i| i as f32).collect(),
            // Steps of 1/97 of the range: values with no short decimal form.
            Kind::Number { min, max, off, .. } => {
                let steps = (0..=97).map(|i| min + (max - min) * (i as f32 / 97.0));
                off.into_iter().chain(steps).collect()
            }
        };
        for plain in values {
            let text = setting.show(plain);
            assert_eq!(setting.parse(&text), Ok(plain), "{} as {text:?}", setting.key);
        }
    }
}

#[test]
fn values_are_read_as_people_type_them() {
    check_reads("octave.to_hz", "80", 80.0);
    check_reads("octave.to_hz", "80hz", 80.0);
    check_reads("octave.to_hz", " 80 Hz ", 80.0);
    check_reads("octave.to_hz", "0.08k", 80.0);
    check_reads("octave.to_hz", "0,08 kHz", 80.0);
    check_reads("low_band.gain_db", "-6dB", -6.0);
    check_reads("low_band.gain_db", "−6 dB", -6.0);
    check_reads("low_band.gain_db", "+6", 6.0);
    check_reads("low_band.width_oct", "1,5 oct", 1.5);
    check_reads("low_band.width_oct", "2 octaves", 2.0);
    check_reads("octave.phase_deg", "-90°", -90.0);
    check_reads("octave.level_db", "-inf", -60.0);
    check_reads("octave.level_db", "off", -60.0);
    check_reads("octave.floor_hz", "off", 0.0);
    check_reads("output.ceiling", "ON", 1.0);
    check_reads("high_pass.order", "4", Order::Fourth as u8 as f32);
    check_reads("high_pass.order", "0", Order::Off as u8 as f32);
}

#[test]
fn out_of_range_names_the_key_and_the_range() {
    check_refuses("low_band.gain_db", "19", &["low_band.gain_db", "-18", "18", "dB"]);
    check_refuses("octave.floor_hz", "5", &["octave.floor_hz", "off", "10", "50", "Hz"]);
    check_refuses("octave.to_hz", "200.1", &["60", "200"]);
}

#[test]
fn junk_is_refused_with_the_key_and_what_it_takes() {
    for junk in ["", "abc", "nan", "inf", "1e99", "6 lb", "--6", "1.2.3"] {
        check_refuses("low_band.gain_db", junk, &["low_band.gain_db", "-18 to 18 dB"]);
    }
    check_refuses("input.trim_db", "off", &["-24 to 24 dB"]);
    // Only a frequency is counted in thousands.
    check_refuses("low_band.gain_db", "0.006k", &["-18 to 18 dB"]);
    check_refuses("low_band.width_oct", "0.001k", &["0.2 to 4 oct"]);
    check_refuses("low_band.width_oct", "1 Hz", &["0.2 to 4 oct"]);
}

#[test]
fn an_unknown_key_names_the_nearest_one() {
    for (typed, meant) in [
        ("octave.levl_db", "octave.level_db"),
        ("lowband.gain_db", "low_band.gain_db"),
        ("high_pass.hertz", "high_pass.hz"),
        ("output.celing", "output.ceiling"),
        ("Bypass", "bypass"),
    ] {
        let why = Setting::of(typed).unwrap_err();
        assert!(why.contains(typed) && why.contains(meant), "{why}");
    }
}

#[test]
fn a_key_like_none_gets_no_hint() {
    for typed in ["volume", "xyz", "", "reverb.mix", "octave"] {
        let why = Setting::of(typed).unwrap_err();
        assert!(why.contains(typed) && !why.contains("did you mean"), "{why}");
    }
}

#[test]
fn with_changes_one_setting_and_leaves_the_rest() {
    let set = Settings::default().with("octave.method", "divided").unwrap();
    assert_eq!(set.octave_method, Method::Divided);
    let changed: Vec<_> = set.changed().map(|(setting, plain)| (setting.key, plain)).collect();
    assert_eq!(changed, [("octave.method", 2.0)]);
    assert_eq!(set.get("octave.method"), Ok(2.0));
    assert_eq!(set.get("octave.level_db"), Ok(-6.0));
    assert!(set.with("octave.method", "loud").is_err());
}

#[test]
fn what_lies_below_what_can_be_off_is_off() {
    for (key, below, off) in [
        ("octave.floor_hz", 9.9, 0.0),
        ("octave.level_db", -61.0, -60.0),
        ("dry.level_db", -99.0, -60.0),
    ] {
        assert_eq!(of(key).clamp(below), off, "{key}");
        assert_eq!(of(key).show(off), "off", "{key}");
    }
    // Without an off the nearest end counts.
    assert_eq!(of("high_pass.hz").clamp(3.0), 8.0);
    assert_eq!(of("low_band.gain_db").clamp(30.0), 18.0);
    // A choice takes the nearest word, a switch is on from a half up.
    assert_eq!(of("octave.method").clamp(1.4), 1.0);
    assert_eq!(of("octave.method").clamp(1.6), 2.0);
    assert_eq!((of("bypass").clamp(0.4), of("bypass").clamp(0.6)), (0.0, 1.0));
}

#[test]
fn plain_values_from_anywhere_land_in_range() {
    for wild in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, 1e9, -1e9] {
        let settings = Settings::from_plain([wild; ALL.len()]);
        for (setting, plain) in settings.each() {
            assert_eq!(setting.clamp(plain), plain, "{} from {wild}", setting.key);
            assert!(setting.parse(&setting.show(plain)).is_ok(), "{} from {wild}", setting.key);
        }
    }
    assert_eq!(Settings::from_plain([f32::NAN; ALL.len()]), Settings::default());
}

#[test]
fn names_stand_alone_in_a_host_s_flat_list() {
    // Control surfaces cut names: to 8 letters where two must not look alike (Mackie Control has 7
    // to a strip, from memory), to 16 where they must still be words.
    let names: Vec<&str> = ALL.iter().map(|setting| setting.name).collect();
    assert!(names.iter().all(|name| name.len() <= 16), "{names:?}");
    let mut short: Vec<String> =
        names.iter().map(|name| name.chars().take(8).collect::<String>().trim().into()).collect();
    short.sort();
    let all = short.len();
    short.dedup();
    assert_eq!(short.len(), all, "{short:?}");
}

#[test]
fn a_host_s_text_is_taken_as_it_is_meant() {
    let typed = |key: &str, text: &str| of(key).typed(text);
    assert_eq!(typed("low_band.centre_hz", "45 hertz"), Some(45.0));
    assert_eq!(typed("low_band.centre_hz", "4000"), Some(160.0));
    assert_eq!(typed("octave.level_db", "\u{2212}Inf"), Some(-60.0));
    assert_eq!(typed("octave.floor_hz", "3 Hz"), Some(0.0));
    assert_eq!(typed("output.gain_db", "-inf dB"), Some(-24.0));
    assert_eq!(typed("output.gain_db", "loud"), None);
    check_reads("high_pass.order", "24 dB/oct", 2.0);
}
