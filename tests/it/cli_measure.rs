//! `measure`: known sounds, written by hand, come back as the figures they were made from.

use std::f64::consts::TAU;

use serde_json::Value;

use crate::program::Bench;

/// Samples of a function of the sample number at 48 kHz.
fn mono(seconds: f64, of: impl Fn(f64) -> f64) -> Vec<f32> {
    (0..(seconds * 48_000.0) as usize).map(|n| of(n as f64) as f32).collect()
}

fn sine(hz: f64, n: f64) -> f64 {
    (TAU * hz * n / 48_000.0).sin()
}

/// Noise of no special kind: the fractions of n² times the golden ratio, evenly spread.
fn noise(n: f64) -> f64 {
    let x = (n * n * 0.618_033_988_749_895) % 1.0;
    x - 0.5
}

fn db(ratio: f64) -> f64 {
    20.0 * ratio.log10()
}

#[track_caller]
fn check_near(value: &Value, expected: f64, tolerance: f64) {
    let value = value.as_f64().expect("a figure");
    assert!((value - expected).abs() <= tolerance, "{value}, not {expected} ± {tolerance}");
}

#[test]
fn a_sine_has_its_level_by_aes17() {
    let bench = Bench::new();
    bench.write_wav("sine.wav", 1, &mono(2.0, |n| 0.5 * sine(1000.0, n)));
    let json = bench.does("measure sine.wav --json").json();
    let before = &json["runs"][0]["before"];
    // AES17: a sine of peak 0.5 is -6.02 dBFS, as a peak and as r.m.s. Samples of 1 kHz at
    // 48 kHz hit the peak, and 2 s are whole periods.
    check_near(&before["peak_dbfs"], db(0.5), 1e-3);
    check_near(&before["rms_dbfs"], db(0.5), 1e-3);
    // EBU Tech 3341 allows a true-peak meter 0.2 dB of over-reading; BS.1770 names no figure.
    check_near(&before["true_peak_dbtp"], db(0.5), 0.2);
    assert_eq!(json["runs"][0]["channels"], 1);
    check_near(&json["runs"][0]["seconds"], 2.0, 1e-9);
}

#[test]
fn lines_beside_a_named_tone_stand_where_they_were_put() {
    let bench = Bench::new();
    let of = |n| 0.25 * sine(60.0, n) + 0.0025 * sine(30.0, n) + 0.000_25 * sine(180.0, n);
    bench.write_wav("tone.wav", 1, &mono(4.0, of));
    let json = bench.does("measure tone.wav --tone 60 --json").json();
    let partials = &json["runs"][0]["before"]["partials"];
    check_near(&partials["tone_hz"], 60.0, 1e-3);
    check_near(&partials["tone_dbfs"], db(0.25), 0.01);
    let at = |lines: &Value, hz: f64| -> Value {
        let near = |line: &&Value| (line["hz"].as_f64().unwrap() - hz).abs() < 0.01;
        lines.as_array().unwrap().iter().find(near).expect("a line")["re_tone_db"].clone()
    };
    // 1 % and 0.1 % of the tone.
    check_near(&at(&partials["below"], 30.0), -40.0, 0.01);
    check_near(&at(&partials["above"], 180.0), -60.0, 0.05);
}

#[test]
fn a_quieter_and_later_copy_shows_its_gain_and_delay() {
    let bench = Bench::new();
    bench.write_wav("played.wav", 1, &mono(10.0, noise));
    bench.write_wav(
        "heard.wav",
        1,
        &mono(10.0, |n| if n < 480.0 { 0.0 } else { 0.5 * noise(n - 480.0) }),
    );
    let json = bench.does("measure heard.wav --against played.wav --json").json();
    let run = &json["runs"][0];
    let (before, after) = (&run["before"]["rms_dbfs"], &run["after"]["rms_dbfs"]);
    // Ten milliseconds of ten seconds are silent: 0.004 dB less.
    check_near(&(after.as_f64().unwrap() - before.as_f64().unwrap()).into(), db(0.5), 0.01);
    check_near(&run["transfer"]["delay_s"], 0.01, 1e-5);
    let points = run["transfer"]["points"].as_array().unwrap();
    let near = |p: &&Value| (95.0..105.0).contains(&p["hz"].as_f64().unwrap());
    let point = points.iter().find(near).expect("a point near 100 Hz");
    // A pure copy: what is left is the cut at the ends of the windows.
    check_near(&point["gain_db"], db(0.5), 0.2);
    assert!(point["coherence"].as_f64().unwrap() > 0.99, "{point}");
}

