//! Lessons, played and measured here: figures, pictures and what there is to hear.

use serde_json::{Value, json};
use underpin::lessons::{ALL, Lesson, Played, Setup};
use underpin::path::Path;
use underpin::report::inline;

use crate::asked::number;

/// What was played last, so that a turn plays only what it changes.
#[derive(Default)]
pub(crate) struct Lessons {
    played: Vec<(Setup, Played)>,
}

impl Lessons {
    /// The answer of a lesson: its words, its figures, its pictures.
    pub(crate) fn lesson(&mut self, asked: &Value) -> Result<Value, String> {
        let lesson = of(asked)?;
        let setups = lesson.setups(asked["value"].as_f64());
        let played = self.play(&setups)?;
        let width = number(asked, "width", 682.0).clamp(260.0, 1600.0);
        let height = number(asked, "height", 260.0).clamp(160.0, 700.0);
        let pictures = lesson.pictures.iter().map(|(at, shown)| {
            let scene = shown.draw(&setups[*at], &played[*at], (width, height));
            json!({ "title": setups[*at].name, "unit": shown.unit(), "svg": inline(&scene) })
        });
        let pictures: Vec<Value> = pictures.collect();
        let figures = lesson.figures(&played).figures;
        let figures = figures.iter().map(|figure| {
            json!({
                "key": figure.key, "name": figure.name, "value": figure.value,
                "shown": figure.shown(), "unit": figure.unit,
            })
        });
        Ok(json!({
            "pictures": pictures,
            "figures": figures.collect::<Vec<_>>(),
            "right": lesson.right,
            "told": lesson.told(),
            "sure": lesson.sure, "fails": lesson.fails, "try": lesson.try_it,
        }))
    }

    /// A setup of a lesson as it sounds behind the line: 32-bit floats, one channel.
    pub(crate) fn sound(&mut self, asked: &Value) -> Result<Vec<u8>, String> {
        let lesson = of(asked)?;
        let setups = lesson.setups(asked["value"].as_f64());
        let at = number(asked, "setup", 0.0) as usize;
        let setup = setups.get(at).ok_or("there is no such setup")?;
        let mut sound = setup.sound()?;
        if asked["line"].as_bool().unwrap_or(true) {
            let mut path = Path::new(48_000.0, 1);
            path.set(&setup.settings);
            path.process(&mut [&mut sound], &mut ());
            if let Some(rail) = setup.clips_at {
                sound.iter_mut().for_each(|x| *x = x.clamp(-rail as f32, rail as f32));
            }
        }
        Ok(sound.iter().flat_map(|x| x.to_le_bytes()).collect())
    }

    fn play(&mut self, setups: &[Setup]) -> Result<Vec<Played>, String> {
        let mut played = Vec::new();
        for setup in setups {
            let last = self.played.iter().find(|(last, _)| last == setup);
            played.push(match last {
                Some((_, last)) => last.clone(),
                None => setup.played()?,
            });
        }
        self.played = setups.iter().cloned().zip(played.iter().cloned()).collect();
        Ok(played)
    }
}

fn of(asked: &Value) -> Result<&'static Lesson, String> {
    let number = number(asked, "number", 0.0) as usize;
    let place = number.checked_sub(1).and_then(|at| ALL.get(at));
    place.ok_or_else(|| format!("there are lessons 1 to {}, not {number}", ALL.len()))
}
