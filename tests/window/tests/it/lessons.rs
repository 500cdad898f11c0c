//! Lessons as a hand goes through them: asked, chosen, measured, turned, set up in the line.

use egui::{Key, Modifiers, Pos2, Rect, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use underpin::editor::model::state::{Open, View};
use underpin::editor::paint::scale;
use underpin::lessons::ALL;
use underpin::link::measuring::Test;
use underpin::plot::Palette;
use window_tests::{Stage, nothing, overlaps, picture, stage, words_at};

const SIZES: [(f32, f32); 3] = [(720.0, 480.0), (960.0, 600.0), (1920.0, 1080.0)];

fn lesson(at: usize, (width, height): (f32, f32)) -> Harness<'static, Stage> {
    let mut shown = Stage::new(nothing(), Palette::Day);
    shown.state.view = View::Lessons;
    shown.state.lessons.open(at);
    let mut window = stage(shown, vec2(width, height), 1.0);
    window.run_steps(3);
    window
}

/// Lets the window be drawn until what was asked has been played.
fn played(window: &mut Harness<Stage>) {
    window.run_steps(2);
    while window.state().state.lessons.is_playing() {
        window.run_steps(1);
    }
    window.run_steps(2);
}

#[test]
fn a_lesson_asks_first_and_measures_then() {
    let mut window = lesson(0, SIZES[1]);
    let first = &ALL[0];
    assert!(window.query_by_label("next picture").is_none(), "shown before it was asked");
    window.get_by_label(&format!("b: {}", first.choices[1])).click();
    played(&mut window);
    let told = words_at(&window.output().shapes, 1.0);
    let says = |what: &str| told.iter().any(|words| words.text.contains(what));
    // The half of 60 Hz, at the level that is set.
    assert!(says("30.000 Hz") && says("\u{2212}6.00 dB"), "{told:?}");
    assert!(says("Right."), "{told:?}");
}

#[test]
fn a_hand_turns_the_answer() {
    let mut window = lesson(0, SIZES[1]);
    window.get_by_label(&format!("a: {}", ALL[0].choices[0])).click();
    played(&mut window);
    window.get_by_label(ALL[0].turn.name).focus();
    window.run_steps(1);
    window.key_press(Key::Home);
    played(&mut window);
    let told = words_at(&window.output().shapes, 1.0);
    let says = |what: &str| told.iter().any(|words| words.text.contains(what));
    assert!(says("\u{2212}30.00 dB") && says("so."), "{told:?}");
}

#[test]
fn a_lesson_sets_itself_up_in_the_line() {
    // The band of lesson 7 and its three tones.
    let mut window = lesson(6, SIZES[1]);
    window.get_by_label(&format!("b: {}", ALL[6].choices[1])).click();
    played(&mut window);
    window.get_by_label("set the lesson up in the line").click();
    window.run_steps(3);
    let stage = window.state();
    assert_eq!((stage.settings.low_band_gain_db, stage.settings.low_band_centre_hz), (6.0, 45.0));
    assert_eq!(stage.state.open, Open::TestSignal);
    let Test::Tones(hz) = stage.state.test_choice.test else { panic!("no tones") };
    assert!(hz.iter().any(|hz| (hz - 45.0).abs() < 1e-9), "{hz:?}");
    assert!(stage.sounds_s.is_none(), "it started by itself");
}

#[test]
fn keys_alone_go_through_the_course() {
    let mut window = lesson(0, SIZES[0]);
    window.state_mut().state.view = View::Spectrum;
    window.key_press_modifiers(Modifiers::COMMAND, Key::Num6);
    window.run_steps(2);
    assert_eq!(window.state().state.view, View::Lessons);
    window.get_by_label("next lesson").focus();
    window.run_steps(1);
    window.key_press(Key::Enter);
    window.run_steps(2);
    assert_eq!(window.state().state.lessons.number(), 2);
    window.get_by_label("lesson before").click();
    window.run_steps(1);
    window.get_by_label("lesson before").click();
    window.run_steps(2);
    assert_eq!(window.state().state.lessons.number(), ALL.len());
}

#[test]
fn no_words_of_a_lesson_lie_on_others() {
    let mut faults = Vec::new();
    for (at, of) in ALL.iter().enumerate() {
        for size in SIZES {
            let window = lesson(at, size);
            hold(&mut faults, &window, format!("lesson {} asked, {size:?}", at + 1), size);
        }
        // It is played once and drawn in every size.
        let mut window = lesson(at, SIZES[0]);
        window.get_by_label(&format!("c: {}", of.choices[2])).click();
        played(&mut window);
        for size in SIZES {
            for shown in 0..of.pictures.len() {
                window.state_mut().state.lessons.picture = shown;
                for _ in 0..3 {
                    // A window tells its size in every frame.
                    window.set_size(vec2(size.0, size.1));
                    window.run_steps(1);
                }
                let name = format!("lesson {} picture {shown}, {size:?}", at + 1);
                hold(&mut faults, &window, name, size);
            }
            if size == SIZES[1] {
                picture(&mut window, &format!("lesson-{}", at + 1));
            }
        }
    }
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

fn hold(faults: &mut Vec<String>, window: &Harness<Stage>, name: String, size: (f32, f32)) {
    let scale = scale::now(&window.ctx);
    let page = Rect::from_min_size(Pos2::ZERO, vec2(size.0, size.1) / scale).expand(0.5);
    let words = words_at(&window.output().shapes, scale);
    assert!(words.len() > 20, "{name}: hardly a word");
    let outside = words.iter().filter(|words| !page.contains_rect(words.rect));
    faults.extend(outside.map(|words| format!("{name}: {:?} leaves the window", words.text)));
    faults.extend(overlaps(&words).into_iter().map(|pair| format!("{name}: {pair}")));
}
