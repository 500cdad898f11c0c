//! `prove` and `demo` as a person runs them.

use std::process::{Command, Output};

fn underpin(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_underpin")).args(args).output().expect("the program runs")
}

fn json(output: &Output) -> serde_json::Value {
    serde_json::from_slice(&output.stdout).expect("JSON on standard output")
}

#[test]
fn the_line_as_it_starts_keeps_every_limit() {
    let output = underpin(&["prove", "--check", "--json"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let sheet = json(&output);
    assert_eq!(sheet["schema"], 1);
    let proofs = sheet["proofs"].as_array().expect("proofs");
    assert!(proofs.len() >= 8, "only {} claims were held against limits", proofs.len());
}

#[test]
fn a_missed_limit_ends_with_code_one() {
    // A classic divider puts lines at 1.5, 2.5 ... of the tone, within 6 dB of the half
    // (series of sin(2πft)·sgn sin(πft): (8/π)/|m² − 4| at m·f/2).
    let output = underpin(&["prove", "--check", "--set", "octave.method=divided"]);
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.contains("limit"), "{said}");
}

#[test]
fn an_octave_part_of_which_no_tone_tells_is_open_and_said_so() {
    // A source band a tenth of an octave wide: no tone lies half an octave inside it.
    let narrow = ["--set", "octave.from_hz=58", "--set", "octave.to_hz=62"];
    let sheet = json(&underpin(&[&["prove", "--json"], &narrow[..]].concat()));
    let proofs = sheet["proofs"].as_array().expect("proofs");
    let open: Vec<&str> =
        proofs.iter().filter(|p| p["met"].is_null()).filter_map(|p| p["name"].as_str()).collect();
    assert_eq!(open.len(), 3, "{open:?}");
    assert!(open.iter().all(|name| name.contains("no tone lies inside")), "{open:?}");
    let said = sheet["finding"].as_str().expect("a finding");
    assert!(said.contains("3 limits could not be measured"), "{said}");
}

#[test]
fn without_a_radio_no_sentence_speaks_of_one() {
    for preset in ["kick-drum", "lift-the-roll-off"] {
        let sheet = json(&underpin(&["prove", "--json", "--preset", preset]));
        let said = sheet["finding"].as_str().expect("a finding");
        assert!(said.contains("what arrives") && !said.contains("radio"), "{said}");
    }
}

#[test]
fn bypass_proves_a_wire() {
    let output = underpin(&["prove", "--check", "--json", "--set", "bypass=on"]);
    assert_eq!(output.status.code(), Some(0));
    let sheet = json(&output);
    let off = sheet["proofs"].as_array().expect("proofs").iter();
    let off =
        off.filter(|p| p["name"].as_str().is_some_and(|n| n.starts_with("level of the tones")));
    let figures: Vec<f64> = off.filter_map(|p| p["figure"].as_f64()).collect();
    // Output = input, bit for bit: the two levels are the same sum.
    assert_eq!(figures, [0.0]);
}

#[test]
fn the_demo_leaves_a_report_and_never_touches_other_files() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("demo");
    let path = out.to_str().expect("a name");
    for _ in 0..2 {
        let output = underpin(&["demo", "--out", path]);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    }
    let report = std::fs::read_to_string(out.join("report.html")).expect("a report");
    assert!(report.contains("<svg") && report.contains("invented car"));
    let plan = std::fs::read_to_string(out.join("plan.toml")).expect("a plan");
    underpin::report::Plan::parse(&plan).expect("a plan");
    for file in ["report.txt", "low-end.svg", "settings.toml", "radio.wav", "lifted.wav"] {
        assert!(out.join(file).metadata().expect(file).len() > 100);
    }
    std::fs::write(out.join("mine.txt"), "mine").expect("a file");
    let output = underpin(&["demo", "--out", path]);
    assert_eq!(output.status.code(), Some(4));
    assert_eq!(std::fs::read_to_string(out.join("mine.txt")).expect("still there"), "mine");
}

#[test]
fn the_demo_finds_what_it_planted() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = underpin(&["demo", "--out", folder.path().to_str().expect("a name")]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let said = String::from_utf8_lossy(&output.stdout);
    // The invention is the truth. A tenth in print, and what a capture of 51 s can tell: a
    // frequency within 1 %, a level within 0.3 dB, a clock within 0.5 ppm and its rounding.
    for (row, within) in [
        ("takes in the recordings", 0.0),
        ("3 dB down, Hz", 0.6),
        ("slope, dB per octave", 0.0),
        ("level at 31.5 Hz, dB", 0.3),
        ("level at 40.5 Hz, dB", 0.3),
        ("level at 63.5 Hz, dB", 0.3),
        ("clock of the player, ppm", 0.6),
    ] {
        let line = said.lines().find(|line| line.trim_start().starts_with(row)).expect(row);
        let figures: Vec<f64> =
            line.split_whitespace().rev().take(2).map(|word| word.parse().expect(line)).collect();
        assert!((figures[0] - figures[1]).abs() < within + 1e-6, "{line}");
    }
    assert!(said.contains("\nTuning") && said.contains("rendered dB"), "{said}");
}
