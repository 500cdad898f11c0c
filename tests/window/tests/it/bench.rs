//! The bench by the keys alone, what it says, and the desk from an input to a plan.

use egui::{Key, vec2};
use egui_kittest::kittest::Queryable;
use std::f64::consts::TAU;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use underpin::editor::files::take_files::{self, StepShelf};
use underpin::editor::measuring::finding_thread::FindingThread;
use underpin::editor::model::action::Action;
use underpin::editor::model::bench::{Heard, status};
use underpin::editor::model::returned::{Fault, Returned};
use underpin::editor::model::state::{Open, View};
use underpin::link::bench::Measured;
use underpin::planning::capture::Hearing;
use underpin::planning::take_reading::Purpose;
use underpin::plot::Palette;
use underpin::settings::Settings;
use underpin::signal::track::layout::{Content, Form, Section};
use underpin::signal::track::{Label, Track};
use underpin::takes::{Advice, InputLevel, Listening, Outcome, Playing};
use window_tests::{Stage, nothing, picture, plan, press, stage, words};

const RATE_HZ: f64 = 48_000.0;

/// A folder of its own that is empty.
fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("underpin-bench-{name}-{}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder");
    folder
}

fn heard(advice: Advice, playing: bool) -> Heard {
    let level = InputLevel { rms_dbfs: -18.3, peak_dbfs: -6.1, noise_dbfs: -81.0, full_scale: 0 };
    let playing = playing.then_some(Playing {
        hearing: Hearing { label: Label::new(Form::Short, 0, RATE_HZ), start_s: 3.0, channels: 1 },
        section: Some(Section {
            start_s: 29.6,
            seconds: 14.0,
            content: Content::Comb { peak_dbfs: -6.0 },
        }),
        left_s: 17.2,
    });
    Heard { level, advice, playing, channels: 2, returned: None }
}

#[test]
fn what_is_measured_is_chosen_at_the_start_of_the_line_and_goes_round() {
    let mut window = stage(Stage::new(nothing(), Palette::Day), vec2(960.0, 600.0), 1.0);
    window.run();
    let mut seen = Vec::new();
    for _ in 0..3 {
        window.get_by_label("what is measured").focus();
        window.run();
        press(&mut window, Key::Enter);
        seen.push(window.state().measured);
    }
    assert_eq!(seen, [Measured::Device, Measured::Radio, Measured::Line]);
    // The same by one key.
    press(&mut window, Key::M);
    assert_eq!(window.state().measured, Measured::Device);
    assert!(window.state().sounds_s.is_none(), "nothing starts by itself");
}

#[test]
fn what_a_radio_gives_is_said_in_words() {
    assert_eq!(status(None), "nothing has arrived yet: choose an input, and start the host");
    assert_eq!(status(Some(&heard(Advice::Good, false))), "listening for the start of the track");
    let told = status(Some(&heard(Advice::Good, true)));
    assert_eq!(told, "short form: comb at \u{2212}6 dBFS, 0:17 left, on the left input alone");
}

#[test]
fn every_part_of_the_bench_is_reached_and_works_by_keys() {
    let mut shown = Stage::new(nothing(), Palette::Day);
    (shown.measured, shown.state.view) = (Measured::Radio, View::Plan);
    shown.heard = Some(heard(Advice::Good, true));
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    for (name, action) in [
        ("write the track", Action::WriteTrack),
        ("keep the plan", Action::KeepPlan),
        ("forget these takes", Action::ForgetTakes),
    ] {
        window.get_by_label(name).focus();
        window.run();
        press(&mut window, Key::Enter);
        assert!(window.state().actions.contains(&action), "{name}");
    }
    window.get_by_label("name of the volume step").focus();
    window.run();
    window.event(egui::Event::Text("24".into()));
    window.run();
    assert_eq!(window.state().state.step, "24");
}

