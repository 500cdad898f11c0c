//! A stretch of sound over time: what went in, the octave part, and what came out, one above another.

use crate::figures::short;
use crate::plot::label::{Label, Placer};
use crate::plot::scene::{Anchor, Rect, Role, Scene};
use crate::plot::swings::trace;
use crate::plot::{Cause, Fill, Ink, full_scale};

/// A stretch of sound at three posts of the line, all of one length.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stretch {
    /// How long it is, in seconds.
    pub seconds: f64,
    /// What went in.
    pub before: Vec<f64>,
    /// The octave part alone.
    pub octave: Vec<f64>,
    /// What came out.
    pub after: Vec<f64>,
}

/// Room for the times under the waves, in pixels.
const TIMES: f64 = 18.0;

/// What comes out has more room than each of the others.
const TIMES_OUT: f64 = 1.6;

/// A wave fainter than this re the loudest has no row.
const FAINT: f64 = 1e-4;

/// Draws the waves into `rect`, all on one scale of levels; false when there is nothing to draw.
pub fn oscillogram(scene: &mut Scene, rect: Rect, shown: &Stretch) -> bool {
    let all = [&shown.before, &shown.octave, &shown.after];
    let peak = |wave: &[f64]| wave.iter().fold(0.0, |top: f64, x| top.max(x.abs()));
    let loudest = all.into_iter().map(|wave| peak(wave)).fold(0.0, f64::max);
    if !loudest.is_normal() || shown.before.len() < 8 {
        return false;
    }
    let top_of_row = full_scale::reach(loudest);
    let field = Rect { height: rect.height - TIMES, ..rect };
    scene.area(Fill::Flat(Ink::Sheet), field.corners());
    draw_times(scene, field, shown.seconds);
    let mut rows = vec![
        (Cause::Given, &shown.before, "goes in", 1.0),
        (Cause::Octave, &shown.octave, "octave part", 1.0),
        (Cause::Out, &shown.after, "comes out", TIMES_OUT),
    ];
    rows.retain(|(_, wave, ..)| peak(wave) > FAINT * loudest);
    let shares: f64 = rows.iter().map(|row| row.3).sum();
    let mut top = field.y;
    for (cause, wave, name, share) in rows {
        let height = share / shares * field.height;
        let row = Rect { y: top, height, ..field };
        let inner = Rect { y: top + 6.0, height: height - 12.0, ..field };
        let line = trace(wave, inner, top_of_row);
        let mut placer = Placer::new(row);
        placer.keep_off_line(&line, 3.0);
        scene.line(cause, line);
        if cause == Cause::Out && top_of_row >= 1.0 {
            full_scale::draw(scene, inner, wave, top_of_row);
        }
        let label = Label::new(name, Role::Label, cause.stroke().ink);
        let places = [0.16, 0.84].map(|share| (row.x + 4.0, row.y + share * row.height));
        if placer.set(scene, &label, places, 4.0).is_none() {
            let at = (row.x + 4.0, row.y + 13.0);
            scene.text(at, Anchor::Start, Role::Label, cause.stroke().ink, name);
        }
        if top > field.y {
            scene.rule((field.x, top), (field.right(), top), 1.0, Ink::Rule);
        }
        top += height;
    }
    let words = full_scale::reach_in_words(top_of_row);
    let at = (field.right() - 6.0, field.y + 14.0);
    scene.text(at, Anchor::End, Role::Note, Ink::Second, words);
    true
}

/// Marks of time, so many that their words have room.
fn draw_times(scene: &mut Scene, field: Rect, seconds: f64) {
    let steps_ms = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
    let pixels = |ms: f64| field.width * ms / 1000.0 / seconds;
    let step_ms = steps_ms.into_iter().find(|ms| pixels(*ms) > 52.0).unwrap_or(500.0);
    let count = (1000.0 * seconds / step_ms + 0.01) as usize;
    for i in 0..=count {
        let ms = step_ms * i as f64;
        let x = field.x + pixels(ms);
        scene.rule((x, field.y), (x, field.bottom()), 1.0, Ink::Grid);
        let anchor = match (i, x + 24.0 > field.right()) {
            (0, _) => Anchor::Start,
            (_, true) => Anchor::End,
            _ => Anchor::Middle,
        };
        let words = if i == count { format!("{} ms", short(ms, 0)) } else { short(ms, 0) };
        scene.text((x, field.bottom() + 13.0), anchor, Role::Tick, Ink::Second, words);
    }
    let y = field.bottom();
    scene.rule((field.x, y), (field.right(), y), 1.3, Ink::Text);
}
