//! `hand-over`: a plan becomes one document, the same bytes every time.

use crate::program::Bench;

#[test]
fn a_plan_becomes_a_document() {
    let bench = Bench::new();
    bench.does("signal track -o track.wav --rate 12000");
    bench.does(
        "render track.wav radio.wav --set octave.level_db=off --set high_pass.order=4 \
         --set high_pass.hz=60 --set output.gain_db=-8",
    );
    bench.does("tune track.wav radio.wav --plan plan.toml --preset mine.toml --report tune.html");
    let args = "hand-over plan.toml --car estate --owner organ --report";
    bench.does(&format!("{args} first.html"));
    bench.does(&format!("{args} second.html"));
    assert_eq!(bench.read("first.html"), bench.read("second.html"), "the bytes differ");
    let page = String::from_utf8(bench.read("first.html")).unwrap();
    for words in [
        "estate",
        "organ",
        "Before and after",
        "Found, plan.toml",
        "Settings, plan.toml",
        "Coefficients at 48 kHz",
        "By hand",
        "class=\"glossary\"",
    ] {
        assert!(page.contains(words), "{words}");
    }
    // The settings are those that were tuned.
    let json = bench.does("hand-over plan.toml --json").json();
    let preset = bench.does("presets show mine.toml --json").json();
    assert_eq!(json["settings"], preset["settings"]);
    assert_eq!(json["inputs"][0]["name"], "plan.toml");
    bench.fails("hand-over mine.toml", 3, &["mine.toml", "not a plan"]);
}

#[test]
fn a_box_becomes_a_preset_that_does_it() {
    let bench = Bench::new();
    bench.does("box --fc 45 --qtc 0.9 --to-hz 25 --preset box.toml --json");
    bench.does("presets check box.toml");
    let json = bench.does("presets show box.toml --json").json();
    assert_eq!(json["settings"]["closed_box.from_hz"], 45.0);
    assert_eq!(json["settings"]["closed_box.on"], true);
    // 8.2032 dB at 20 Hz (scipy) need 9 dB of room.
    assert_eq!(json["settings"]["output.gain_db"], -9.0);
    bench.fails("box --fc 200 --qtc 0.9 --to-hz 25 --preset far.toml", 2, &["--preset", "120"]);
    assert!(!bench.names().contains(&"far.toml".to_string()));
}

#[test]
fn settings_become_numbers_for_hardware() {
    let bench = Bench::new();
    bench.does("presets export kick-drum --for hardware -o kick.html");
    bench.does("presets export kick-drum --for hardware -o kick.json");
    let json: serde_json::Value = serde_json::from_slice(&bench.read("kick.json")).unwrap();
    let tables = json["tables"].as_array().unwrap();
    let at = tables.iter().find(|t| t["title"] == "Coefficients at 48 kHz").expect("coefficients");
    assert!(at["values"][0][1].as_f64().unwrap() > 0.9);
    let text = bench.does("presets export kick-drum --for hardware -o -");
    assert!(text.text().contains("Q between the half-gain points"));
}
