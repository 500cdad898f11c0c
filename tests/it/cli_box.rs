//! `box` and `gains`: numbers are numbers, reports are pages, wrong words get a sentence.

use crate::program::Bench;

#[test]
fn a_box_is_told_from_its_driver() {
    let bench = Bench::new();
    let json = bench.does("box --fs 25 --qts 0.40 --vas 100 --volume 40 --json").json();
    // Small 1972 (from memory), computed with numpy.
    for (key, want) in [("fc_hz", 46.7707), ("qtc", 0.748331), ("f3_hz", 44.3356)] {
        let got = json["figures"][key].as_f64().expect("a number");
        assert!((got - want).abs() < 2e-4, "{key}: {got}, not {want}");
    }
    assert!(json["next"].as_str().unwrap().contains("--to-hz"));
}

#[test]
fn an_extension_says_what_it_costs() {
    let bench = Bench::new();
    let args = "box --fc 45 --qtc 0.9 --to-hz 25 --fs 25 --vas 100 --qes 0.45 --sd 500 --xmax 8 \
                --power 300 --report box.html";
    let text = bench.does(args).text().to_string();
    assert!(text.contains("Nearest one parametric band"), "{text}");
    // scipy.signal.bilinear: 10.21 dB far below, 8.2032 dB at 20 Hz, which is 6.61 times the power.
    assert!(text.contains("10.21") && text.contains("6.61"), "{text}");
    let html = String::from_utf8(bench.read("box.html")).unwrap();
    assert!(html.contains("As loud as it goes") && html.contains("class=\"glossary\""));
}

#[test]
fn every_picture_is_a_file_of_its_own() {
    let bench = Bench::new();
    let args = "box --fc 45 --qtc 0.9 --to-hz 25 --sd 500 --xmax 8 --json --pictures shown";
    bench.does(args);
    let mut names: Vec<String> = std::fs::read_dir(bench.path().join("shown"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    let tables = names.iter().filter(|name| name.ends_with(".csv")).count();
    assert!(tables >= 4 && names.contains(&"responses.csv".into()), "{names:?}");
    names.retain(|name| !name.ends_with(".csv"));
    assert_eq!(names, ["1-responses.svg", "2-as-loud-as-it-goes.svg"]);
    for name in names {
        let text = std::fs::read_to_string(bench.path().join("shown").join(&name)).unwrap();
        roxmltree::Document::parse(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
    }
    bench.fails(args, 4, &["1-responses.svg", "exists"]);
}

#[test]
fn gains_are_volts() {
    let bench = Bench::new();
    let args = "gains --power 500 --ohm 2 --overlap 5 --read 0.4 --tone -20 --amp-in 2 \
                --report gains.html --json";
    let json = bench.does(args).json();
    // sqrt(500·2) = 31.623 V; 0.4 V at -20 dBFS is 4 V at full scale, 6.02 dB over 2 V.
    assert!((json["figures"]["target_v"].as_f64().unwrap() - 31.623).abs() < 5e-4);
    assert!((json["figures"]["full_scale_v"].as_f64().unwrap() - 4.0).abs() < 1e-9);
    let margins = json["tables"].as_array().unwrap().iter().find(|t| t["title"] == "Clip margins");
    assert!((margins.unwrap()["values"][0][3].as_f64().unwrap() + 6.0).abs() < 0.05);
    assert!(json["finding"].as_str().unwrap().contains("clips"));
    let text = bench.does("gains").text().to_string();
    assert!(text.contains("44.721") && text.lines().last().unwrap().len() < 80, "{text}");
}

#[test]
fn what_no_box_has_is_refused_in_a_sentence() {
    let bench = Bench::new();
    bench.fails("box", 2, &["--fs", "--fc"]);
    bench.fails("box --fs 0 --qts 0.4 --vas 100 --volume 40", 2, &["--fs", "5"]);
    bench.fails("box --fc 45 --qtc nan", 2, &["--qtc"]);
    bench.fails("gains --power 500", 2, &["--ohm"]);
    bench.fails("gains --overlap 90", 2, &["--overlap", "15"]);
    bench.fails("gains --plan nowhere.toml", 3, &["nowhere.toml"]);
}