#[test]
fn a_device_begins_softly_and_its_settings_are_taken_over_by_a_key() {
    let mut shown = Stage::new(nothing(), Palette::Day);
    shown.measured = Measured::Device;
    let returned = Returned {
        is_sending: true,
        delay_ms: Some(12.345),
        gain_db: Some(-0.3),
        is_inverted: true,
        is_cable: false,
        fault: None,
    };
    shown.heard = Some(Heard { returned: Some(returned), ..heard(Advice::Good, false) });
    let wanted = Settings { low_band_gain_db: 7.5, octave_level_db: -9.0, ..Settings::default() };
    shown.identified = Some(wanted);
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    let seen = words(&window.output().shapes);
    let says = |text: &str| seen.iter().any(|word| word.text.contains(text));
    assert!(says("A DEVICE") && says("comes back 12.345 ms later, \u{2212}0.3 dB, turned over"));
    window.get_by_label("use the settings of the device").focus();
    window.run();
    press(&mut window, Key::Enter);
    assert_eq!(window.state().settings, wanted);
    // Before anything sounds its cautions are said, in place of everything else.
    press(&mut window, Key::T);
    let seen = words(&window.output().shapes);
    assert!(seen.iter().any(|word| word.text.contains("Lowest")), "no caution");
    press(&mut window, Key::T);
    // The track is among its signals, and nowhere else.
    press(&mut window, Key::T);
    window.get_by_label("test signal long track").focus();
    window.state_mut().measured = Measured::Line;
    window.run();
    assert!(window.query_by_label("test signal long track").is_none());
}

#[test]
fn faults_of_a_device_are_said_in_words() {
    for (fault, wanted) in [
        (Fault::NoReturn, "Nothing comes back: look for the cables and the input."),
        (Fault::Clipped, "Clipped: attenuate what comes back."),
        (Fault::Unlike, "What comes back is not what was sent."),
        (Fault::Jumped(-2.5), "The delay jumped by \u{2212}2.50 ms: sound was lost."),
    ] {
        let returned = Returned { fault: Some(fault), ..Returned::default() };
        assert_eq!(returned.sentence(), wanted);
    }
}

#[test]
fn captures_of_the_folder_are_chosen_by_keys() {
    let folder = folder("choose");
    for name in ["b.wav", "a.flac", "track.wav", "notes.txt"] {
        fs::write(folder.join(name), b"").expect("a file");
    }
    let mut shown = Stage::new(nothing(), Palette::Day);
    shown.state.view = View::Plan;
    shown.state.folder = folder.clone();
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    window.get_by_label("choose captures").focus();
    window.run();
    press(&mut window, Key::Enter);
    window.run();
    assert_eq!(window.state().state.open, Open::Captures);
    // The track itself is no capture, nor is a text.
    assert_eq!(window.state().state.captures.files, [folder.join("a.flac"), folder.join("b.wav")]);
    window.get_by_label("capture b").focus();
    window.run();
    press(&mut window, Key::Enter);
    press(&mut window, Key::ArrowUp);
    press(&mut window, Key::Enter);
    let wanted = window.state().state.captures.wanted();
    assert_eq!(wanted, [folder.join("b.wav"), folder.join("a.flac")], "in the order of choice");
    window.get_by_label("read the captures").focus();
    window.run();
    press(&mut window, Key::Enter);
    assert!(window.state().actions.contains(&Action::ReadCaptures));
    fs::remove_dir_all(folder).expect("removed");
}

/// What a radio with a high-pass of first order at 80 Hz gives of the short track.
fn radio() -> Vec<f32> {
    let track = Track::new(Form::Short, 0, RATE_HZ);
    let pole = (-TAU * 80.0 / RATE_HZ).exp();
    let (mut was, mut out) = (0.0, 0.0);
    let still = (3.0 * RATE_HZ) as usize;
    let all = track.samples() + 2 * still;
    let mut noise = 12_345u64;
    (0..all)
        .map(|n| {
            let now = n.checked_sub(still).filter(|n| *n < track.samples());
            let now = now.map_or(0.0, |n| track.frame(n)[0]);
            out = pole * (out + now - was);
            was = now;
            noise = noise.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(99_991);
            (0.3 * out + 1e-5 * ((noise >> 33) as f64 / (1u64 << 30) as f64 - 1.0)) as f32
        })
        .collect()
}

