//! The sheet for the car, sounds of equal loudness, and the words that are explained.

use crate::program::Bench;

#[test]
fn the_sheet_for_the_car_is_one_page_that_needs_nothing_else() {
    let bench = Bench::new();
    bench.does("signal track -o stick.wav --rate 12000 --sheet car.html");
    let page = String::from_utf8(bench.read("car.html")).unwrap();
    for words in [
        "loudness off",
        "volume step",
        "Never ground either wire of a bridged output",
        "loud low tones from",
        "underpin diagnose stick.wav 12=step-12.wav",
        "never while driving",
    ] {
        assert!(page.contains(words), "{words}");
    }
    // 10 kOhm in both leads and 1 kOhm across: 20·lg(1/21) = -26.44 dB.
    assert!(page.contains("\u{2212}26.4 dB"), "the attenuator");
    for outside in ["http:", "https:", "<script", "src=\"", "href="] {
        assert!(!page.contains(outside), "the page holds {outside}");
    }
    assert!(!page.contains("clip light at"), "the short form asks about a device");
}

#[test]
fn the_long_form_also_serves_a_device() {
    let bench = Bench::new();
    bench.does("signal track -o long.wav --form long --rate 12000 --sheet bench.html");
    let page = String::from_utf8(bench.read("bench.html")).unwrap();
    assert!(page.contains("clip light at") && page.contains("underpin identify long.wav"));
}

/// The mono float samples of a WAV written by the program.
fn samples(wav: &[u8]) -> Vec<f64> {
    let data = wav.windows(4).position(|w| w == b"data").expect("a data chunk") + 8;
    let sample = |b: &[u8]| f64::from(f32::from_le_bytes(b.try_into().unwrap()));
    wav[data..].chunks_exact(4).map(sample).collect()
}

#[test]
fn what_is_matched_is_equally_loud() {
    let bench = Bench::new();
    bench.does("signal pink -o in.wav --seconds 6 --channels mono");
    let ran = bench.run("render in.wav out.wav --set octave.level_db=0 --match");
    assert_eq!(ran.code, 0, "{}", ran.said);
    assert_eq!(bench.names(), ["in.wav", "out-blend.wav", "out-dry.wav", "out-octave.wav"]);
    // Loudness by another library: ITU-R BS.1770 as ebur128 computes it.
    let loudness = |name: &str| {
        let mut meter = ebur128::EbuR128::new(1, 48_000, ebur128::Mode::I).unwrap();
        let sound: Vec<f64> = samples(&bench.read(name));
        assert!(sound.iter().all(|x| x.abs() < 1.0), "{name} clips");
        meter.add_frames_f64(&sound).unwrap();
        meter.loudness_global().unwrap()
    };
    let [dry, octave, blend] = ["out-dry.wav", "out-octave.wav", "out-blend.wav"].map(loudness);
    // A tenth of a decibel is what a meter shows.
    assert!((dry - blend).abs() < 0.1 && (octave - blend).abs() < 0.1, "{dry} {octave} {blend}");
    bench.fails("render in.wav - --match", 2, &["--match"]);
}

#[test]
fn the_glossary_says_what_the_reports_say() {
    let text = include_str!("../../docs/glossary.md");
    for (word, means) in underpin::report::GLOSSARY {
        assert!(text.to_lowercase().contains(&format!("| {word}")), "{word}");
        assert!(text.contains(means), "{means}");
    }
}
