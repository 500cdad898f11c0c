//! What the window shows is saved with the session and found again.

use crate::editor::model::averaging::Span;
use crate::editor::model::state::{View, WindowState};
use crate::editor::model::target::{Asked, MOST_DB};
use crate::editor::model::test_choice::TestChoice;
use crate::link::measuring::Test;
use crate::params::Remembered;

/// The averages by the number under which they are saved.
const SPANS: [Span; 3] = [Span::Whole, Span::HalfMinute, Span::TenSeconds];

/// Tones that can be chosen, in Hz.
const TONES_HZ: std::ops::RangeInclusive<f32> = 10.0..=1000.0;

/// Sets what was saved; what is out of its range is as in a new window.
pub(super) fn recall(state: &mut WindowState, saved: &Remembered) {
    state.view = View::ALL.get(usize::from(saved.view)).map_or(View::default(), |view| view.0);
    state.whole = saved.whole;
    state.span = SPANS.get(usize::from(saved.span)).copied().unwrap_or_default();
    let asked = Asked::ALL.get(usize::from(saved.target));
    state.target.asked = asked.map_or(Asked::default(), |asked| asked.0);
    for (own, saved) in state.target.own.iter_mut().zip(&saved.own_target_db) {
        *own = if saved.is_finite() { saved.clamp(-MOST_DB, MOST_DB) } else { 0.0 };
    }
    if let Some(hz) = saved.test_hz.filter(|hz| TONES_HZ.contains(hz)) {
        state.test_choice = TestChoice { hz, test: Test::Tone(hz.into()), ..Default::default() };
    }
    state.beside += 1;
}

/// What is to be saved. No signal is: its frequency is a choice, it sounds only when it is held.
pub(super) fn remembered(state: &WindowState) -> Remembered {
    let place = |at: Option<usize>| at.unwrap_or_default() as u8;
    let hz = state.test_choice.hz;
    Remembered {
        view: place(View::ALL.iter().position(|view| view.0 == state.view)),
        whole: state.whole,
        span: place(SPANS.iter().position(|span| *span == state.span)),
        target: place(Asked::ALL.iter().position(|asked| asked.0 == state.target.asked)),
        own_target_db: state.target.own.to_vec(),
        test_hz: (hz != TestChoice::default().hz).then_some(hz),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plot::Palette;

    #[test]
    fn what_is_saved_is_found_again_and_rubbish_is_a_new_window() {
        let mut state = WindowState::new(Palette::Day);
        (state.view, state.whole, state.span) = (View::Partials, true, Span::TenSeconds);
        (state.target.asked, state.target.own) = (Asked::Own, [1.0, -2.0, 3.5, 0.0]);
        state.test_choice.hz = 47.5;
        let saved = remembered(&state);
        let mut again = WindowState::new(Palette::Day);
        recall(&mut again, &saved);
        assert_eq!((again.view, again.whole, again.span), (state.view, true, state.span));
        assert_eq!((again.target, again.test_choice.hz), (state.target, 47.5));
        let rubbish = Remembered {
            view: 200,
            span: 200,
            target: 200,
            own_target_db: vec![f32::NAN, 1e9, -1e9, 0.0, 7.0],
            test_hz: Some(-3.0),
            ..Remembered::default()
        };
        recall(&mut again, &rubbish);
        assert_eq!((again.view, again.span), (View::Spectrum, Span::Whole));
        assert_eq!(again.target.own, [0.0, 12.0, -12.0, 0.0]);
        assert_eq!(again.test_choice.hz, 47.5, "a tone that is none changes nothing");
    }
}
