//! Words that hold time: freeze, hold, over what is averaged, restart.

use super::desk::Desk;
use super::head::clock;
use super::hold::Hold;
use super::pen::{Pen, Spot};
use super::wish::Wish;
use crate::plot::Ink;
use egui::Pos2;

/// Distance of two words, in points.
const GAP: f32 = 10.0;

/// Shows the words so that they end at `spot`; returns where they begin.
pub fn show(pen: &mut Pen, spot: Spot, desk: &mut Desk) -> f32 {
    let mut right = spot.at.x;
    let mut word = |pen: &mut Pen, words: &str, name: &str, on: bool| {
        let ink = if on { Ink::Text } else { Ink::Second };
        let spot = Spot { at: Pos2::new(right, spot.at.y), ink, ..spot }.end();
        right = spot.room(words).min.x - GAP;
        pen.word(spot, words, name, false)
    };
    if word(pen, "restart", "restart the averages", false) {
        desk.hold = desk.hold.take().map(|_| Hold::default());
        pen.hand.wishes.push(Wish::Restart);
    }
    if word(pen, desk.span.words(), "over what is averaged", false) {
        desk.span = desk.span.next();
        pen.hand.wishes.push(Wish::Average(desk.span));
    }
    if word(pen, "hold", "hold highest and lowest", desk.hold.is_some()) {
        hold(desk);
    }
    let now = pen.ui.input(|input| input.time);
    let words = match desk.frozen_s {
        Some(since) => format!("frozen {} ago", clock(now - since)),
        None => "freeze".into(),
    };
    if word(pen, &words, "freeze", desk.frozen_s.is_some()) {
        freeze(desk, now);
    }
    right + GAP
}

/// Stops everything, or lets it go on; `now` in seconds.
pub fn freeze(desk: &mut Desk, now: f64) {
    desk.frozen_s = if desk.frozen_s.is_some() { None } else { Some(now) };
}

/// Begins to hold the highest and lowest, or lets them go.
pub fn hold(desk: &mut Desk) {
    desk.hold = if desk.hold.is_some() { None } else { Some(Hold::default()) };
}
