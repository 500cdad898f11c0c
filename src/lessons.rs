//! Lessons: a question, a signal, settings, where to look, and an answer whose figure is measured
//! there and then by the same line and the same analysers as everything else.
//!
//! Each lesson is data; whoever shows it plays its setups and reads its figures from them.

mod band;
mod causes;
mod clip;
mod excursion;
mod half;
mod kick;
mod lift;
mod louder;
mod noise;
mod period;
mod picture;
mod setup;
mod time;
mod turn;
mod two_tones;

pub use picture::Shown;
pub use setup::{Played, Setup};
pub use turn::Turn;

use crate::measure::Readings;
use crate::report::{Figure, Figures, Picture, Sheet, Table};

/// One lesson.
pub struct Lesson {
    /// What it is about.
    pub title: &'static str,
    /// How long it takes in a class, in minutes.
    pub minutes: u32,
    /// What is asked before anything is shown.
    pub question: &'static str,
    /// Answers to choose from.
    pub choices: [&'static str; 3],
    /// Which of them is right, from 0.
    pub right: usize,
    /// What is played, and through which settings.
    pub setups: fn() -> Vec<Setup>,
    /// Where to look in the views.
    pub look: &'static str,
    /// The pictures that answer: the place of a setup, and what is drawn of it.
    pub pictures: &'static [(usize, Shown)],
    /// What a hand may turn.
    pub turn: Turn,
    /// The answer's figures, from what was measured of the setups.
    pub answer: fn(&[Readings]) -> Vec<Figure>,
    /// What the figures say, and why.
    pub because: &'static str,
    /// How sure they are.
    pub sure: &'static str,
    /// Where the rule fails.
    pub fails: &'static str,
    /// A thing to try on one's own gear.
    pub try_it: &'static str,
}

/// All lessons, in the order of a course.
pub const ALL: &[Lesson] = &[
    half::LESSON,
    period::LESSON,
    kick::LESSON,
    two_tones::LESSON,
    noise::LESSON,
    lift::LESSON,
    band::LESSON,
    clip::LESSON,
    time::LESSON,
    excursion::LESSON,
    louder::LESSON,
    causes::LESSON,
];

impl Lesson {
    /// What is played with the turning at `value`; `None` where the lesson starts.
    pub fn setups(&self, value: Option<f64>) -> Vec<Setup> {
        let setups = (self.setups)();
        match value {
            Some(value) => self.turn.turned(setups, value),
            None => setups,
        }
    }

    /// Plays everything and measures it.
    ///
    /// # Errors
    /// One sentence when a signal cannot be made.
    pub fn play(&self, setups: &[Setup]) -> Result<Vec<Played>, String> {
        setups.iter().map(Setup::played).collect()
    }

    /// The answer's figures.
    pub fn figures(&self, played: &[Played]) -> Figures {
        let readings: Vec<Readings> = played.iter().map(|played| played.readings.clone()).collect();
        Figures::new("Measured just now", "by the line and its analysers", (self.answer)(&readings))
    }

    /// The lesson with its answer, as lesson `number` of the course, with the turning at `value`.
    ///
    /// # Errors
    /// As [`Lesson::play`].
    pub fn sheet(&self, number: usize, value: Option<f64>) -> Result<Sheet, String> {
        let setups = self.setups(value);
        let played = self.play(&setups)?;
        let mut sheet = Sheet::new(format!("lesson {number} of {}: {}", ALL.len(), self.title));
        sheet.finding = self.told().into();
        sheet.figures.push(self.figures(&played));
        sheet.tables.push(self.words());
        sheet.pictures = self.stills(&setups, &played);
        sheet.settings = setups.first().map(|setup| setup.settings);
        sheet.next = match number < ALL.len() {
            true => format!("try it on your own gear, then: underpin lesson {}", number + 1),
            false => "try it on your own gear, then begin the job: underpin demo".into(),
        };
        Ok(sheet)
    }

    /// The right answer, and why.
    pub fn told(&self) -> String {
        format!("{}. {}", capital(self.choices[self.right]), self.because)
    }

    /// The pictures, each for a wide page and for a narrow one.
    pub fn stills(&self, setups: &[Setup], played: &[Played]) -> Vec<Picture> {
        let both = |(at, shown): &(usize, Shown)| {
            let (setup, played) = (setups.get(*at)?, played.get(*at)?);
            let draw = |width: f64, height: f64| shown.draw(setup, played, (width, height));
            Some(Picture {
                title: setup.name.clone(),
                note: String::new(),
                unit: shown.unit().into(),
                wide: draw(Picture::WIDE, 250.0),
                narrow: draw(Picture::NARROW, 230.0),
            })
        };
        self.pictures.iter().filter_map(both).collect()
    }

    /// What is asked, without the answer.
    pub fn asked(&self, number: usize) -> String {
        let choices: String = ["a", "b", "c"]
            .iter()
            .zip(self.choices)
            .map(|(l, c)| format!("  {l}  {c}\n"))
            .collect();
        let played: String =
            (self.setups)().iter().map(|setup| format!("  {}\n", setup.told())).collect();
        format!(
            "Lesson {number} of {}: {}\n\n{}\n\n{choices}\nPlayed and measured\n{played}\nWhere to look\n  {}\n\n\
             Think first, then: underpin lesson {number} --show\n",
            ALL.len(),
            self.title,
            self.question,
            self.look
        )
    }

    fn words(&self) -> Table {
        let rows = [
            ("asked", self.question),
            ("where to look", self.look),
            ("how sure", self.sure),
            ("where it fails", self.fails),
            ("try it on your own gear", self.try_it),
        ];
        Table {
            title: "The lesson".into(),
            note: String::new(),
            head: ["what", "told"].map(String::from).to_vec(),
            rows: rows.map(|(what, told)| vec![what.into(), told.into()]).to_vec(),
        }
    }
}

/// With a capital at its start.
fn capital(words: &str) -> String {
    let mut rest = words.chars();
    rest.next()
        .map_or(String::new(), |first| first.to_uppercase().collect::<String>() + rest.as_str())
}

/// The course at a glance, for whoever teaches it.
pub fn overview() -> Table {
    let row = |(i, lesson): (usize, &Lesson)| {
        vec![
            (i + 1).to_string(),
            lesson.title.into(),
            lesson.minutes.to_string(),
            lesson.question.into(),
        ]
    };
    let minutes: u32 = ALL.iter().map(|lesson| lesson.minutes).sum();
    Table {
        title: "Lessons".into(),
        note: format!("{minutes} minutes in all; ask first, let them bet, then show"),
        head: ["no.", "lesson", "min", "asks"].map(String::from).to_vec(),
        rows: ALL.iter().enumerate().map(row).collect(),
    }
}
