//! The lesson that is open: what was chosen, what is turned, and what was measured of it.
//!
//! A lesson plays seconds of sound through lines of its own, in a thread of its own; the last thing
//! that was asked is what is shown.

use crate::lessons::{ALL, Lesson, Played, Setup};
use crate::report::Figure;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;

/// What was played and measured of a lesson.
pub struct Answered {
    /// What was played.
    pub setups: Vec<Setup>,
    /// What was measured of it.
    pub played: Vec<Played>,
    /// The figures.
    pub figures: Vec<Figure>,
}

/// A lesson and what is turned in it: what an answer is of.
type Asked = (usize, Option<f64>);

/// The open lesson.
#[derive(Default)]
pub struct Lessons {
    /// Its place in the course.
    at: usize,
    /// The answer that was chosen; `None` while it is asked.
    pub chosen: Option<usize>,
    /// Where a hand has turned it to.
    pub value: Option<f64>,
    /// Which of its pictures is shown.
    pub picture: usize,
    playing: Option<(Asked, Receiver<Option<Answered>>)>,
    last: Option<(Asked, Answered)>,
    /// Rises with every answer.
    pub serial: u64,
}

impl Lessons {
    /// The lesson.
    pub fn lesson(&self) -> &'static Lesson {
        &ALL[self.at % ALL.len()]
    }

    /// Its number in the course, from 1.
    pub fn number(&self) -> usize {
        self.at + 1
    }

    /// Opens the lesson at a place of the course; beyond an end the course goes round.
    pub fn open(&mut self, at: usize) {
        let (serial, at) = (self.serial, at % ALL.len());
        *self = Self { at, serial, ..Self::default() };
    }

    /// Opens the next lesson, or the one before.
    pub fn step(&mut self, forward: bool) {
        self.open(self.at + if forward { 1 } else { ALL.len() - 1 });
    }

    /// The answer to what is asked now, or the last one while that is being played; `wake` is called
    /// when it is there.
    pub fn answered(&mut self, wake: impl Fn() + Send + 'static) -> Option<&Answered> {
        self.chosen?;
        self.take();
        let asked = (self.at, self.value);
        let is_told = self.last.as_ref().is_some_and(|(told, _)| *told == asked);
        if !is_told && self.playing.is_none() {
            self.play(asked, wake);
        }
        self.last()
    }

    /// The last answer, where it is one of this lesson.
    pub fn last(&self) -> Option<&Answered> {
        self.last.as_ref().filter(|(told, _)| told.0 == self.at).map(|(_, answer)| answer)
    }

    /// Whether something is being played.
    pub fn is_playing(&self) -> bool {
        self.playing.is_some()
    }

    fn take(&mut self) {
        let Some((asked, receiver)) = &self.playing else { return };
        match receiver.try_recv() {
            Ok(Some(answer)) => {
                self.last = Some((*asked, answer));
                self.serial += 1;
                self.playing = None;
            }
            Ok(None) | Err(TryRecvError::Disconnected) => self.playing = None,
            Err(TryRecvError::Empty) => {}
        }
    }

    fn play(&mut self, asked: Asked, wake: impl Fn() + Send + 'static) {
        let (sender, receiver) = channel();
        let (lesson, value) = (self.lesson(), asked.1);
        self.playing = Some((asked, receiver));
        thread::spawn(move || {
            let setups = lesson.setups(value);
            let answer = lesson.play(&setups).ok().map(|played| {
                let figures = lesson.figures(&played).figures;
                Answered { setups, played, figures }
            });
            // A window that was closed waits for nothing.
            let _ = sender.send(answer);
            wake();
        });
    }
}
