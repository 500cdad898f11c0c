//! Presets: every built-in one reads, nothing a file holds is lost, errors are sentences.

use underpin::presets::{Preset, SCHEMA, all, named};
use underpin::settings::{ALL, Kind, Settings};

#[track_caller]
fn check_refused(text: &str, words: &[&str]) {
    let why = Preset::parse(text).expect_err("must be refused");
    for word in words {
        assert!(why.contains(word), "{why:?} lacks {word:?}");
    }
    assert!(!why.contains('\n'), "{why:?} is more than one sentence");
}

#[track_caller]
fn check_round_trip(preset: &Preset) {
    let text = preset.to_toml();
    assert_eq!(Preset::parse(&text).as_ref(), Ok(preset), "{text}");
}

#[test]
fn every_file_in_the_preset_folder_is_built_in_and_says_when_to_use_it() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/presets");
    let mut stems = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let preset = Preset::parse(&text).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
        assert_eq!(preset.notices(), Vec::<String>::new(), "{}", path.display());
        assert!(preset.when.ends_with('.'), "{}: {:?}", path.display(), preset.when);
        assert_eq!(Some(preset.slug().as_str()), path.file_stem().unwrap().to_str());
        stems.push(preset.slug());
    }
    let mut built_in: Vec<String> = all().iter().map(Preset::slug).collect();
    stems.sort();
    built_in.sort();
    assert_eq!(built_in, stems);
}

#[test]
fn every_built_in_preset_is_different_and_round_trips() {
    let presets = all();
    for (i, preset) in presets.iter().enumerate() {
        check_round_trip(preset);
        for other in &presets[..i] {
            assert_ne!(preset.settings, other.settings, "{} = {}", preset.name, other.name);
            assert_ne!(preset.slug(), other.slug());
        }
    }
}

#[test]
fn a_lift_leaves_as_much_headroom_as_it_takes() {
    // Common practice, no source: a boost of n dB is paid with n dB of level in front of a
    // converter, or with a limiter behind it. No built-in preset may do neither.
    for preset in all() {
        let s = &preset.settings;
        let lifts = s.low_band_gain_db > 0.0 || s.octave_level_db > -60.0;
        let heard_alone = preset.name == "Octave alone";
        assert!(!lifts || s.output_ceiling || heard_alone, "{}", preset.name);
        assert!(s.output_gain_db <= -s.low_band_gain_db.max(0.0), "{}", preset.name);
    }
}

#[test]
fn every_value_of_every_setting_round_trips_bit_for_bit() {
    for (index, setting) in ALL.iter().enumerate() {
        let values: Vec<f32> = match setting.kind {
            Kind::Switch => vec![0.0, 1.0],
            Kind::Choice { words, .. } => (0..words.len()).map(|i| i as f32).collect(),
            Kind::Number { min, max, off, .. } => {
                // 1/97 steps have no short decimal form: the hardest text to read back exactly.
                let steps = (0..=97).map(|i| min + (max - min) * (i as f32 / 97.0));
                off.into_iter().chain(steps).collect()
            }
        };
        for plain in values {
            let mut all_plain = Settings::default().to_plain();
            all_plain[index] = plain;
            check_round_trip(&Preset::new("One", "Always.", Settings::from_plain(all_plain)));
        }
    }
}

#[test]
fn names_with_quotes_and_line_breaks_round_trip() {
    let name = "A \"quoted\" \\ name = [x] # é\n\t日本";
    check_round_trip(&Preset::new(name, "When 'this'.", Settings::default()));
}

#[test]
fn a_preset_is_found_by_name_or_slug_in_any_case() {
    for name in ["Kick drum", "kick-drum", "KICK DRUM", " Kick-Drum "] {
        assert_eq!(named(name).map(|p| p.name), Some("Kick drum".into()), "{name:?}");
    }
    assert_eq!(named("kick"), None);
}

