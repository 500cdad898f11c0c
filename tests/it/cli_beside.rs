//! What is set beside each other: outputs and sources, channels, methods, before and after; and what
//! every command says to do next.

use serde_json::Value;

use crate::program::Bench;

/// A Butterworth high-pass of fourth order, dB.
fn butterworth_db(corner_hz: f64, hz: f64) -> f64 {
    -10.0 * (1.0 + (corner_hz / hz).powi(8)).log10()
}

fn radio(bench: &Bench, name: &str, corner_hz: f64, gain_db: f64) {
    bench.does(&format!(
        "render track.wav {name} --set octave.level_db=off --set high_pass.order=4 \
         --set high_pass.hz={corner_hz} --set output.gain_db={gain_db}"
    ));
}

#[track_caller]
fn table<'a>(json: &'a Value, title: &str) -> &'a Value {
    let tables = json["tables"].as_array().unwrap();
    let found = tables.iter().find(|t| t["title"].as_str().unwrap().starts_with(title));
    found.unwrap_or_else(|| panic!("no table {title}"))
}

#[track_caller]
fn cells(row: &Value) -> Vec<&str> {
    row.as_array().unwrap().iter().map(|cell| cell.as_str().unwrap()).collect()
}

/// The first number of a text; a typographic minus counts.
#[track_caller]
fn number(text: &str) -> f64 {
    let plain = text.replace('\u{2212}', "-");
    plain.split_whitespace().find_map(|word| word.trim_start_matches('+').parse().ok()).unwrap()
}

