//! Every lesson's figure against what is true of it outside the program, and the course as a person
//! reads it.

use underpin::lessons::{ALL, Lesson};
use underpin::plot::Mark;
use underpin::report::Figure;

fn figures(title: &str) -> Vec<Figure> {
    let lesson: &Lesson = ALL.iter().find(|lesson| lesson.title == title).expect("a lesson");
    lesson.figures(&lesson.play(&lesson.setups(None)).expect("signals that can be made")).figures
}

#[track_caller]
fn held(figures: &[Figure], key: &str, truth: f64, within: f64) {
    let figure = figures.iter().find(|figure| figure.key == key).expect("a figure");
    let value = figure.value.expect("a number");
    assert!((value - truth).abs() <= within, "{key}: {value} against {truth}");
}

fn value(figures: &[Figure], key: &str) -> f64 {
    figures
        .iter()
        .find(|figure| figure.key == key)
        .and_then(|figure| figure.value)
        .expect("a number")
}

#[test]
fn a_half_is_a_half() {
    let told = figures("a tone and its half");
    held(&told, "half_hz", 30.0, 0.002);
    // The octave part's level is told re its source: -6 dB is the setting itself.
    held(&told, "half_re_tone_db", -6.0, 0.05);
    let told = figures("the wave repeats half as often");
    held(&told, "thd_percent", 0.0, 0.01);
    held(&told, "below_percent", 100.0 * 10f64.powf(-6.0 / 20.0), 0.5);
    // Of two swings the tone is the same and the half turned over: twice the half, re both.
    let half = 10f64.powf(-6.0 / 20.0);
    let apart = 100.0 * (2.0 * half * half / (1.0 + half * half)).sqrt();
    held(&told, "differs_percent", apart, 3.0);
}

#[test]
fn the_sign_of_a_kick_moves_its_peak_and_not_its_spectrum() {
    let told = figures("a kick and the sign of its half");
    held(&told, "octave_turned_db", value(&told, "octave_as_is_db"), 0.2);
    let apart = value(&told, "peak_as_is_db") - value(&told, "peak_turned_db");
    assert!(apart.abs() > 0.5, "{apart}");
}

#[test]
fn only_components_halve_two_tones_cleanly() {
    let told = figures("two tones at once");
    assert!(value(&told, "tracked_else_db") < -60.0, "{told:?}");
    assert!(value(&told, "halved_else_db") > -40.0, "{told:?}");
    assert!(value(&told, "divided_else_db") > -15.0, "{told:?}");
}

#[test]
fn noise_fills_a_band_and_scatters_as_its_formula_says() {
    let told = figures("what pink noise shows");
    assert!(
        value(&told, "adds_31_db") > 1.5 && value(&told, "adds_125_db").abs() < 0.5,
        "{told:?}"
    );
    // 4.343/sqrt(B T), B = 4.62 Hz of the 20 Hz third octave, T = 10 s less what a window weighs.
    held(&told, "scatter_20_db", 4.343 / (4.62f64 * 10.0).sqrt(), 0.1);
    let told = figures("the low bands need time");
    // The scatter of ten readings is known to 1/sqrt(2 x 9), a quarter; a window of Hann weighs
    // a stretch of 2 s like half of it, a longer one less so.
    let short = value(&told, "short_db") / value(&told, "short_formula_db");
    let long = value(&told, "long_db") / value(&told, "long_formula_db");
    assert!((0.5..2.2).contains(&short) && (0.5..2.0).contains(&long), "{short} {long}");
}

#[test]
fn lifting_lifts_the_noise_too_and_making_new_does_not() {
    let told = figures("lift it, or make it new");
    held(&told, "lifted_noise_db", value(&told, "lifted_db"), 0.3);
    // 12 dB at the centre; a third octave of a band an octave wide has a little less.
    held(&told, "lifted_db", 11.5, 0.7);
    held(&told, "new_noise_db", 0.0, 0.1);
    assert!(value(&told, "new_db") > 3.0, "{told:?}");
}

#[test]
fn a_band_has_half_its_gain_at_its_edges() {
    // By the definition of its width (Audio EQ Cookbook): dB/2 half an octave to both sides.
    let told = figures("centre, width and gain of one band");
    held(&told, "centre_db", 6.0, 0.05);
    held(&told, "below_db", 3.0, 0.05);
    held(&told, "above_db", 3.0, 0.05);
}

#[test]
fn a_hard_clipper_has_one_percent_a_quarter_decibel_over() {
    let told = figures("clipping and the clip light");
    // Closed form of a hard clipper: 0.2513 dB for 1 %; for 1 and 3 dB its Fourier series (numpy,
    // 2^20 points a period, orders 2 to 20): 4.63 % and 13.37 %.
    held(&told, "quarter_percent", 1.0, 0.03);
    held(&told, "one_percent", 4.627, 0.05);
    held(&told, "three_percent", 13.375, 0.05);
}

