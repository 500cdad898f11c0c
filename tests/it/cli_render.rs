//! `render`: same length, every sample in its place, nothing added that was not asked for.

use underpin::path::Path;
use underpin::presets::named;

use crate::program::{Bench, wav_samples};

/// Something of everything: two detuned tones and a click, interleaved stereo.
fn sound(frames: usize) -> Vec<f32> {
    let of = |n: usize, hz: f64| (std::f64::consts::TAU * hz * n as f64 / 48_000.0).sin();
    let frame = |n| [0.4 * of(n, 55.0), 0.3 * of(n, 82.4) + if n == 3000 { 0.5 } else { 0.0 }];
    (0..frames).flat_map(frame).map(|x| x as f32).collect()
}

#[test]
fn bypass_gives_the_input_bit_for_bit() {
    let bench = Bench::new();
    let input = sound(20_000);
    bench.write_wav("in.wav", 2, &input);
    bench.does("render in.wav out.wav --preset kick-drum --set bypass=on");
    assert_eq!(bench.read_wav("out.wav"), input);
}

#[test]
fn the_untouched_preset_gives_the_input_bit_for_bit() {
    let bench = Bench::new();
    let input = sound(20_000);
    bench.write_wav("in.wav", 2, &input);
    bench.does("render in.wav out.wav --preset untouched");
    assert_eq!(bench.read_wav("out.wav"), input);
}

#[test]
fn the_file_holds_what_the_path_gives_in_one_block() {
    let bench = Bench::new();
    let input = sound(30_001);
    bench.write_wav("in.wav", 2, &input);
    bench.does("render in.wav out.wav --preset kick-drum");
    let mut left: Vec<f32> = input.iter().step_by(2).copied().collect();
    let mut right: Vec<f32> = input.iter().skip(1).step_by(2).copied().collect();
    let mut path = Path::new(48_000.0, 2);
    path.set(&named("kick-drum").unwrap().settings);
    path.process(&mut [&mut left, &mut right], &mut ());
    let expected: Vec<f32> = left.iter().zip(&right).flat_map(|(l, r)| [*l, *r]).collect();
    assert_eq!(bench.read_wav("out.wav"), expected);
}

#[test]
fn mono_equals_the_left_of_two_equal_channels() {
    let bench = Bench::new();
    let mono: Vec<f32> = sound(9000).iter().step_by(2).copied().collect();
    let both: Vec<f32> = mono.iter().flat_map(|x| [*x, *x]).collect();
    bench.write_wav("mono.wav", 1, &mono);
    bench.write_wav("both.wav", 2, &both);
    bench.does("render mono.wav mono_out.wav");
    bench.does("render both.wav both_out.wav");
    let left: Vec<f32> = bench.read_wav("both_out.wav").iter().step_by(2).copied().collect();
    assert_eq!(bench.read_wav("mono_out.wav"), left);
}

#[test]
fn a_pipe_gives_the_same_samples_as_a_file() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 2, &sound(9000));
    bench.does("render in.wav out.wav");
    let piped = bench.run_with("render - -", &bench.read("in.wav"));
    assert_eq!((piped.code, piped.said.as_str()), (0, ""));
    assert_eq!(wav_samples(&piped.out), bench.read_wav("out.wav"));
    // A stream cannot go back to write its size: it says that it is not known.
    assert_eq!(piped.out[4..8], [0xFF; 4]);
}

#[test]
fn a_preset_file_and_changes_on_top_are_heard() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &[0.25; 100]);
    bench.write(
        "half.toml",
        b"schema = 1\nname = \"Half\"\noctave.level_db = \"off\"\noutput.gain_db = -6\n",
    );
    bench.does("render in.wav out.wav --preset half.toml --set output.gain_db=6");
    // +6 dB is a factor of 10^(6/20); f32 holds 24 bits of it.
    let expected = (0.25 * 10f64.powf(6.0 / 20.0)) as f32;
    for sample in bench.read_wav("out.wav") {
        assert!((sample / expected - 1.0).abs() < 1e-6, "{sample}, not {expected}");
    }
}

#[test]
fn a_truncated_file_is_rendered_and_said() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &[0.1; 48_000]);
    let file = bench.read("in.wav");
    bench.write("cut.wav", &file[..44 + 4 * 12_000]);
    let ran = bench.run("render cut.wav out.wav --preset untouched");
    assert_eq!(ran.code, 0);
    assert!(ran.said.contains("cut.wav: truncated: 0.2 s of 1.0 s"), "{}", ran.said);
    assert_eq!(bench.read_wav("out.wav").len(), 12_000);
}

