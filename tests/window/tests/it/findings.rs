//! What is said first, and that every view says the same of the same sound.

use egui::vec2;
use underpin::editor::model::state::View;
use underpin::plot::Palette;
use underpin::report::Sheet;
use underpin::settings::Settings;
use window_tests::{Stage, silence, stage, tone_with, words};

const MEASURING: [View; 4] = [View::Spectrum, View::Bands, View::Scope, View::Partials];

/// All words of a view, in the order in which they are drawn.
fn said(sheet: &Sheet, view: View) -> Vec<String> {
    let mut shown = Stage::new(sheet.clone(), Palette::Day);
    shown.state.view = view;
    let mut window = stage(shown, vec2(960.0, 600.0), 1.0);
    window.run();
    words(&window.output().shapes).into_iter().map(|word| word.text).collect()
}

#[test]
fn silence_is_said_in_a_sentence_and_not_in_dashes() {
    for view in MEASURING {
        let words = said(&silence(), view);
        let all = words.join(" ");
        assert!(all.contains("Only silence has arrived."), "{view:?}: {all}");
        assert!(!words.iter().any(|word| word == "\u{2013} dBFS"), "{view:?}: {all}");
        assert_eq!(words.iter().filter(|word| *word == "silent").count(), 2, "{view:?}: {all}");
    }
}

/// A tone with a peak of 0.5, 12 dB up and without an octave part: what comes out has a peak of
/// 0.5 · 10^(12/20), 5.98 dB beyond full scale.
fn beyond() -> Sheet {
    let settings = Settings { input_trim_db: 12.0, octave_level_db: -60.0, ..Settings::default() };
    tone_with(60.0, 0.5, settings)
}

#[test]
fn every_view_says_first_that_full_scale_is_left_and_by_the_same_figure() {
    for view in MEASURING {
        let all = said(&beyond(), view).join(" ");
        let at = all.find("leaves full scale by 6.0 dB").expect("the sentence");
        for later in ["Beside the", "Below the", "Without an", "Nothing stands"] {
            assert!(all.find(later).is_none_or(|other| at < other), "{view:?}: {all}");
        }
    }
}

#[test]
fn the_partials_of_what_leaves_full_scale_are_those_that_a_converter_makes() {
    let words = said(&beyond(), View::Partials);
    assert!(words.iter().any(|word| word == "as a converter clips it"), "{words:?}");
    // A sine cut off at 1/1.99 of its height: summed by hand, 23.2 % for harmonics 2 to 20.
    let figure = |word: &String| -> Option<f64> { word.strip_suffix(" %")?.parse().ok() };
    let figures: Vec<f64> = words.iter().filter_map(figure).collect();
    assert!(figures.iter().any(|f| (f - 23.0).abs() < 0.6), "{figures:?}");
}

#[test]
fn the_rows_of_the_scope_keep_their_scale_while_a_level_is_turned_and_say_it() {
    for (octave_level_db, reaches) in [(-12.0, "0.5"), (-6.5, "0.5"), (6.0, "1")] {
        let settings = Settings { octave_level_db, ..Settings::default() };
        let words = said(&tone_with(60.0, 0.3, settings), View::Scope);
        let wanted = format!("each row reaches \u{b1}{reaches} of full scale");
        assert!(words.contains(&wanted), "{octave_level_db} dB: {words:?}");
    }
    let words = said(&beyond(), View::Scope);
    assert!(words.iter().any(|word| word == "each row reaches \u{b1}2 of full scale"));
}
