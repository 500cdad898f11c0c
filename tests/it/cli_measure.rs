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

/// The parametric band of the Audio EQ Cookbook (W3C Note 2021) by its bandwidth in octaves.
fn peaked(samples: &[f32], hz: f64, octaves: f64, gain_db: f64) -> Vec<f32> {
    let (a, w) = (10f64.powf(gain_db / 40.0), TAU * hz / 48_000.0);
    let alpha = w.sin() * (2f64.ln() / 2.0 * octaves * w / w.sin()).sinh();
    let d = 1.0 + alpha / a;
    let b = [(1.0 + alpha * a) / d, -2.0 * w.cos() / d, (1.0 - alpha * a) / d];
    let a = [-2.0 * w.cos() / d, (1.0 - alpha / a) / d];
    let (mut one, mut two) = (0.0, 0.0);
    let step = |x: &f32| {
        let x = f64::from(*x);
        let y = b[0] * x + one;
        one = b[1] * x - a[0] * y + two;
        two = b[2] * x - a[1] * y;
        y as f32
    };
    samples.iter().map(step).collect()
}

fn finding(bench: &Bench, command: &str) -> String {
    let json = bench.does(&format!("{command} --json")).json();
    json["finding"].as_str().unwrap().replace('\u{2212}', "-")
}

#[test]
fn what_changed_is_told_after_levelling_by_the_mid_band() {
    let bench = Bench::new();
    let before = mono(20.0, noise);
    let lifted = peaked(&before, 50.0, 1.0, 9.0);
    let after: Vec<f32> = lifted.iter().map(|x| 0.5 * x).collect();
    bench.write_wav("before.wav", 1, &before);
    bench.write_wav("after.wav", 1, &after);
    let said = finding(&bench, "measure after.wav --against before.wav");
    // Half is 6.02 dB down; a lift of 9 dB one octave wide stands 8.8 dB high over its third.
    assert!(said.contains("levelled by +6.0 dB"), "{said}");
    assert!(said.contains("50 Hz rises by 9 dB"), "{said}");
}

#[test]
fn files_that_are_not_of_one_sound_do_not_match() {
    let bench = Bench::new();
    bench.write_wav("one.wav", 1, &mono(20.0, noise));
    // Another stretch of the noise, five minutes on.
    bench.write_wav("other.wav", 1, &mono(20.0, |n| 0.5 * noise(n + 14_400_000.0)));
    let said = finding(&bench, "measure other.wav --against one.wav");
    assert!(said.contains("do not match"), "{said}");
    assert!(!said.contains(" by "), "{said}");
}

#[test]
fn silence_in_one_band_is_no_number_of_decibels() {
    let bench = Bench::new();
    let mid = |n: f64| (0..60).map(|i| 0.005 * sine(205.5 + 13.0 * f64::from(i), n)).sum::<f64>();
    bench.write_wav("with.wav", 1, &mono(8.0, |n| mid(n) + 0.1 * sine(40.0, n)));
    bench.write_wav("without.wav", 1, &mono(8.0, mid));
    let said = finding(&bench, "measure without.wav --against with.wav");
    assert!(said.contains("silent at") && said.contains("40"), "{said}");
    let figures = said.split(|c: char| !c.is_ascii_digit()).filter_map(|w| w.parse::<u32>().ok());
    assert!(
        figures.into_iter().all(|figure| figure <= 1000 && !(100..200).contains(&figure)),
        "{said}"
    );
    bench.write_wav("nothing.wav", 1, &mono(8.0, |_| 0.0));
    bench.fails("measure with.wav --against nothing.wav", 5, &["nothing.wav", "silent"]);
}

#[test]
fn odd_halves_are_said_beside_the_harmonics() {
    let bench = Bench::new();
    let of = |n| 0.25 * sine(60.0, n) + 0.0125 * sine(90.0, n) + 0.000_25 * sine(120.0, n);
    bench.write_wav("tone.wav", 1, &mono(4.0, of));
    let said = finding(&bench, "measure tone.wav --tone 60");
    assert!(said.contains("harmonics of 0.10 %") && said.contains("odd halves"), "{said}");
    assert!(said.contains("of 5.0 %") && said.contains("nothing stands below"), "{said}");
    let text = bench.does("measure tone.wav --tone 60");
    assert!(text.text().contains("beside: odd halves"), "{}", text.text());
    let high = |n| 0.25 * sine(1200.0, n);
    bench.write_wav("high.wav", 1, &mono(4.0, high));
    let said = finding(&bench, "measure high.wav --tone 1200");
    assert!(said.contains("Beside the 1.2 kHz tone"), "{said}");
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