#[test]
fn integer_output_says_when_it_clips() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &[0.9; 10]);
    let args = "render in.wav out.wav --preset untouched --set output.gain_db=6 --format 16";
    let ran = bench.run(args);
    assert_eq!(ran.code, 0);
    assert!(ran.said.contains("10 samples"), "{}", ran.said);
    let kept = bench.run(&format!("{args} --force").replace("--format 16", "--format f32"));
    assert!(kept.code == 0 && kept.said.contains("the file keeps it"), "{}", kept.said);
}

#[test]
fn bad_requests_end_with_their_code_and_leave_nothing() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 1, &[0.0; 10]);
    bench.write("text.wav", b"this is no sound at all");
    bench.fails("render in.wav", 2, &["OUTPUT"]);
    bench.fails(
        "render in.wav out.wav --set octave.levl_db=3",
        2,
        &["did you mean octave.level_db"],
    );
    bench.fails("render in.wav out.wav --set octave.level_db=30", 2, &["-60 to 12 dB"]);
    bench.fails("render in.wav out.wav --set bypass", 2, &["key=value"]);
    bench.fails("render in.wav out.wav --preset nothing", 2, &["nothing", "kick-drum"]);
    bench.fails("render in.wav out.wav --preset text.wav", 3, &["text.wav", "TOML"]);
    bench.fails("render none.wav out.wav", 3, &["none.wav"]);
    bench.fails("render text.wav out.wav", 3, &["text.wav", "not a file of sound"]);
    bench.fails("render in.wav in.wav", 2, &["in.wav"]);
    bench.fails("render in.wav text.wav", 4, &["text.wav exists", "--force"]);
    bench.fails("render in.wav none/out.wav", 4, &["no folder"]);
    bench.fails("render in.wav .", 4, &["folder"]);
    assert_eq!(bench.names(), ["in.wav", "text.wav"]);
}

#[test]
fn the_report_measures_what_came_in_and_what_went_out() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 2, &sound(96_000));
    let args = "render in.wav out.wav --preset untouched --set output.gain_db=-6 --json";
    let json = bench.does(&format!("{args} --report r.html")).json();
    let run = &json["runs"][0];
    let rms = |side: &str| run[side]["rms_dbfs"].as_f64().unwrap();
    assert!((rms("after") - rms("before") + 6.0).abs() < 1e-4, "{run}");
    assert_eq!(json["settings"]["output.gain_db"], -6.0);
    assert_eq!(json["preset"], "Untouched");
    assert!(bench.read("r.html").starts_with(b"<!"));
    // What the report says of the output is what the file holds.
    let measured = bench.does("measure out.wav --json").json();
    let of_file = measured["runs"][0]["before"]["rms_dbfs"].as_f64().unwrap();
    assert!((rms("after") - of_file).abs() < 1e-6, "{} in the file {of_file}", rms("after"));
}

#[test]
fn listening_changes_no_sample() {
    let bench = Bench::new();
    bench.write_wav("in.wav", 2, &sound(48_000));
    bench.does("render in.wav plain.wav --preset kick-drum");
    bench.does("render in.wav heard.wav --preset kick-drum --report r.html");
    assert_eq!(bench.read("plain.wav"), bench.read("heard.wav"));
    bench.fails("render in.wav - --json", 2, &["standard output"]);
}

#[test]
fn an_output_over_full_scale_is_said_with_what_to_do() {
    let bench = Bench::new();
    let tone: Vec<f32> = (0..48_000)
        .map(|n| (std::f64::consts::TAU * 80.0 * f64::from(n) / 48_000.0).sin() as f32 * 0.5)
        .collect();
    bench.write_wav("in.wav", 1, &tone);
    // Half of full scale, 12 dB up: 6.0 dB over.
    let ran = bench.run("render in.wav out.wav --set octave.level_db=off --set output.gain_db=12");
    assert_eq!(ran.code, 0);
    assert!(ran.said.contains("exceeds full scale by 6.0 dB"), "{}", ran.said);
    assert!(
        ran.said.contains("output.gain_db") && ran.said.contains("output.ceiling"),
        "{}",
        ran.said
    );
    let quiet = bench.run("render in.wav quiet.wav --set octave.level_db=off");
    assert!(!quiet.said.contains("full scale"), "{}", quiet.said);
}