#[test]
fn two_sources_are_held_against_each_other() {
    let bench = Bench::new();
    bench.does("signal track -o track.wav --rate 12000");
    radio(&bench, "stick.wav", 40.0, -8.0);
    radio(&bench, "tooth.wav", 58.0, -9.5);
    let args = "diagnose track.wav stick=stick.wav bluetooth=tooth.wav";
    let json = bench.does(&format!("{args} --json --pictures pictures")).json();
    let rows = table(&json, "Beside each other")["rows"].as_array().unwrap();
    let row = cells(&rows[0]);
    assert_eq!(row[0], "bluetooth re stick");
    // 9.5 dB taken against 8; the mid band of both is flat within 0.01 dB.
    assert!((number(row[1]) + 1.5).abs() < 0.1, "{row:?}");
    assert_eq!(row[2], "the same");
    // Of all bands that show, the lowest differs most: by 8 times the logarithm of the corners.
    let hz: f64 = row[3].split("at ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
    let exact = 10f64.powf((10.0 * hz.log10()).round() / 10.0);
    let planted = butterworth_db(58.0, exact) - butterworth_db(40.0, exact);
    assert!((number(row[3]) - planted).abs() < 0.7, "{row:?} against {planted}");
    let found = json["findings"].as_array().unwrap();
    assert!(found.iter().any(|f| f["what"] == "bluetooth against stick" && f["sure"] == true));
    // They are no steps of one volume.
    assert!(!json["finding"].as_str().unwrap().contains("falls with the volume"));
    let csv = String::from_utf8(bench.read("pictures/responses.csv")).unwrap();
    assert!(csv.starts_with("response,frequency_hz,db_re_mid_band\n") && csv.lines().count() > 20);
}

#[test]
fn steps_have_a_volume_curve() {
    let bench = Bench::new();
    bench.does("signal track -o track.wav --rate 12000");
    radio(&bench, "low.wav", 50.0, -20.0);
    radio(&bench, "high.wav", 50.0, -8.0);
    let json = bench.does("diagnose track.wav high.wav low.wav --json --pictures p").json();
    let rows = table(&json, "Volume curve")["rows"].as_array().unwrap();
    assert_eq!((cells(&rows[0])[0], cells(&rows[1])[0]), ("low", "high"));
    assert!((number(cells(&rows[1])[2]) - 12.0).abs() < 0.1, "{rows:?}");
    let names = std::fs::read_dir(bench.path().join("p")).unwrap();
    let names: Vec<String> =
        names.map(|name| name.unwrap().file_name().into_string().unwrap()).collect();
    assert!(names.iter().any(|name| name.ends_with("volume-curve.svg")), "{names:?}");
    assert!(names.iter().any(|name| name.ends_with("the-bass-of-every-take.svg")), "{names:?}");
}

/// Two mono files of 32-bit floats as left and right of one.
fn stereo(bench: &Bench, left: &str, right: &str, name: &str) {
    let [left, right] = [left, right].map(|name| bench.read(name));
    let place = left.windows(4).position(|w| w == b"data").unwrap() + 8;
    let samples = |bytes: &[u8]| -> Vec<[u8; 4]> {
        // A frame of the stereo track is two floats: the left one is the radio's.
        bytes[place..].chunks_exact(8).map(|f| [f[0], f[1], f[2], f[3]]).collect()
    };
    let mut bytes = left[..place].to_vec();
    for (l, r) in samples(&left).iter().zip(samples(&right)) {
        bytes.extend(l);
        bytes.extend(r);
    }
    std::fs::write(bench.path().join(name), bytes).unwrap();
}

#[test]
fn channels_that_differ_get_settings_each() {
    let bench = Bench::new();
    bench.does("signal track -o track.wav --rate 12000");
    radio(&bench, "a.wav", 35.0, -8.0);
    radio(&bench, "b.wav", 60.0, -8.0);
    stereo(&bench, "a.wav", "b.wav", "apart.wav");
    stereo(&bench, "a.wav", "a.wav", "alike.wav");
    let json = bench.does("tune track.wav apart.wav --json").json();
    let rows = table(&json, "Settings of each channel")["rows"].as_array().unwrap();
    let differ = rows.iter().map(cells).filter(|row| row[1] != row[2]).count();
    assert!(differ > 0, "{rows:?}");
    // Asked for the second channel, the two stand the other way round.
    let other = bench.does("tune track.wav apart.wav --channel 2 --json").json();
    let turned = table(&other, "Settings of each channel")["rows"].as_array().unwrap();
    let swapped = |row: &Value| {
        let row = cells(row);
        (row[0].to_string(), row[2].to_string(), row[1].to_string())
    };
    let plain = |row: &Value| {
        let row = cells(row);
        (row[0].to_string(), row[1].to_string(), row[2].to_string())
    };
    assert_eq!(
        rows.iter().map(plain).collect::<Vec<_>>(),
        turned.iter().map(swapped).collect::<Vec<_>>()
    );
    let alike = bench.does("tune track.wav alike.wav --json").json();
    let tables = alike["tables"].as_array().unwrap();
    assert!(tables.iter().all(|t| t["title"] != "Settings of each channel"));
    bench.fails("tune track.wav alike.wav --channel 3", 2, &["--channel", "1 to 2"]);
}

#[test]
fn a_ported_box_tells_how_far_its_cone_runs() {
    let bench = Bench::new();
    bench.does("signal track -o track.wav --rate 12000");
    radio(&bench, "radio.wav", 60.0, -8.0);
    let json = bench.does("tune track.wav radio.wav --ported 30 --no-octave --json").json();
    let rows = table(&json, "To mind")["rows"].as_array().unwrap();
    let row = rows.iter().map(cells).find(|row| row[0] == "how far the cone moves").expect("a row");
    // Below 0.852 of the tuning the cone of the maximally flat box moves further than anywhere
    // above (numpy, Small's equation on 200 000 frequencies): 25.5 Hz.
    assert!(row[1].starts_with("below 26 Hz"), "{row:?}");
    let told = number(row[1].split("up to ").nth(1).unwrap());
    let settings = &json["settings"];
    let value = |key: &str| settings[key].as_f64().unwrap();
    assert_eq!(settings["high_pass.order"], "4");
    let line = |hz: f64| {
        butterworth_db(value("high_pass.hz"), hz)
            + parametric_db(
                [
                    value("low_band.centre_hz"),
                    value("low_band.width_oct"),
                    value("low_band.gain_db"),
                ],
                hz,
            )
    };
    let top = (30..120).map(|hz| cone_db(f64::from(hz) / 30.0)).fold(f64::MIN, f64::max);
    let below = (100..297).map(|tenths| f64::from(tenths) / 10.0);
    let most = below.map(|hz| cone_db(hz / 30.0) + line(hz) - top).fold(f64::MIN, f64::max);
    assert!((told - most).abs() < 0.15, "{told} against {most}");
}

/// Excursion of the maximally flat ported box at a multiple of its tuning, dB: |1 - f^2| over the
/// denominator of a Butterworth filter of fourth order (Small 1973, no losses).
fn cone_db(f: f64) -> f64 {
    20.0 * ((1.0 - f * f).abs() / (1.0 + f.powi(8)).sqrt()).log10()
}

/// A parametric band by the Audio EQ Cookbook, far below the sample rate: centre, width, gain.
fn parametric_db([centre, width, gain]: [f64; 3], hz: f64) -> f64 {
    let (a, k) = (10f64.powf(gain / 40.0), 2.0 * (std::f64::consts::LN_2 / 2.0 * width).sinh());
    let (u, real) = (hz / centre, 1.0 - (hz / centre).powi(2));
    let power = |damping: f64| real * real + (damping * u).powi(2);
    10.0 * (power(k * a) / power(k / a)).log10()
}

#[test]
fn methods_stand_beside_each_other() {
    let bench = Bench::new();
    let json = bench.does("prove --methods --json").json();
    let rows = table(&json, "Methods beside each other")["rows"].as_array().unwrap();
    let rows: Vec<Vec<&str>> = rows.iter().map(cells).collect();
    assert_eq!(rows.len(), 4);
    let two = |name: &str| number(rows.iter().find(|row| row[0].starts_with(name)).unwrap()[3]);
    // The whole band halved at once halves the wave of two tones, which adds tones of its own; each
    // component by itself does not (trigonometry: cos a + cos b is a product).
    assert!(two("tracked, clean") < -60.0 && two("halved") > -40.0, "{rows:?}");
    // A divider of one tone leaves odd halves at 0.4 and 0.19 of the half: (8/pi)/|m^2 - 4|.
    let divided = number(rows.iter().find(|row| row[0] == "divided").unwrap()[2]);
    assert!((-12.0..-3.0).contains(&divided), "{divided}");
    let lines = table(&json, "Lines of the octave part alone")["rows"].as_array().unwrap();
    assert_eq!(number(cells(&lines[0])[0]), 0.5);
}

#[test]
fn a_hand_over_can_be_heard() {
    let bench = Bench::new();
    bench.does("signal track -o track.wav --rate 12000");
    radio(&bench, "radio.wav", 60.0, -8.0);
    bench.does("tune track.wav radio.wav --plan plan.toml --preset mine.toml --json");
    bench.does("signal kick --every 0.5 --seconds 8 -o song.wav");
    let args = "hand-over plan.toml --sounds song.wav --from 1 --report";
    bench.does(&format!("{args} a.html"));
    bench.does(&format!("{args} b.html"));
    assert_eq!(bench.read("a.html"), bench.read("b.html"));
    let page = String::from_utf8(bench.read("a.html")).unwrap();
    assert!(page.len() < 2_000_000, "{} bytes", page.len());
    let wavs: Vec<&str> = page.split("data:audio/wav;base64,").skip(1).collect();
    let wavs: Vec<Vec<u8>> = wavs.iter().map(|w| decoded(w.split('"').next().unwrap())).collect();
    let lufs: Vec<f64> = wavs.iter().map(|wav| loudness(wav)).collect();
    // Equal by BS.1770, as another meter of the same recommendation reads them.
    assert!(lufs.len() == 2 && (lufs[0] - lufs[1]).abs() < 0.1, "{lufs:?}");
    assert_ne!(wavs[0], wavs[1]);
    bench.fails("hand-over plan.toml --sounds song.wav --from 60 --report c.html", 5, &["over"]);
    bench.fails("hand-over plan.toml --sounds song.wav", 2, &["--report"]);
}

/// RFC 4648, section 4.
fn decoded(text: &str) -> Vec<u8> {
    let value = |c: u8| match c {
        b'A'..=b'Z' => c - b'A',
        b'a'..=b'z' => c - b'a' + 26,
        b'0'..=b'9' => c - b'0' + 52,
        b'+' => 62,
        _ => 63,
    };
    let mut bytes = Vec::new();
    for four in text.trim_end_matches('=').as_bytes().chunks(4) {
        let word = four.iter().fold(0u32, |w, c| w << 6 | u32::from(value(*c)));
        let word = word << (6 * (4 - four.len()));
        bytes.extend(&word.to_be_bytes()[1..four.len()]);
    }
    bytes
}

fn loudness(wav: &[u8]) -> f64 {
    let rate = u32::from_le_bytes(wav[24..28].try_into().unwrap());
    let place = wav.windows(4).position(|w| w == b"data").unwrap() + 8;
    let samples = wav[place..].chunks_exact(2).map(|s| i16::from_le_bytes([s[0], s[1]]));
    let samples: Vec<i16> = samples.collect();
    assert!(samples.len() as f64 > 4.9 * f64::from(rate));
    let mut meter = ebur128::EbuR128::new(1, rate, ebur128::Mode::I).unwrap();
    meter.add_frames_i16(&samples).unwrap();
    meter.loudness_global().unwrap()
}

#[test]
fn every_command_says_what_comes_next() {
    let bench = Bench::new();
    bench.does("signal track -o track.wav --rate 12000");
    radio(&bench, "radio.wav", 60.0, -8.0);
    bench.does("signal tone --hz 60 --seconds 2 -o tone.wav");
    bench.does("signal track --form long -o long.wav --rate 12000");
    for (args, next) in [
        ("diagnose track.wav radio.wav", "underpin tune track.wav radio.wav"),
        ("tune track.wav radio.wav", "underpin tune track.wav radio.wav --preset"),
        ("tune track.wav radio.wav --plan plan.toml", "underpin prove --plan plan.toml"),
        ("prove --plan plan.toml", "underpin hand-over plan.toml"),
        ("prove", "underpin render"),
        ("measure tone.wav", "underpin measure tone.wav --against"),
        ("measure tone.wav --against tone.wav", "underpin signal track"),
        ("identify long.wav long.wav", "underpin identify long.wav long.wav --preset"),
        ("render tone.wav out.wav", "underpin render tone.wav out.wav --match"),
        ("hand-over plan.toml", "load the settings again"),
        ("box --fc 45 --qtc 0.9 --to-hz 25", "add --sd"),
        ("gains --power 500 --ohm 2", ""),
    ] {
        let json = bench.run(&format!("{args} --json")).json();
        let said = json["next"].as_str().unwrap_or_else(|| panic!("{args} says nothing"));
        assert!(said.contains(next), "{args}: {said}");
    }
    // A name that a shell would take apart stands in quotes.
    std::fs::copy(bench.path().join("radio.wav"), bench.path().join("a b.wav")).unwrap();
    let mut command = bench.command();
    let output = command.args(["diagnose", "track.wav", "a b.wav", "--json"]).output().unwrap();
    let json: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(json["next"].as_str().unwrap().contains("'a b.wav'"), "{json}");
}
