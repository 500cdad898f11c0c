//! What the report says of planted radios and devices: the exact word and figure, as text, as
//! JSON and in the page.

use underpin::planning::clip_light::ClipLight;
use underpin::planning::diagnose::{Diagnosis, diagnose};
use underpin::planning::identify::identify;
use underpin::planning::take_reading::{Purpose, TakeReading};
use underpin::plot::responses::Verdict;
use underpin::report::{self, Sheet};
use underpin::signal::track::layout::Form;

use crate::decide::{Radio, session};
use crate::filters::Cascade;
use crate::reading::first;
use crate::room::{Recorder, Stereo, delayed, played};

const RATE: f64 = 12_000.0;

/// The same words in one line without marks, so that text, JSON and page compare.
fn plain(words: &str) -> String {
    let words = words
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&#39;", "'")
        .replace('\u{2212}', "-");
    let mark = |c: char| if "\",[]{}|:;()".contains(c) { ' ' } else { c };
    words.chars().map(mark).collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A page without its tags.
fn untagged(page: &str) -> String {
    let parts = page.split('<').map(|part| part.split_once('>').map_or(part, |(_, words)| words));
    parts.collect::<Vec<_>>().join(" ")
}

/// A sheet in its three forms.
fn forms(sheet: &Sheet) -> [(&'static str, String); 3] {
    [
        ("text", plain(&report::text(sheet))),
        ("JSON", plain(&report::json(sheet).to_string())),
        ("page", plain(&untagged(&report::html(sheet)))),
    ]
}

/// Fails unless every form has the cells one after another.
#[track_caller]
fn tells(sheet: &Sheet, cells: &[&str]) {
    let wanted = plain(&cells.join(" "));
    for (name, words) in forms(sheet) {
        assert!(words.contains(&wanted), "the {name} lacks {wanted:?}");
    }
}

/// Fails when any form has the words.
#[track_caller]
fn is_silent_about(sheet: &Sheet, unwanted: &str) {
    for (name, words) in forms(sheet) {
        assert!(!words.contains(&plain(unwanted)), "the {name} says {unwanted:?}");
    }
}

/// The rows of the first table whose title starts so.
fn rows(sheet: &Sheet, title: &str) -> Vec<Vec<String>> {
    let table = sheet.tables.iter().find(|table| table.title.starts_with(title));
    table.expect("the table").rows.clone()
}

fn sheet_of(found: &Diagnosis) -> Sheet {
    let mut sheet = Sheet::new("planted");
    report::diagnosis(&mut sheet, found);
    sheet
}

fn heard(sound: &Stereo, recorder: Recorder, channels: usize) -> TakeReading {
    first(&recorder.record(sound)[..channels], RATE, Purpose::Radio)
}

fn quiet() -> Recorder {
    Recorder { rate: RATE, noise_dbfs: -95.0, ..Recorder::default() }
}

/// The track through a filter, times a factor.
fn filtered(filter: &Cascade, gain: f64) -> Stereo {
    played(Form::Short, RATE).map(|mut channel| {
        filter.run(&mut channel);
        channel.iter().map(|x| gain * x).collect()
    })
}

#[test]
fn a_fixed_radio_is_told_with_its_slope_and_corner() {
    let radio = Radio { order: 4, hz: 80.0, eq_db: 0.0, limit_dbfs: 1.0 };
    let sheet = sheet_of(&session(&radio, &[-24.0, -8.0], 3));
    tells(&sheet, &["slope", "24 dB per octave"]);
    tells(&sheet, &["rolls off at 24 dB per octave, 3 dB down at 80 Hz."]);
    tells(&sheet, &["the bass", "The bass stays the same at every step"]);
    is_silent_about(&sheet, "falls with the volume");
    is_silent_about(&sheet, "limiter takes");
    // Butterworth of order 4: 3, 6 and 10 dB down at 80/(10^(dB/10) - 1)^(1/8).
    for fall in [3.0f64, 6.0, 10.0] {
        let want = 80.0 / (10f64.powf(fall / 10.0) - 1.0).powf(0.125);
        let row = rows(&sheet, "Roll-off");
        let row = row.iter().find(|row| row[0] == format!("{fall:.0} dB down at")).expect("a row");
        let told: f64 = row[1].split_whitespace().next().expect("a figure").parse().expect("Hz");
        assert!((told / want - 1.0).abs() < 0.01, "{fall} dB: {told} Hz, planted {want}");
        tells(&sheet, &[&row[0], &row[1]]);
    }
}

#[test]
fn a_radio_that_follows_its_volume_or_limits_is_told_as_such() {
    let volumes = [-32.0, -24.0, -16.0, -8.0, 0.0];
    let falling = Radio { order: 2, hz: 60.0, eq_db: 8.0, limit_dbfs: 1.0 };
    let sheet = sheet_of(&session(&falling, &volumes, 5));
    tells(&sheet, &["the bass", "The bass falls with the volume"]);
    is_silent_about(&sheet, "stays the same at every step");
    let limiting = Radio { order: 2, hz: 50.0, eq_db: 0.0, limit_dbfs: -34.0 };
    let sheet = sheet_of(&session(&limiting, &volumes, 6));
    tells(&sheet, &["the bass", "A limiter takes bass away when the level is high"]);
    is_silent_about(&sheet, "stays the same at every step");
}

#[test]
fn a_polarity_is_told_as_planted_or_as_open() {
    let radio = Cascade::high_pass(2, 40.0, RATE);
    for (gain, word) in [(1.0, "kept"), (-1.0, "inverted")] {
        let take = heard(&filtered(&radio, gain), quiet(), 1);
        let sheet = sheet_of(&diagnose(&[take], None).expect("a diagnosis"));
        tells(&sheet, &["polarity, recorder included", word]);
    }
    // A quarter turn at every frequency is neither: Hilbert's filter, 2/(πn) at odd n.
    let turned = played(Form::Short, RATE).map(|channel| quarter_turn(&channel));
    let found = diagnose(&[heard(&turned, quiet(), 1)], None).expect("a diagnosis");
    assert_eq!(found.channels[0].inverts, None);
    tells(&sheet_of(&found), &["polarity, recorder included", "undecided"]);
}

/// A quarter turn, 127 samples late: 2/(πn) under a Blackman window, flat from 150 Hz up.
fn quarter_turn(signal: &[f64]) -> Vec<f64> {
    const HALF: i64 = 127;
    let tap = |n: i64| {
        let u = std::f64::consts::PI * n as f64 / HALF as f64;
        let window = 0.42 + 0.5 * u.cos() + 0.08 * (2.0 * u).cos();
        window * 2.0 / (std::f64::consts::PI * n as f64)
    };
    let taps: Vec<(i64, f64)> =
        (-HALF..=HALF).filter(|n| n % 2 != 0).map(|n| (n, tap(n))).collect();
    let at = |place: i64| usize::try_from(place).ok().and_then(|i| signal.get(i)).unwrap_or(&0.0);
    (0..signal.len() as i64).map(|i| taps.iter().map(|(n, h)| h * at(i - HALF - n)).sum()).collect()
}

#[test]
fn two_channels_sum_or_do_not() {
    let sound = played(Form::Short, RATE);
    let told = |right: Vec<f64>| {
        let take = heard(&[sound[0].clone(), right], quiet(), 2);
        sheet_of(&diagnose(&[take], None).expect("a diagnosis"))
    };
    let same = told(sound[1].clone());
    tells(&same, &["second channel", "the same polarity, 0.00 ms later"]);
    tells(&same, &["sum", "can be summed"]);
    is_silent_about(&same, "do not sum");
    let turned = told(sound[1].iter().map(|x| -0.5 * x).collect());
    tells(&turned, &["second channel", "inverted,"]);
    // Half the amplitude is 6.02 dB.
    tells(&turned, &["level", "-6.0 dB"]);
    tells(&turned, &["sum", "do not sum as they are"]);
    // 4 ms: half a period of 125 Hz, where two equal channels cancel.
    let late = told(delayed(&sound[1], 48.0));
    tells(&late, &["second channel", "the same polarity, 4.00 ms later"]);
    tells(&late, &["sum", "do not sum as they are"]);
}

/// Programme over noise in a third octave, dB: pink of −20 dBFS has 10·lg 30 less in each of 30
/// bands; white noise over 0 to 6 kHz; the recorder takes 9 dB off the radio.
fn over_noise_db(filter: &Cascade, hz: f64, noise_dbfs: f64) -> f64 {
    let width = hz * (10f64.powf(0.05) - 10f64.powf(-0.05));
    let programme = -20.0 - 10.0 * 30f64.log10() - 9.0 + filter.db(hz, RATE);
    programme - (noise_dbfs + 10.0 * (width / (RATE / 2.0)).log10())
}

#[test]
fn each_band_is_told_as_there_or_gone_in_a_noisy_radio() {
    let radio = Cascade::high_pass(3, 90.0, RATE);
    let (mut there, mut gone) = (0, 0);
    for (noise_dbfs, seed) in [(-66.0, 1), (-60.0, 2), (-54.0, 3), (-48.0, 4)] {
        let recorder = Recorder { gain_db: -9.0, noise_dbfs, seed, ..quiet() };
        let take = heard(&filtered(&radio, 1.0), recorder, 1);
        // A loop-back shows a recorder without that noise: it is the radio's.
        let alone = heard(&played(Form::Short, RATE), Recorder { gain_db: -9.0, ..quiet() }, 1);
        let sheet = sheet_of(&diagnose(&[take], Some(&alone)).expect("a diagnosis"));
        for row in rows(&sheet, "Response") {
            let hz: f64 = row[0].parse().expect("Hz");
            let exact = 10f64.powf((10.0 * hz.log10()).round() / 10.0);
            let over = over_noise_db(&radio, exact, noise_dbfs);
            let verdict = row.last().expect("a verdict").as_str();
            // 15 dB over the noise can be lifted; 3 dB on either side is beyond every scatter here.
            let wanted = match over {
                // Weakened by more than 12 dB one band cannot bring it back.
                _ if over > 18.0 && radio.db(exact, RATE) < -16.0 => "present, beyond one band",
                _ if over > 18.0 && (-9.0..-2.0).contains(&radio.db(exact, RATE)) => {
                    "attenuated: lift"
                }
                _ if over < 12.0 => "gone: make new",
                _ => continue,
            };
            assert!(
                verdict.starts_with(wanted),
                "{verdict} against {wanted}, {hz} Hz, {over:.1} dB over noise at {noise_dbfs} dBFS"
            );
            // The level with its interval, where there is one. The mean power of a third of an
            // octave on 18 dB per octave lies up to 0.5 dB above its middle.
            if let [Ok(db), Ok(half)] = [&row[1], &row[2]].map(|cell| cell.parse::<f64>()) {
                let off = (db - radio.db(exact, RATE)).abs();
                assert!(off < half + 0.6, "{hz} Hz: {db} dB, planted {}", radio.db(exact, RATE));
            }
            let picture = sheet.responses.as_ref().expect("a picture");
            let stretch = picture.verdicts.iter().find(|s| (s.from_hz..s.to_hz).contains(&exact));
            let make_new = stretch.expect("a stretch").verdict == Verdict::MakeNew;
            assert_eq!(make_new, wanted.starts_with("gone"), "the picture at {hz} Hz");
            let cells: Vec<&str> = row.iter().map(String::as_str).collect();
            tells(&sheet, &cells);
            if wanted.starts_with("gone") { gone += 1 } else { there += 1 }
        }
    }
    assert!(there >= 8 && gone >= 8, "{there} there and {gone} gone were looked at");
}

#[test]
fn what_the_recorder_s_noise_hides_is_not_called_gone() {
    let radio = Cascade::high_pass(4, 90.0, RATE);
    let recorder = |seed| Recorder { gain_db: -9.0, noise_dbfs: -52.0, seed, ..quiet() };
    let take = heard(&filtered(&radio, 1.0), recorder(1), 1);
    let alone = heard(&played(Form::Short, RATE), recorder(2), 1);
    let blind = sheet_of(&diagnose(std::slice::from_ref(&take), None).expect("a diagnosis"));
    let sheet = sheet_of(&diagnose(&[take], Some(&alone)).expect("a diagnosis"));
    let gone = |sheet: &Sheet| {
        let rows = rows(sheet, "Response");
        rows.iter().filter(|row| row.last().is_some_and(|cell| cell.starts_with("gone"))).count()
    };
    assert_eq!(gone(&blind), 0, "without a loop-back it may be the recorder's");
    assert_eq!(gone(&sheet), 0, "with one it is known to be the recorder's");
    tells(&sheet, &["noise", "the capture's own"]);
    tells(&blind, &["noise", "the capture's own"]);
}

/// The radio's output at a volume, bent by `bend`, recorded 9 dB lower.
fn loud(volumes: &[f64], bend: impl Fn(f64) -> f64) -> Sheet {
    let takes: Vec<TakeReading> = volumes
        .iter()
        .enumerate()
        .map(|(i, volume)| {
            let gain = 10f64.powf(volume / 20.0);
            let sound =
                played(Form::Short, RATE).map(|c| c.iter().map(|x| bend(gain * x)).collect());
            heard(&sound, Recorder { gain_db: -9.0, seed: i as u64, ..quiet() }, 1)
        })
        .collect();
    sheet_of(&diagnose(&takes, None).expect("a diagnosis"))
}

/// What is told of the highest clean volume by the level tone.
fn clean_volume(sheet: &Sheet) -> String {
    let rows = rows(sheet, "Volume");
    let row = rows.iter().find(|row| row[0].starts_with("highest clean volume, 997 Hz"));
    row.expect("the row")[1].clone()
}

#[test]
fn the_highest_clean_volume_is_told_as_planted() {
    // A hard clip at −6 dBFS: a tone of −1 dBFS makes 1 % at 0.2513 dB over it, at a volume of
    // −6 + 1 + 0.2513 dB, 9 dB lower in the recording.
    let clip = 10f64.powf(-6.0 / 20.0);
    let sheet = loud(&[-16.0, -12.0, -8.0, -4.0, 0.0], |x| x.clamp(-clip, clip));
    let told = clean_volume(&sheet);
    let figure = told.trim_start_matches("volume ").split_whitespace().next().expect("a figure");
    let volume: f64 = figure.parse().expect("dB");
    assert!((volume - (-6.0 + 1.0 + 0.2513 - 9.0)).abs() < 0.3, "{told}");
    assert!(told.contains("within 0.3"), "{told}");
    tells(&sheet, &["highest clean volume, 997 Hz at -1 dBFS", &told]);
    // Nothing bends: clean at every step.
    let sheet = loud(&[-16.0, -8.0], |x| x);
    assert!(
        clean_volume(&sheet).starts_with("at least volume -17.0 dB"),
        "{}",
        clean_volume(&sheet)
    );
    // A bend of second order, 10 % at full scale, is no hard clip, and the lowest step has it.
    let sheet = loud(&[-4.0, 0.0], |x| x + 0.1 * x * x);
    assert!(clean_volume(&sheet).starts_with("below volume -13.0 dB"), "{}", clean_volume(&sheet));
}

#[test]
fn a_gain_that_moves_is_said_and_decides_nothing() {
    let mut sound = played(Form::Short, RATE);
    // In the middle of the loudest comb, by 0.45 dB.
    sound.iter_mut().for_each(|c| c[(36.3 * RATE) as usize..].iter_mut().for_each(|x| *x *= 0.95));
    let found = diagnose(&[heard(&sound, quiet(), 1)], None).expect("a diagnosis");
    assert!(found.takes[0].automatic_gain, "{:?}", found.takes[0]);
    tells(&sheet_of(&found), &["the level moves on its own"]);
}

#[test]
fn a_device_and_its_light_are_told_as_planted() {
    // A wire that turns its polarity over, takes 3 dB and clips at −5.6 dBFS of its input.
    let clip = 10f64.powf(-5.6 / 20.0);
    let gain = -(10f64.powf(-3.0 / 20.0));
    let sound = played(Form::Long, RATE)
        .map(|c| c.iter().map(|x| gain * x.clamp(-clip, clip)).collect::<Vec<_>>());
    let recorder = Recorder { clips: false, ..quiet() };
    let take = first(&recorder.record(&sound)[..1], RATE, Purpose::Device);
    let device = identify(&take).expect("a device");
    let told = |lit_dbfs: f64, one_percent_dbfs: Option<f64>| {
        let mut sheet = Sheet::new("planted");
        report::device(&mut sheet, &device, Some(&ClipLight { lit_dbfs, one_percent_dbfs }));
        sheet
    };
    let early = told(-8.0, Some(-5.5));
    tells(&early, &["clip light", "lights at -8 dBFS, 2.5 dB before 1 % distortion"]);
    let late = told(-3.0, Some(-5.5));
    tells(&late, &["clip light", "lights at -3 dBFS, 2.5 dB after 1 % distortion: too late"]);
    tells(&told(-6.0, Some(-5.5)), &["clip light", "lights at -6 dBFS, with 1 % distortion"]);
    tells(&told(-6.0, None), &["clip light", "lights at -6 dBFS; 1 % distortion was not reached"]);
    tells(&early, &["polarity", "inverted"]);
    tells(&early, &["octave part", "none found"]);
    tells(&early, &["high-pass", "none found"]);
    tells(&early, &["makes no halves and lifts no band."]);
    let figure = |row: &str| -> f64 {
        let rows = rows(&early, "Device");
        let row = rows.iter().find(|cells| cells[0] == row).expect("the row");
        row[1].split_whitespace().next().expect("a figure").parse().expect("a number")
    };
    assert!((figure("gain") + 3.0).abs() < 0.05, "{}", figure("gain"));
    // The level tone's ramp has steps of 1 dB.
    assert!((figure("clip point") + 5.6).abs() < 0.1, "{}", figure("clip point"));
}
