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
mod setup;
mod time;
mod two_tones;

pub use setup::Setup;

use crate::measure::Readings;
use crate::report::{Figure, Figures, Run, Sentence, Sheet, Table};

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
pub const ALL: [Lesson; 12] = [
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
    /// Plays everything and measures it.
    ///
    /// # Errors
    /// One sentence when a signal cannot be made.
    pub fn play(&self) -> Result<Vec<Readings>, String> {
        (self.setups)().iter().map(Setup::measured).collect()
    }

    /// The lesson with its answer, as lesson `number` of the course.
    ///
    /// # Errors
    /// As [`Lesson::play`].
    pub fn sheet(&self, number: usize) -> Result<Sheet, String> {
        let readings = self.play()?;
        let mut sheet = Sheet::new(format!("lesson {number} of {}: {}", ALL.len(), self.title));
        let right = self.choices[self.right];
        sheet.finding = Sentence::default().say(format!("{}. {}", capital(right), self.because));
        sheet.figures.push(Figures::new(
            "Measured just now",
            "by the line and its analysers",
            (self.answer)(&readings),
        ));
        sheet.tables.push(self.words());
        let setups = (self.setups)();
        let first = setups.first().zip(readings.into_iter().next());
        if let Some((setup, readings)) = first {
            sheet.settings = Some(setup.settings);
            sheet.runs.push(Run::new(setup.name.clone(), readings));
        }
        sheet.next = match number < ALL.len() {
            true => format!("try it on your own gear, then: underpin lesson {}", number + 1),
            false => "try it on your own gear, then begin the job: underpin demo".into(),
        };
        Ok(sheet)
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