/// Found by bytes drawn at random: a name with a slash was typed with it.
#[test]
fn no_name_leads_to_another_folder() {
    for name in ["../up", "a/b", "a\\b", "C:\\x", "with the /eiling on.", "..", "a\0b", "a\nb"] {
        let slug = Preset::new(name, "", Settings::default()).slug();
        assert!(slug.chars().all(|c| c.is_alphanumeric() || c == '-'), "{name:?}: {slug}");
    }
}

#[test]
fn what_a_file_leaves_out_has_its_default() {
    let preset = Preset::parse("schema = 1\nname = \"Bare\"\nlisten = \"dry\"").unwrap();
    let expected = Settings::default().with("listen", "dry").unwrap();
    assert_eq!((preset.settings, preset.when.as_str()), (expected, ""));
}

#[test]
fn values_may_be_numbers_words_or_switches_and_groups_may_be_tables() {
    let text = "schema = 1\nname = \"T\"\nbypass = true\n[high_pass]\norder = 4\nhz = 30\n\
                [octave]\nlevel_db = \"off\"\nto_hz = \"0,1 kHz\"\n";
    let mut expected = Settings::default();
    for (key, value) in [
        ("bypass", "on"),
        ("high_pass.order", "4"),
        ("high_pass.hz", "30"),
        ("octave.level_db", "-60"),
        ("octave.to_hz", "100"),
    ] {
        expected = expected.with(key, value).unwrap();
    }
    assert_eq!(Preset::parse(text).unwrap().settings, expected);
}

#[test]
fn unknown_keys_are_kept_named_and_written_back() {
    let text = "schema = 1\nname = \"Old\"\noctave.levl_db = -9.5\n\"odd key\".\"\" = [1, {a = 2}]\n\
                made.on = 2024-01-02\nempty = {}\n";
    let preset = Preset::parse(text).unwrap();
    assert_eq!(preset.settings, Settings::default());
    assert_eq!(preset.kept.len(), 4);
    let notices = preset.notices();
    assert_eq!(notices.len(), 4);
    let typo = notices.iter().find(|n| n.contains("octave.levl_db")).unwrap();
    assert!(typo.contains("did you mean octave.level_db"), "{typo}");
    check_round_trip(&preset);
}

#[test]
fn a_newer_schema_loads_with_a_notice_and_loses_nothing() {
    let text = "schema = 7\nname = \"From tomorrow\"\noctave.method = \"woven\"\n\
                low_band.gain_db = 40.0\nwidener.on = true\nhigh_pass.hz = 30.0\n";
    let preset = Preset::parse(text).unwrap();
    let expected = Settings::default().with("high_pass.hz", "30").unwrap();
    assert_eq!(preset.settings, expected);
    let notices = preset.notices().join("\n");
    for word in ["schema 7", "woven", "-18 to 18 dB", "widener.on"] {
        assert!(notices.contains(word), "{notices} lacks {word}");
    }
    check_round_trip(&preset);
    assert!(preset.schema > SCHEMA);
}

#[test]
fn bad_files_are_refused_in_one_sentence() {
    check_refused("", &["schema = 1"]);
    check_refused("schema = 0\nname = \"x\"", &["schema"]);
    check_refused("schema = \"one\"\nname = \"x\"", &["schema", "one"]);
    check_refused("schema = 1", &["name"]);
    check_refused("schema = 1\nname = 5", &["name", "5"]);
    check_refused("schema = 1\nname = \"x\"\n\nlisten dry", &["line 4", "TOML"]);
    check_refused(
        "schema = 1\nname = \"x\"\nlow_band.gain_db = 30",
        &["low_band.gain_db", "-18 to 18 dB", "30"],
    );
    check_refused(
        "schema = 1\nname = \"x\"\noctave.method = \"loud\"",
        &["octave.method", "tracked", "loud"],
    );
    check_refused("schema = 1\nname = \"x\"\nlow_band.gain_db = nan", &["low_band.gain_db"]);
    check_refused("schema = 1\nname = \"x\"\nlow_band.gain_db = [1]", &["low_band.gain_db"]);
    check_refused("schema = 1\nname = \"x\"\noctave = 3", &["octave"]);
    check_refused("schema = 1\nname = \"x\"\nbypass.more = 3", &["bypass.more"]);
}