#[test]
fn text_json_and_report_tell_the_same_and_know_the_input() {
    let bench = Bench::new();
    let flac = format!("{}/tests/data/triangle.flac", env!("CARGO_MANIFEST_DIR"));
    std::fs::copy(flac, bench.path().join("triangle.flac")).unwrap();
    // What `sha256sum` (GNU coreutils 9.1) gives for the file.
    let hash = "10e0b14d6519d029b49078c9d906cb31b7b3b5d4cf39c8cbff8c22be030c2ab3";
    let text = bench.does("measure triangle.flac --report r.html");
    let json = bench.does("measure triangle.flac --json").json();
    assert_eq!(json["schema"], 1);
    assert_eq!(json["version"], env!("CARGO_PKG_VERSION"));
    assert_eq!(json["inputs"][0]["name"], "triangle.flac");
    assert_eq!(json["inputs"][0]["sha256"], hash);
    assert!(text.text().contains(hash));
    let html = String::from_utf8(bench.read("r.html")).unwrap();
    assert!(html.starts_with("<!") && html.contains(hash));
    assert_eq!(bench.does("measure triangle.flac --report -").text(), html);
}

#[test]
fn a_pipe_measures_like_a_file() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 2, &mono(1.0, |n| 0.1 * sine(80.0, n)));
    let file = bench.does("measure in.wav --json").json();
    let pipe = bench.run_with("measure - --json", &bench.read("in.wav")).json();
    assert_eq!(file["runs"][0]["before"], pipe["runs"][0]["before"]);
    assert_eq!(file["inputs"][0]["sha256"], pipe["inputs"][0]["sha256"]);
}

#[test]
fn what_is_odd_about_a_file_is_said_and_kept() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &mono(2.0, |n| 0.1 * sine(80.0, n)));
    let file = bench.read("in.wav");
    bench.write("cut.wav", &file[..file.len() / 2]);
    let ran = bench.run("measure cut.wav --json");
    assert_eq!(ran.code, 0);
    assert!(ran.said.contains("cut.wav: truncated: 1.0 s of 2.0 s"), "{}", ran.said);
    assert!(ran.json()["tables"].to_string().contains("truncated: 1.0 s of 2.0 s"));
}

#[test]
fn samples_that_are_no_numbers_are_heard_as_silence() {
    let bench = Bench::new();
    let of = |n: f64| if n % 1000.0 == 0.0 { f64::NAN } else { 0.1 * sine(80.0, n) };
    bench.write_wav("nan.wav", 1, &mono(1.0, of));
    let ran = bench.run("measure nan.wav --json");
    assert_eq!(ran.code, 0);
    // 48 000 samples, and every thousandth of them.
    assert!(ran.said.contains("48 samples are no numbers"), "{}", ran.said);
    let json = ran.json();
    // One sample in a thousand is missing: 0.004 dB.
    check_near(&json["runs"][0]["before"]["rms_dbfs"], -20.0, 0.02);
}

#[test]
fn a_mono_capture_is_held_against_both_channels() {
    let bench = Bench::new();
    let left = mono(2.0, noise);
    let both: Vec<f32> = left.iter().flat_map(|x| [*x, *x]).collect();
    bench.write_wav("mono.wav", 1, &left);
    bench.write_wav("both.wav", 2, &both);
    let run = &bench.does("measure mono.wav --against both.wav --json").json()["runs"][0];
    assert_eq!(run["before"]["rms_dbfs"], run["after"]["rms_dbfs"]);
}

#[test]
fn what_nothing_can_be_said_about_ends_with_five() {
    let bench = Bench::new();
    bench.write_wav("silent.wav", 1, &mono(1.0, |_| 0.0));
    bench.write_wav("short.wav", 1, &mono(0.05, |n| sine(80.0, n)));
    bench.write_wav("tone.wav", 1, &mono(2.0, |n| 0.1 * sine(80.0, n)));
    bench.does("signal tone --hz 80 --rate 44100 --seconds 1 -o other.wav");
    bench.fails("measure silent.wav", 5, &["silent.wav", "silent"]);
    bench.fails("measure short.wav", 5, &["short.wav", "too short"]);
    bench.fails("measure tone.wav --against other.wav", 5, &["sample rate", "48000", "44100"]);
}

#[test]
fn bad_requests_end_with_their_code_and_leave_nothing() {
    let bench = Bench::new();
    bench.write_wav("tone.wav", 1, &mono(1.0, |n| 0.1 * sine(80.0, n)));
    bench.write("r.html", b"precious");
    bench.fails("measure", 2, &["FILE"]);
    bench.fails("measure tone.wav --tone 0", 2, &["--tone"]);
    bench.fails("measure tone.wav --tone 24000", 2, &["--tone"]);
    bench.fails("measure tone.wav --json --report -", 2, &["standard output"]);
    bench.fails("measure none.wav", 3, &["none.wav"]);
    bench.fails("measure tone.wav --against none.wav", 3, &["none.wav"]);
    bench.fails("measure tone.wav --report r.html", 4, &["r.html exists", "--force"]);
    assert_eq!(bench.read("r.html"), b"precious");
    assert_eq!(bench.names(), ["r.html", "tone.wav"]);
}
