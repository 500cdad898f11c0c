//! The report as JSON: schema 1 keeps its keys.

use crate::sheets::{absurd, ordinary};
use serde_json::Value;
use underpin::report::{self, Limit, Proof, Sheet};
use underpin::settings::Settings;

#[track_caller]
fn keys(value: &Value, wanted: &[&str]) {
    let object = value.as_object().unwrap_or_else(|| panic!("{value} is no object"));
    let found: Vec<&str> = object.keys().map(String::as_str).collect();
    assert_eq!(found, wanted);
}

/// Keys of a report.
const SHEET: &[&str] = &[
    "schema",
    "program",
    "version",
    "seed",
    "inputs",
    "subject",
    "finding",
    "findings",
    "preset",
    "settings",
    "runs",
    "target",
    "before_the_radio",
    "responses",
    "proofs",
    "tables",
    "cannot_be_known",
    "cautions",
    "figures",
    "next",
];

/// Keys of a run.
const RUN: &[&str] =
    &["name", "sample_rate_hz", "channels", "seconds", "before", "after", "layers_db", "transfer"];

/// Keys of one side of a run.
const SIDE: &[&str] = &[
    "peak_dbfs",
    "rms_dbfs",
    "true_peak_dbtp",
    "loudness_lufs",
    "dc",
    "clipping",
    "spectrum",
    "bands",
    "partials",
];

/// Keys of the lines beside a tone.
const PARTIALS: &[&str] = &[
    "tone_hz",
    "tone_dbfs",
    "below",
    "above",
    "odd_halves",
    "below_ratio",
    "thd_f",
    "thd_orders",
    "thd_to_hz",
    "noise_dbfs",
];

#[test]
fn the_keys_of_schema_1_are_stable() {
    let json = report::json(&ordinary());
    assert_eq!(json["schema"], 1);
    keys(&json, SHEET);
    let run = &json["runs"][1];
    keys(run, RUN);
    keys(&run["after"], SIDE);
    keys(&run["after"]["partials"], PARTIALS);
    keys(
        &run["after"]["partials"]["below"][0],
        &["hz", "order", "re_tone_db", "dbfs", "phase_deg", "near_mains"],
    );
    keys(
        &json["runs"][0]["layers_db"][0],
        &["nominal_hz", "given", "dry", "blend", "low_band", "out"],
    );
    keys(&json["proofs"][0], &["name", "figure", "unit", "limit", "met"]);
    keys(&json["proofs"][0]["limit"], &["at_least", "at_most"]);
    keys(&json["inputs"][0], &["name", "sha256"]);
}

#[test]
fn settings_stand_under_the_keys_of_presets() {
    let json = report::json(&ordinary());
    let settings = json["settings"].as_object().expect("settings");
    let wanted: Vec<&str> = Settings::default().each().map(|(setting, _)| setting.key).collect();
    assert_eq!(settings.keys().map(String::as_str).collect::<Vec<_>>(), wanted);
    assert_eq!(settings["bypass"], false);
    assert_eq!(settings["octave.method"], "tracked");
    assert_eq!(settings["low_band.width_oct"], 1.2);
}

#[test]
fn figures_keep_all_their_digits() {
    let sheet = ordinary();
    let json = report::json(&sheet);
    let wanted = sheet.runs[0].readings.before.bands[0].level_db;
    assert_eq!(json["runs"][0]["before"]["bands"][0]["dbfs"].as_f64(), Some(wanted));
    assert_eq!(json["proofs"][1]["figure"], 0.097);
    assert_eq!(json["seed"], 7);
}

#[test]
fn proofs_and_figures_say_what_they_said() {
    let mut sheet = ordinary();
    sheet.proofs = vec![
        Proof::new("kept", 0.5, "dB", Limit::AtMost(1.0)),
        Proof::new("missed", 1.5, "dB", Limit::AtMost(1.0)),
        Proof::new("low", 1.5, "dB", Limit::AtLeast(2.0)),
        Proof::open("open", "dB", Limit::Within(-1.0, 1.0)),
    ];
    let json = report::json(&sheet);
    let met: Vec<Option<bool>> = (0..4).map(|i| json["proofs"][i]["met"].as_bool()).collect();
    assert_eq!(met, [Some(true), Some(false), Some(false), None]);
    assert_eq!(json["proofs"][0]["limit"]["at_most"], 1.0);
    assert!(json["proofs"][0]["limit"]["at_least"].is_null());
    assert_eq!(json["proofs"][2]["limit"]["at_least"], 2.0);
    let after = &json["runs"][1]["after"];
    // Below the tone 0.716 of it, above it harmonics of a part in a thousand.
    assert_eq!(after["partials"]["below_ratio"], 0.716);
    assert!(after["partials"]["thd_f"].as_f64().expect("a share") < 0.01);
    assert_eq!(after["partials"]["below"][0]["re_tone_db"], -2.9);
    // The tone arrived at −12 dBFS and came out at −10.2.
    assert_eq!(json["runs"][1]["before"]["rms_dbfs"], -12.0);
    assert_eq!(after["rms_dbfs"], -10.2);
}

#[test]
fn absurd_readings_still_make_json() {
    for sheet in absurd() {
        let written = report::json(&sheet).to_string();
        let read: Value = serde_json::from_str(&written).expect("JSON");
        assert_eq!(read["schema"], 1);
    }
}

#[test]
fn what_was_not_measured_is_null() {
    let json = report::json(&Sheet::default());
    for key in ["seed", "preset", "settings", "target", "before_the_radio"] {
        assert!(json[key].is_null(), "{key} is {}", json[key]);
    }
    assert_eq!(json["runs"].as_array().map(Vec::len), Some(0));
}
