//! The goals of the octave part, held for the method the line starts with.
//!
//! The limits stand in one place, beside the measures in `tests/octave_goals`:
//! they are the project's own goals. The truths are formulas: a partial
//! a·cos(φ) has the half a·cos(φ/2), for tones, glides and kicks alike; what
//! lies elsewhere is wrong.

use crate::octave_goals::figure::Figure;
use crate::octave_goals::{fresh, hits, onsets, rest, steady};
use underpin::settings::{Method, Settings};

#[track_caller]
fn check(figures: Vec<Figure>) {
    assert!(!figures.is_empty());
    let missed: Vec<String> = figures
        .iter()
        .filter(|figure| !figure.goal.met_by(figure.value))
        .map(|figure| format!("{}: {:.3}, not {}", figure.name, figure.value, figure.goal.text()))
        .collect();
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn tones_become_pure_halves_at_their_level() {
    check(steady::tone_figures(&Settings::default()));
}

#[test]
fn notes_held_together_stay_apart() {
    check(steady::pair_figures(&Settings::default()));
}

#[test]
fn bursts_arrive_in_time_and_end() {
    check(onsets::burst_figures(&Settings::default()));
}

#[test]
fn a_new_chord_is_soon_told_apart() {
    check(onsets::separation_figures(&Settings::default()));
}

#[test]
fn hits_keep_their_shape_and_polarity_even_over_a_note() {
    check(hits::figures(&Settings::default()));
}

#[test]
fn glides_keep_their_level() {
    check(onsets::glide_figures(&Settings::default()));
}

#[test]
fn level_offset_rate_and_stereo_do_not_matter() {
    check(rest::figures(&Settings::default()));
}

#[test]
fn a_plucked_string_keeps_two_partials() {
    check(steady::string_figures(&Settings::default()));
}

#[test]
fn signals_that_nobody_chose_do_as_well() {
    check(fresh::figures(&Settings::default()));
}

#[test]
fn the_goals_are_not_met_by_just_anything() {
    // A divider has lines at 3/2 and 5/2 of a tone, and loses count of two.
    let divided = Settings { octave_method: Method::Divided, ..Settings::default() };
    let lost = |figures: Vec<Figure>| figures.iter().any(|f| !f.goal.met_by(f.value));
    for figures in [
        steady::tone_figures,
        steady::pair_figures,
        steady::string_figures,
        onsets::burst_figures,
        onsets::separation_figures,
        onsets::glide_figures,
        hits::figures,
    ] {
        assert!(lost(figures(&divided)));
    }
}
