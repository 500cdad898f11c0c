//! Every setting is a host parameter.

use crate::{RATE_HZ, direct, drawn, music, same};
use hosts::{Plugin, in_a_host};
use underpin::settings::{ALL, Kind, Settings};

#[test]
fn every_setting_is_a_parameter_in_the_order_of_the_line() {
    let plugin = Plugin::load();
    let names: Vec<_> = plugin.params().iter().map(|p| p.name.as_str()).collect();
    let settings: Vec<_> = ALL.iter().map(|s| s.name).collect();
    assert_eq!(names, settings);
}

#[test]
fn parameters_stand_in_groups() {
    let plugin = Plugin::load();
    for (param, setting) in plugin.params().iter().zip(ALL) {
        assert_eq!(param.module.is_empty(), setting.group().is_empty(), "{}", setting.key);
    }
    assert_eq!(plugin.param("low_band.gain_db").module, plugin.param("low_band.width_oct").module);
    assert_ne!(plugin.param("low_band.gain_db").module, plugin.param("octave.to_hz").module);
}

#[test]
fn a_fresh_instance_is_at_the_defaults() {
    assert_eq!(Plugin::load().settings(), Settings::default());
}

#[test]
fn texts_are_those_of_the_settings_at_both_ends_and_at_the_default() {
    let mut plugin = Plugin::load();
    for setting in ALL {
        let [low, high, default] = plugin.param(setting.key).range;
        let (min, max) = match setting.kind {
            Kind::Switch => (0.0, 1.0),
            Kind::Choice { words, .. } => (0.0, (words.len() - 1) as f32),
            Kind::Number { min, max, off, .. } => (off.unwrap_or(min), max),
        };
        for (host, plain) in [(low, min), (high, max), (default, setting.default())] {
            let shown = setting.show(plain);
            let shown = in_a_host(setting.key, &shown);
            assert_eq!(plugin.text(setting.key, host), shown, "{}", setting.key);
        }
    }
}

#[test]
fn text_read_is_text_written_everywhere_on_the_way() {
    let mut plugin = Plugin::load();
    for setting in ALL {
        let [low, high, _] = plugin.param(setting.key).range;
        for step in 0..=1000 {
            let value = low + (high - low) * f64::from(step) / 1000.0;
            let text = plugin.text(setting.key, value);
            let read = plugin.read(setting.key, &text).expect("its own text");
            assert_eq!(plugin.text(setting.key, read), text, "{}", setting.key);
        }
        assert_eq!(plugin.read(setting.key, "nonsense"), None, "{}", setting.key);
        // Just below the default: a gain that rounds to zero has no sign.
        let [low, high, default] = plugin.param(setting.key).range;
        let near = (default - 1e-5 * (high - low)).max(low);
        assert_eq!(plugin.text(setting.key, near), setting.show(setting.default()));
    }
}

#[test]
fn text_is_read_as_hands_type_it() {
    let mut plugin = Plugin::load();
    for (key, typed, shown) in [
        ("low_band.centre_hz", "45 hertz", "45 Hz"),
        ("low_band.centre_hz", "1000", "160 Hz"),
        ("low_band.gain_db", "-99 DB", "-18 dB"),
        ("octave.level_db", "-Inf dB", "off"),
        ("octave.level_db", "OFF", "off"),
        ("output.gain_db", "-inf", "-24 dB"),
        ("bypass", "ON", "on"),
    ] {
        let value =
            plugin.read(key, typed).unwrap_or_else(|| panic!("{key} does not read {typed}"));
        assert_eq!(plugin.text(key, value), shown, "{key} from {typed:?}");
    }
}

#[test]
fn values_reach_the_line_exactly_through_the_host() {
    for seed in 1..=20 {
        let mut plugin = Plugin::load();
        let settings = drawn(seed);
        let texts: Vec<_> = settings.each().map(|(s, plain)| (s.key, s.show(plain))).collect();
        let events: Vec<_> = texts.iter().map(|(key, text)| plugin.event(0, key, text)).collect();
        plugin.flush(&events);
        assert_eq!(plugin.settings(), settings);
        let mut heard = music(2_000, seed);
        let expected = direct(&settings, &heard, RATE_HZ);
        let mut running = plugin.start(RATE_HZ, 2_000);
        running.run(&mut heard, 2_000);
        plugin.stop(running);
        same(&heard, &expected);
    }
}

#[test]
fn remote_controls_have_a_page_for_each_part_of_the_line() {
    assert_eq!(Plugin::load().pages(), ["Octave part", "Low band", "Closed box", "Output"]);
}
