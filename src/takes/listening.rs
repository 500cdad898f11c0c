//! Listens for the track at an input, and keeps every take of it as a file.
//!
//! The same reader that reads files hears what arrives, block by block. What it recognises is told at
//! once; what is *found* is read from the kept file, so that it is what the program finds in it.
//! Memory is bounded, however long it listens: ten seconds of sound, and one take on the reader's grid.

use super::growing::Growing;
use super::input_level::{InputLevel, InputMeter};
use crate::planning::capture::{Capture, Hearing, Refusal};
use crate::signal::track::layout::{Content, Section};
use std::fmt;
use std::fs::File;
use std::io;
use std::path::PathBuf;

/// Sound that is remembered, in seconds: a start marker is known up to 6.5 s after the track began.
const REMEMBERED_S: f64 = 10.0;
/// What a kept take holds before the track, in seconds.
const BEFORE_S: f64 = 1.0;
/// An end marker later than this, in seconds, does not come any more: it is known 5 s after it played.
const LATE_S: f64 = 8.0;
/// A comb that is less than this above the input's own noise is too low, in dB: a radio that takes 25 dB
/// out leaves the 15 dB by which a band must stand clear (common practice, no source).
const CLEAR_DB: f64 = 40.0;
/// Less than one step of 16 bits is silence, dBFS.
const SILENT_DBFS: f64 = -90.3;

/// What should be changed at the input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Advice {
    /// Nothing.
    Good,
    /// Nothing at all arrives.
    Silent,
    /// The input was driven to full scale: attenuate.
    Clipped,
    /// The comb is only so many dB over the input's own noise: turn the input up.
    TooLow(f64),
}

impl fmt::Display for Advice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Good => Ok(()),
            Self::Silent => f.write_str("nothing arrives: look for the cable and the input"),
            Self::Clipped => f.write_str("clipped: attenuate the input"),
            Self::TooLow(db) => {
                write!(f, "too low: {db:.0} dB over its own noise; turn the input up")
            }
        }
    }
}

/// The take that is being heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Playing {
    /// What the start marker said, and where it was heard.
    pub hearing: Hearing,
    /// Section that plays now; `None` between two.
    pub section: Option<Section>,
    /// Seconds until the track ends.
    pub left_s: f64,
}

/// What became of a take.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// It is complete, and stands in this file.
    Kept(PathBuf),
    /// It says nothing: one sentence.
    Refused(String),
}

/// Whoever gives a take a file of its own, which is new and empty.
pub trait Shelf {
    /// A new file.
    ///
    /// # Errors
    /// One sentence.
    fn place(&mut self) -> Result<(PathBuf, File), String>;
}

/// An input that is listened to.
pub struct Listening {
    sample_rate_hz: f64,
    channels: usize,
    capture: Capture,
    meter: InputMeter,
    /// The latest sound, a channel each, and the frames before it.
    past: Vec<Vec<f32>>,
    before: u64,
    take: Option<Growing>,
    /// True while the take that is heard cannot be kept.
    unkept: bool,
}

impl Listening {
    /// Begins to listen to `channels` channels at a rate in Hz.
    ///
    /// # Errors
    /// The rate is too low for the track.
    pub fn new(sample_rate_hz: f64, channels: usize) -> Result<Self, Refusal> {
        Ok(Self {
            sample_rate_hz,
            channels,
            capture: Capture::new(sample_rate_hz as u32, channels)?,
            meter: InputMeter::new(sample_rate_hz, channels),
            past: vec![Vec::new(); channels],
            before: 0,
            take: None,
            unkept: false,
        })
    }

    /// Hears the next samples, one slice a channel, all of one length; tells what became of takes.
    pub fn push(
        &mut self,
        channels: &[&[f32]],
        shelf: &mut impl Shelf,
        mut out: impl FnMut(Outcome),
    ) {
        if channels.len() < self.channels {
            return;
        }
        self.meter.push(channels);
        let (mut complete, mut refused) = (false, None);
        self.capture.push(channels, |found| match found {
            Ok(_) => complete = true,
            Err(why) => refused = Some(why),
        });
        let new: Vec<Vec<f32>> =
            channels[..self.channels].iter().map(|samples| samples.to_vec()).collect();
        let kept = match &mut self.take {
            Some(take) => take.append(&new),
            None => Ok(()),
        };
        self.remember(&new);
        if let Err(why) = kept {
            self.cannot_keep(&why, &mut out);
        }
        if complete {
            self.complete(&mut out);
        }
        if let Some(why) = refused {
            self.drop_take();
            out(Outcome::Refused(sentence(&why.to_string())));
        }
        if self.playing().is_some_and(|playing| playing.left_s < -LATE_S) {
            self.forget();
            let why = "The end marker did not come: play the track whole, without a pause.";
            out(Outcome::Refused(why.into()));
        }
        if self.capture.hearing().is_some() && self.take.is_none() && !self.unkept {
            self.begin(shelf, &mut out);
        }
    }

