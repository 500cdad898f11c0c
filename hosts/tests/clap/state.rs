//! Saved state: exact, clamped, and kind to what it does not know.

use crate::{RATE_HZ, direct, drawn, music, same};
use hosts::Plugin;
use serde_json::{Value, json};
use underpin::presets;
use underpin::settings::{ALL, Kind, Settings};

/// A state as the plugin saves it: the length in eight bytes, then JSON.
fn packed(json: &Value) -> Vec<u8> {
    let text = json.to_string();
    [&(text.len() as u64).to_le_bytes(), text.as_bytes()].concat()
}

fn unpacked(bytes: &[u8]) -> Value {
    serde_json::from_slice(&bytes[8..]).expect("JSON")
}

/// The state of these settings as another program would write it.
fn state(settings: &Settings) -> Value {
    let mut params = serde_json::Map::new();
    for (setting, plain) in settings.each() {
        let value = match setting.kind {
            Kind::Switch => json!({ "bool": plain >= 0.5 }),
            Kind::Choice { .. } => json!({ "string": setting.show(plain) }),
            Kind::Number { .. } => json!({ "f32": plain }),
        };
        params.insert(setting.key.into(), value);
    }
    json!({ "version": "0.1.0", "params": params, "fields": {} })
}

#[test]
fn a_saved_state_makes_another_instance_the_same() {
    let settings = drawn(11);
    let mut first = Plugin::load();
    assert!(first.restore(&packed(&state(&settings))));
    let saved = first.save();
    let mut second = Plugin::load();
    assert!(second.restore(&saved));
    assert_eq!(second.settings(), settings);
    assert_eq!(second.save(), saved);
}

#[test]
fn state_presets_and_preset_files_carry_the_same_values() {
    for preset in presets::all() {
        let mut plugin = Plugin::load();
        assert!(plugin.restore(&packed(&state(&preset.settings))));
        assert_eq!(plugin.settings(), preset.settings, "{}", preset.name);
        let file = presets::Preset::parse(&preset.to_toml()).expect("its own file");
        assert_eq!(file.settings, preset.settings, "{}", preset.name);

        let mut heard = music(9_000, 1);
        let expected = direct(&preset.settings, &heard, RATE_HZ);
        let mut running = plugin.start(RATE_HZ, 512);
        running.run(&mut heard, 512);
        plugin.stop(running);
        same(&heard, &expected);
    }
}

#[test]
fn a_loaded_state_is_heard_at_once_while_processing() {
    let settings = drawn(12);
    let mut plugin = Plugin::load();
    let mut heard = music(4_096, 12);
    let mut expected = heard.clone();

    let mut path = underpin::path::Path::new(RATE_HZ, 2);
    path.set(&Settings::default());
    let [left, right] = &mut expected[..] else { panic!("two channels") };
    path.process(&mut [&mut left[..2_048], &mut right[..2_048]], &mut ());
    path.set(&settings);
    path.process(&mut [&mut left[2_048..], &mut right[2_048..]], &mut ());

    let mut running = plugin.start(RATE_HZ, 2_048);
    for half in 0..2 {
        if half == 1 {
            assert!(plugin.restore(&packed(&state(&settings))));
        }
        let range = half * 2_048..(half + 1) * 2_048;
        let mut block: Vec<&mut [f32]> = heard.iter_mut().map(|c| &mut c[range.clone()]).collect();
        running.process(&mut block, &[]);
    }
    plugin.stop(running);
    same(&heard, &expected);
}

#[test]
fn values_out_of_range_go_to_the_nearest_end() {
    let mut plugin = Plugin::load();
    let mut saved = state(&Settings::default());
    for (key, value) in
        [("output.gain_db", 1e9), ("low_band.centre_hz", -1e30), ("dry.level_db", -1e9)]
    {
        saved["params"][key] = json!({ "f32": value });
    }
    assert!(plugin.restore(&packed(&saved)));
    let settings = plugin.settings();
    assert_eq!(settings.output_gain_db, 24.0);
    assert_eq!(settings.low_band_centre_hz, 16.0);
    assert_eq!(settings.dry_level_db, -60.0);
}

#[test]
fn a_value_of_another_kind_or_an_unknown_word_is_read_or_at_its_default() {
    let mut plugin = Plugin::load();
    let mut saved = state(&drawn(13));
    saved["params"]["output.gain_db"] = json!({ "string": "-3 dB" });
    saved["params"]["octave.method"] = json!({ "string": "unheard of" });
    saved["params"]["dry.level_db"] = json!({ "i32": -9 });
    saved["params"]["bypass"] = json!({ "f32": 1.0 });
    assert!(plugin.restore(&packed(&saved)));
    let settings = plugin.settings();
    assert_eq!(settings.output_gain_db, -3.0);
    assert_eq!(settings.dry_level_db, -9.0);
    assert_eq!(settings.octave_method, Settings::default().octave_method);
    assert!(settings.bypass);
}

#[test]
fn a_setting_that_is_missing_is_at_its_default() {
    let mut plugin = Plugin::load();
    assert!(plugin.restore(&packed(&state(&drawn(14)))));
    let few =
        json!({ "version": "0.1.0", "params": { "dry.level_db": { "f32": -3.0 } }, "fields": {} });
    assert!(plugin.restore(&packed(&few)));
    assert_eq!(plugin.settings(), Settings { dry_level_db: -3.0, ..Settings::default() });
}

#[test]
fn what_a_newer_version_saved_is_kept_and_saved_again() {
    let mut plugin = Plugin::load();
    let mut newer = state(&drawn(15));
    newer["version"] = json!("9.0.0");
    newer["params"]["octave.shine"] = json!({ "f32": 0.25 });
    newer["fields"]["colours"] = json!("\"plaid\"");
    newer["fields"]["kept"] = json!("{\"schema\":7,\"params\":{},\"fields\":{}}");
    assert!(plugin.restore(&packed(&newer)));
    assert_eq!(plugin.settings(), drawn(15));

    // Saved by this version, loaded by it and saved again: nothing is lost on the way.
    for _ in 0..2 {
        let bytes = plugin.save();
        let saved = unpacked(&bytes);
        let kept: Value =
            serde_json::from_str(saved["fields"]["kept"].as_str().expect("text")).expect("JSON");
        assert_eq!(kept["schema"], 7);
        assert_eq!(kept["params"]["octave.shine"], json!({ "f32": 0.25 }));
        assert_eq!(kept["fields"]["colours"], "\"plaid\"");
        assert!(plugin.restore(&bytes));
    }
}

#[test]
fn rubbish_is_refused_and_changes_nothing() {
    let mut plugin = Plugin::load();
    assert!(plugin.restore(&packed(&state(&drawn(16)))));
    for rubbish in [&b""[..], b"nothing", &packed(&json!("text")), &[0xFF; 64]] {
        assert!(!plugin.restore(rubbish));
    }
    assert_eq!(plugin.settings(), drawn(16));
}

#[test]
fn every_key_of_the_settings_is_the_id_in_the_state() {
    let saved = unpacked(&Plugin::load().save());
    let params = saved["params"].as_object().expect("an object");
    let mut keys: Vec<_> = ALL.iter().map(|s| s.key).collect();
    keys.sort_unstable();
    assert_eq!(params.keys().map(String::as_str).collect::<Vec<_>>(), keys);
}