#[test]
fn a_take_is_kept_under_its_step_over_no_other_file_and_read_beside_the_window() {
    let folder = folder("read");
    fs::write(folder.join("step-12.wav"), b"somebody's own").expect("a file");
    let mut shelf = StepShelf { folder: folder.clone(), of_device: false, step: "12".into() };
    let mut listening = Listening::new(RATE_HZ, 1).expect("a rate");
    let mut outcomes = Vec::new();
    for block in radio().chunks(4096) {
        listening.push(&[block], &mut shelf, |outcome| outcomes.push(outcome));
    }
    let [Outcome::Kept(path)] = &outcomes[..] else { panic!("{outcomes:?}") };
    assert_eq!(*path, folder.join("step-12-2.wav"));
    assert_eq!(fs::read(folder.join("step-12.wav")).expect("still there"), b"somebody's own");
    let mut reader = FindingThread::default();
    reader.begin(&folder, vec![path.clone()], Purpose::Radio);
    let begun = Instant::now();
    let mut seen: Vec<f64> = Vec::new();
    let finding = loop {
        seen.extend(reader.progress());
        if let Some(answer) = reader.take() {
            break answer.expect("findings");
        }
        assert!(begun.elapsed() < Duration::from_secs(300), "it never ends");
        std::thread::sleep(Duration::from_millis(5));
    };
    assert!(seen.iter().all(|share| (0.0..=1.0).contains(share)) && seen.len() > 2, "{seen:?}");
    assert!(
        finding.plan.is_some() && finding.next.starts_with("Two steps louder"),
        "{}",
        finding.next
    );
    assert!(folder.join("track.wav").exists(), "the track that it is held against lies beside it");
    assert!(reader.progress().is_none(), "it is over");
    fs::remove_dir_all(folder).expect("removed");
}

#[test]
fn a_file_that_holds_no_track_is_one_sentence() {
    let folder = folder("none");
    fs::write(folder.join("a.wav"), b"no sound").expect("a file");
    let why = take_files::track_of(&folder, &folder.join("a.wav")).expect_err("no sound");
    assert!(why.ends_with('.') && why.contains("a.wav"), "{why}");
    fs::remove_dir_all(folder).expect("removed");
}

#[test]
fn the_bench_is_drawn() {
    let sizes = [
        (720.0, 480.0, "720-night", Palette::Night),
        (960.0, 600.0, "960-day", Palette::Day),
        (1920.0, 1080.0, "1920-contrast", Palette::HighContrast),
    ];
    for (width, height, size, palette) in sizes {
        for (name, has_plan) in [("bench-radio", false), ("bench-radio-plan", true)] {
            let mut shown = Stage::new(nothing(), palette);
            (shown.measured, shown.state.view) = (Measured::Radio, View::Plan);
            let advice = if has_plan { Advice::Good } else { Advice::Clipped };
            shown.heard = Some(heard(advice, true));
            if has_plan {
                shown.plan = Some(plan());
                shown.takes = ["step-12", "step-14"].map(|s| Path::new(s).into()).into();
                shown.next = "Two steps louder than step-14, the same again.".into();
            }
            let mut window = stage(shown, vec2(width, height), 1.0);
            window.run();
            let seen = words(&window.output().shapes);
            let says = |text: &str| seen.iter().any(|word| word.text.contains(text));
            assert!(says("A RADIO") && says("short form"), "{size}");
            assert_eq!(says("clipped: attenuate the input"), !has_plan, "{size}");
            picture(&mut window, &format!("{name}-{size}"));
        }
        let mut shown = Stage::new(nothing(), palette);
        (shown.state.view, shown.state.open) = (View::Plan, Open::Captures);
        shown.state.captures.files =
            ["step-12.wav", "step-14.wav", "step-16.flac"].map(|s| Path::new(s).into()).into();
        shown.state.captures.chosen = vec![0, 1];
        let mut window = stage(shown, vec2(width, height), 1.0);
        window.run();
        picture(&mut window, &format!("captures-{size}"));
    }
}