    /// Says that sound was lost on its way: a take that was being heard is none.
    pub fn lost(&mut self, mut out: impl FnMut(Outcome)) {
        if self.capture.hearing().is_some() {
            let why = "Sound was lost on its way here: play this step again.";
            out(Outcome::Refused(why.into()));
        }
        self.forget();
    }

    /// Ends it; a take that is not complete is none.
    pub fn end(mut self) {
        self.drop_take();
    }

    /// The level of the input.
    pub fn level(&self) -> InputLevel {
        self.meter.reading()
    }

    /// The take that is being heard, if one is.
    pub fn playing(&self) -> Option<Playing> {
        let hearing = self.capture.hearing()?;
        let at_s = self.frames() as f64 / self.sample_rate_hz - hearing.start_s;
        let form = hearing.label.form;
        let plays = |s: &Section| (s.start_s..s.start_s + s.seconds).contains(&at_s);
        let section = form.sections().into_iter().find(plays);
        Some(Playing { hearing, section, left_s: form.seconds() - at_s })
    }

    /// What should be changed at the input.
    pub fn advice(&self) -> Advice {
        let level = self.level();
        let comb = self.playing().and_then(|playing| playing.section);
        let comb = comb.filter(|s| matches!(s.content, Content::Comb { .. }));
        let over_db = level.over_noise_db();
        match level {
            level if level.full_scale > 0 => Advice::Clipped,
            level if level.peak_dbfs < SILENT_DBFS => Advice::Silent,
            _ if comb.is_some() && over_db < CLEAR_DB => Advice::TooLow(over_db),
            _ => Advice::Good,
        }
    }

    /// Frames heard so far.
    fn frames(&self) -> u64 {
        self.before + self.past.first().map_or(0, Vec::len) as u64
    }

    fn remember(&mut self, new: &[Vec<f32>]) {
        let most = (REMEMBERED_S * self.sample_rate_hz) as usize;
        for (past, new) in self.past.iter_mut().zip(new) {
            past.extend_from_slice(new);
        }
        let there = self.past.first().map_or(0, Vec::len);
        // In large steps: moving the rest down costs time.
        if there > 2 * most {
            let gone = there - most;
            self.past.iter_mut().for_each(|past| drop(past.drain(..gone)));
            self.before += gone as u64;
        }
    }

    /// Gives the take a file, from a second before the track on.
    fn begin(&mut self, shelf: &mut impl Shelf, out: &mut impl FnMut(Outcome)) {
        let Some(hearing) = self.capture.hearing() else { return };
        let place = match shelf.place() {
            Ok(place) => place,
            Err(why) => {
                self.unkept = true;
                return out(Outcome::Refused(why));
            }
        };
        let longest_s = BEFORE_S + hearing.label.form.seconds() + 2.0 * LATE_S;
        let most = (longest_s * self.sample_rate_hz) as u64;
        let from_s = hearing.start_s - BEFORE_S;
        let from = ((from_s.max(0.0) * self.sample_rate_hz) as u64).saturating_sub(self.before);
        let begun = Growing::begin(place, self.sample_rate_hz, self.channels, most);
        let begun = begun.and_then(|mut take| {
            let from = (from as usize).min(self.past[0].len());
            let past: Vec<Vec<f32>> = self.past.iter().map(|past| past[from..].to_vec()).collect();
            take.append(&past).map(|()| take)
        });
        match begun {
            Ok(take) => self.take = Some(take),
            Err(why) => self.cannot_keep(&why, out),
        }
    }

    fn complete(&mut self, out: &mut impl FnMut(Outcome)) {
        self.unkept = false;
        match self.take.take().map(Growing::finish) {
            Some(Ok(path)) => out(Outcome::Kept(path)),
            Some(Err(why)) => self.cannot_keep(&why, out),
            None => {}
        }
    }

    fn cannot_keep(&mut self, why: &io::Error, out: &mut impl FnMut(Outcome)) {
        self.drop_take();
        self.unkept = true;
        out(Outcome::Refused(format!("The take cannot be written ({why}).")));
    }

    fn drop_take(&mut self) {
        self.unkept = false;
        if let Some(take) = self.take.take() {
            take.discard();
        }
    }

    /// Begins afresh, as if nothing had been heard; the level goes on.
    fn forget(&mut self) {
        self.drop_take();
        if let Ok(capture) = Capture::new(self.sample_rate_hz as u32, self.channels) {
            self.capture = capture;
        }
        self.past.iter_mut().for_each(Vec::clear);
        self.before = 0;
    }
}

/// Words as a sentence.
fn sentence(words: &str) -> String {
    let mut letters = words.trim_end_matches('.').chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).chain(['.']).collect()
}