#[test]
fn excursion_grows_with_the_square() {
    let told = figures("an octave down costs excursion");
    held(&told, "half_re_tone_db", 0.0, 0.05);
    held(&told, "excursion_times", 4.0, 0.03);
    let told = figures("louder wins");
    held(&told, "match_db", value(&told, "after_lufs") - value(&told, "before_lufs"), 1e-9);
    assert!(value(&told, "match_db") > 0.1, "{told:?}");
}

#[test]
fn three_causes_are_told_apart_by_steps_and_levels() {
    let told = figures("one curve, three causes");
    let high_pass = |corner: f64| -10.0 * (1.0 + (corner / 45.0f64).powi(8)).log10();
    held(&told, "usual_db", high_pass(55.5), 0.1);
    held(&told, "stays_db", 0.0, 0.02);
    held(&told, "follows_db", high_pass(40.0) - high_pass(55.5), 0.1);
    // A tone of -3 dBFS under a ceiling of -12 dBFS.
    held(&told, "limits_db", -9.0, 0.5);
}

#[test]
fn a_lesson_follows_the_hand_that_turns_it() {
    let bench = crate::program::Bench::new();
    // The octave part's level is told re its source: what is set is what stands there.
    for set in [-24.0, -6.0, 0.0] {
        let told = bench.does(&format!("lesson 1 --turn {set} --json")).json();
        let half = told["figures"]["half_re_tone_db"].as_f64().expect("a level");
        assert!((half - set).abs() < 0.05, "{half} at {set}");
    }
    // A hard clipper's closed form: 0.2513 dB over the rails for 1 %.
    let told = bench.does("lesson 8 --turn 0.25 --json").json();
    let percent = told["figures"]["three_percent"].as_f64().expect("a share");
    assert!((percent - 1.0).abs() < 0.03, "{percent}");
    bench.fails("lesson 1 --turn 3", 2, &["-30 to 0 dB"]);
    bench.fails("lesson --turn 3", 2, &["<N>"]);
}

#[test]
fn what_is_told_first_is_the_right_answer() {
    for lesson in ALL {
        let right = lesson.choices[lesson.right];
        assert!(
            lesson.told().to_lowercase().starts_with(&right.to_lowercase()),
            "{}",
            lesson.title
        );
    }
}

#[test]
fn every_lesson_shows_what_it_asks_to_look_at() {
    for lesson in ALL {
        let setups = lesson.setups(None);
        let played = lesson.play(&setups).expect("signals that can be made");
        for picture in lesson.stills(&setups, &played) {
            for scene in [&picture.wide, &picture.narrow] {
                let drawn = scene.marks.iter().filter(|mark| matches!(mark, Mark::Text { .. }));
                assert!(drawn.count() > 2, "{}: {} shows nothing", lesson.title, picture.title);
            }
        }
        assert!(lesson.pictures.iter().all(|(at, _)| *at < setups.len()), "{}", lesson.title);
    }
}

#[test]
fn the_waves_of_a_lesson_are_those_of_a_settled_line() {
    // 60 Hz at -12 dBFS with its half at -6 dB re it, both settled: the wave of 100 ms comes back
    // after two periods of the tone (the greatest common divisor of both frequencies).
    let played = ALL[0].play(&ALL[0].setups(None)).expect("a tone");
    let waves = &played[0].waves;
    assert_eq!((waves.before.len(), waves.after.len(), waves.octave.len()), (4800, 4800, 4800));
    let peak = waves.before.iter().fold(0f64, |top, x| top.max(x.abs()));
    assert!((20.0 * peak.log10() + 12.0).abs() < 0.01, "{peak}");
    let half = waves.octave.iter().fold(0f64, |top, x| top.max(x.abs()));
    assert!((20.0 * half.log10() + 18.0).abs() < 0.05, "{half}");
    let again = waves.after.iter().zip(&waves.after[1600..]);
    assert!(again.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max) < 1e-4);
}

#[test]
fn every_lesson_asks_before_it_shows() {
    let bench = crate::program::Bench::new();
    for (i, lesson) in ALL.iter().enumerate() {
        let number = i + 1;
        assert!(lesson.right < lesson.choices.len() && lesson.minutes > 0);
        let asked = bench.does(&format!("lesson {number}"));
        let asked = asked.text();
        assert!(
            asked.contains(lesson.question.split('?').next().unwrap().split(' ').next().unwrap())
        );
        assert!(!asked.contains(lesson.because) && asked.contains("--show"), "{asked}");
    }
    let json = bench.does("lesson 4 --json --report four.html").json();
    assert!(json["figures"].to_string().contains("tracked_else_db"), "{json}");
    assert!(
        String::from_utf8(bench.read("four.html")).unwrap().matches("<section><h2>").count() >= 3
    );
    assert!(bench.does("lesson").text().contains("one curve, three causes"));
    let count = underpin::lessons::ALL.len();
    bench.fails(&format!("lesson {}", count + 1), 2, &[&format!("1 to {count}")]);
}
