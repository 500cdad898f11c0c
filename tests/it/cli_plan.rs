//! `signal track`, `diagnose`, `tune`, `identify`: the whole way from a track to a decision, with
//! Underpin's own high-pass as the radio. The estimates themselves are held against planted truths
//! in the tests of the captures.

use serde_json::Value;

use crate::program::Bench;

/// A bench with the track and a radio that is a fourth-order high-pass at 60 Hz.
fn car() -> Bench {
    let bench = Bench::new();
    bench.does("signal track -o track.wav --rate 12000 --sheet track.txt");
    bench.does(
        "render track.wav radio.wav --set octave.level_db=off --set high_pass.order=4 \
         --set high_pass.hz=60 --set output.gain_db=-8",
    );
    bench
}

/// The second cell of a row of a table.
#[track_caller]
fn cell<'a>(json: &'a Value, table: &str, row: &str) -> &'a str {
    let tables = json["tables"].as_array().unwrap();
    let table = tables.iter().find(|t| t["title"].as_str().unwrap().starts_with(table));
    let rows = table.expect("the table")["rows"].as_array().unwrap();
    let row = rows.iter().find(|r| r[0].as_str().unwrap().starts_with(row)).expect("the row");
    row[1].as_str().unwrap()
}

#[test]
fn a_diagnosis_names_corner_and_slope() {
    let bench = car();
    let json = bench.does("diagnose track.wav radio.wav --json --report radio.html").json();
    let f3 = cell(&json, "Roll-off", "3 dB");
    // A Butterworth filter is 3 dB down at its corner, by definition.
    let hz: f64 = f3.split_whitespace().next().unwrap().parse().unwrap();
    assert!((hz - 60.0).abs() < 1.0, "{f3}");
    assert_eq!(cell(&json, "Roll-off", "slope"), "24 dB per octave");
    assert_eq!(json["inputs"].as_array().unwrap().len(), 2);
    let html = std::fs::read_to_string(bench.path().join("radio.html")).unwrap();
    assert!(html.contains("24 dB per octave"));
}

#[test]
fn a_tuning_is_a_preset_and_a_specification() {
    let bench = car();
    let json = bench.does("tune track.wav radio.wav --preset mine.toml --ported 30 --json").json();
    assert_eq!(json["settings"]["high_pass.order"], "4");
    assert_eq!(json["settings"]["high_pass.hz"], 24.0);
    assert!(cell(&json, "Specification", "parametric band").contains("dB at"));
    bench.does("presets check mine.toml");
    bench.fails("tune track.wav radio.wav --preset mine.toml", 4, &["exists", "--force"]);
}

#[test]
fn a_device_is_identified_from_the_long_track() {
    let bench = Bench::new();
    bench.does("signal track -o long.wav --form long --rate 12000 --format f32");
    bench.does(
        "render long.wav device.wav --set octave.level_db=-9 --set low_band.gain_db=6 \
         --set low_band.centre_hz=50 --set output.gain_db=-10",
    );
    let json = bench.does("identify long.wav device.wav --json --preset found.toml").json();
    let settings = &json["settings"];
    let near = |key: &str, want: f64, most: f64| {
        let got = settings[key].as_f64().unwrap();
        assert!((got - want).abs() <= most, "{key}: {got}, not {want}");
    };
    near("low_band.gain_db", 6.0, 0.2);
    near("low_band.centre_hz", 50.0, 1.8);
    near("low_band.width_oct", 1.0, 0.07);
    near("output.gain_db", -10.0, 0.1);
    near("octave.level_db", -9.0, 1.5);
    bench.does("presets check found.toml");
}

#[test]
fn what_is_no_capture_is_refused_in_a_sentence() {
    let bench = car();
    bench.does("signal pink -o pink.wav --seconds 5");
    bench.fails("diagnose track.wav pink.wav", 5, &["pink.wav", "no marker", "no capture"]);
    bench.fails("diagnose pink.wav radio.wav", 5, &["does not hold the track"]);
    bench.fails("identify track.wav radio.wav", 5, &["long form"]);
    bench.fails("diagnose track.wav nowhere.wav", 3, &["nowhere.wav"]);
    bench.fails("tune track.wav radio.wav --down-to 5", 2, &["--down-to", "16"]);
    bench.fails("tune track.wav radio.wav --point 40:3", 2, &["HZ=DB"]);
}

#[test]
fn the_sheet_says_how_to_play_it() {
    let bench = car();
    let sheet = std::fs::read_to_string(bench.path().join("track.txt")).unwrap();
    for words in ["Tone controls flat", "volume steps", "automatic gain", "never while driving"] {
        assert!(sheet.contains(words), "{words}");
    }
    assert!(sheet.lines().all(|line| line.chars().count() < 80));
}
