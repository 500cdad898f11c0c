//! Averages over all or the latest part, held extremes, and drawing only when there is cause.

use egui::{Key, vec2};
use egui_kittest::kittest::Queryable;
use underpin::editor::measuring::rolling::Rolling;
use underpin::editor::model::action::Action;
use underpin::editor::model::averaging::Span;
use underpin::editor::model::state::{Open, View};
use underpin::figures::difference;
use underpin::link::Run;
use underpin::link::bench::Measured;
use underpin::measure::Ask;
use underpin::path::{Listen, Tap};
use underpin::plot::Palette;
use window_tests::{STEP_S, Stage, nothing, pink, stage, tone, words};

/// A tone of 1 kHz, loud for 20 s and then 40 dB softer for 13 s: the level and the length of
/// what is read at the end, and every length that was read from the 12th second on.
fn level_after(span: Span) -> (f64, f64, Vec<f64>) {
    let run = Run { sample_rate_hz: 8000.0, channels: 1, measured: Measured::Line };
    let mut rolling = Rolling::new(run, Ask::default(), span);
    let sine = |n: usize| (std::f64::consts::TAU * n as f64 / 8.0).sin();
    let mut lengths = Vec::new();
    for piece in 0..330 {
        let gain = if piece < 200 { 0.5 } else { 0.005 };
        let samples: Vec<f64> = (0..800).map(|n| gain * sine(n)).collect();
        rolling.hear(Tap::Before, &[&samples]);
        rolling.hear(Tap::After, &[&samples]);
        rolling.pass(samples.len());
        if piece >= 120 && piece % 10 == 0 {
            lengths.push(rolling.reading().expect("a reading").seconds);
        }
    }
    let reading = rolling.reading().expect("a reading");
    (reading.before.level.rms_dbfs, reading.seconds, lengths)
}

#[test]
fn the_latest_part_forgets_what_was_before_it() {
    // AES17: a sine of peak 0.005 is 20·log10(0.005) = -46.02 dBFS.
    let (late, seconds, lengths) = level_after(Span::TenSeconds);
    assert!((late + 46.02).abs() < 0.01, "{late} dBFS of {seconds} s");
    // Three staggered meters: a sixth of ten seconds, and a piece of 0.1 s.
    assert!(lengths.iter().all(|s| (s - 10.0).abs() < 10.0 / 6.0 + 0.11), "{lengths:?} s");
    // 20 s at 0.5 and 13 s at 0.005: 10·log10((20·0.25 + 13·0.000025)/33) = -8.195 dBFS.
    let (all, seconds, _) = level_after(Span::Whole);
    assert!((all + 8.195).abs() < 0.01, "{all} dBFS");
    assert!((seconds - 33.0).abs() < 0.01, "{seconds} s");
}

#[test]
fn the_choice_of_averages_goes_round_and_is_said() {
    let mut window = stage(Stage::new(nothing(), Palette::Day), vec2(960.0, 600.0), 1.0);
    window.run();
    for (span, said) in [
        (Span::HalfMinute, "last 30 s"),
        (Span::TenSeconds, "last 10 s"),
        (Span::Whole, "mean of all"),
    ] {
        window.get_by_label("over what is averaged").focus();
        window.run();
        window.key_press(Key::Enter);
        window.run();
        assert_eq!(window.state().actions.last(), Some(&Action::Average(span)));
        let shown = words(&window.output().shapes);
        assert!(shown.iter().any(|w| w.text == said), "{said} is not said");
    }
}

#[test]
fn the_highest_and_lowest_are_held_until_they_are_let_go() {
    let loud = pink(20.0);
    let mut window = stage(Stage::new(loud.clone(), Palette::Day), vec2(960.0, 600.0), 1.0);
    window.state_mut().state.cursor.hz = Some(50.0);
    window.run();
    window.key_press(Key::H);
    window.run();
    // The second reading has half the power in what comes out: 3.01 dB less at every place.
    let mut soft = loud;
    let after = soft.runs[0].readings.after.as_mut().expect("what comes out");
    after.spectrum.power.iter_mut().for_each(|power| *power *= 0.5);
    window.state_mut().sheet = soft;
    window.state_mut().reading += 1;
    window.run();
    let shown: Vec<String> = words(&window.output().shapes).into_iter().map(|w| w.text).collect();
    let figure = |name: &str| -> f64 {
        let at = shown.iter().position(|w| w == name).expect(name);
        shown[at + 1].replace('\u{2212}', "-").parse().expect("a level")
    };
    let (highest, lowest) = (figure("highest"), figure("lowest"));
    assert!((highest - lowest - 3.0).abs() <= 0.11, "{highest} and {lowest}");
    assert!(difference(lowest).len() > 1);
    window.key_press(Key::H);
    window.run();
    let shown = words(&window.output().shapes);
    assert!(!shown.iter().any(|w| w.text == "highest"));
}

#[test]
fn nothing_asks_to_be_drawn_again_without_cause() {
    let noise = pink(5.0);
    let tone = tone(60.0, 0.5);
    for (view, words) in View::ALL {
        for open in [Open::Nothing, Open::TestSignal, Open::Presets, Open::Tray] {
            for sheet in [&noise, &tone] {
                let mut shown = Stage::new(sheet.clone(), Palette::Day);
                shown.state.view = view;
                shown.state.open = open;
                let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
                window.run();
                // The next frame is drawn by this test alone and asks for no other.
                window.step();
                let asked = window.ctx.has_requested_repaint();
                assert!(!asked, "{words}, {open:?}: {:?}", window.ctx.repaint_causes());
            }
        }
    }
}

#[test]
fn an_answer_leaves_after_six_seconds_or_at_the_next_action() {
    let mut window = stage(Stage::new(pink(20.0), Palette::Day), vec2(960.0, 600.0), 1.0);
    window.state_mut().state.message = Some("Saved: somewhere".into());
    window.run_steps((5.0 / STEP_S) as usize);
    assert!(window.state().state.message.is_some());
    window.run_steps((1.5 / STEP_S) as usize);
    assert_eq!(window.state().state.message, None);
    window.state_mut().state.message = Some("Saved: somewhere".into());
    window.run_steps(2);
    window.key_press(egui::Key::B);
    window.run_steps(2);
    assert_eq!(window.state().state.message, None);
}
