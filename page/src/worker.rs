//! What the page's worker asks, and who answers.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::{Value, json};

use crate::asked::text;
use crate::captures;
use crate::lesson::Lessons;
use crate::listening::Listening;
use crate::live::Live;
use crate::{looks, signals, values};

/// What the worker remembers.
#[derive(Default)]
pub(crate) struct Worker {
    /// Bytes from outside.
    pub(crate) room: Vec<u8>,
    /// Bytes to the outside, and whether they are JSON.
    pub(crate) answer: Vec<u8>,
    pub(crate) is_json: bool,
    /// Files that were dropped or recorded, by name.
    pub(crate) files: BTreeMap<String, Arc<[u8]>>,
    live: Option<Live>,
    listening: Option<Listening>,
    lessons: Lessons,
}

/// An answer: JSON, or bytes.
pub(crate) enum Answer {
    Json(Value),
    Bytes(Vec<u8>),
}

impl Worker {
    /// Answers what lies in the room. What cannot be answered says so under `error`.
    pub(crate) fn ask(&mut self) -> usize {
        let room = std::mem::take(&mut self.room);
        let answer = serde_json::from_slice(&room)
            .map_err(|error| error.to_string())
            .and_then(|asked| self.answered(&asked));
        self.is_json = !matches!(answer, Ok(Answer::Bytes(_)));
        self.answer = match answer {
            Ok(Answer::Bytes(bytes)) => bytes,
            Ok(Answer::Json(value)) => value.to_string().into_bytes(),
            Err(why) => json!({ "error": why }).to_string().into_bytes(),
        };
        self.answer.len()
    }

    fn answered(&mut self, asked: &Value) -> Result<Answer, String> {
        let json = |value| Ok(Answer::Json(value));
        match asked["do"].as_str().unwrap_or_default() {
            "about" => json(looks::about()),
            "typed" => json(values::typed(asked)?),
            "shown" => json(values::shown(asked)?),
            "read preset" => json(values::read(asked)?),
            "write preset" => json(values::write(asked)?),
            "line" => json(looks::line(asked)?),
            "signal" => Ok(Answer::Bytes(signals::sound(asked)?)),
            "track" => Ok(Answer::Bytes(signals::track(asked)?)),
            "match" => json(signals::matched(asked, &self.files)?),
            "watch" => {
                self.live = Some(Live::new(asked)?);
                json(json!({}))
            }
            "see" => json(self.live.as_mut().ok_or("nothing plays")?.see(asked)),
            "listen" => {
                self.listening = Some(Listening::new(asked)?);
                json(json!({}))
            }
            "heard" => json(self.listening.as_mut().ok_or("nothing is listened to")?.told(asked)),
            "end listening" => self.end_listening(asked),
            "files" => json(json!(self.files.keys().collect::<Vec<_>>())),
            "file" => self.file(asked).map(Answer::Bytes),
            "forget" => {
                self.files.remove(text(asked, "name"));
                json(json!({}))
            }
            "diagnose" => json(captures::diagnose(asked, &self.files)?),
            "tune" => json(captures::tune(asked, &self.files)?),
            "hand over" => json(captures::hand_over(asked, &self.files)?),
            "lesson" => json(self.lessons.lesson(asked)?),
            "lesson sound" => Ok(Answer::Bytes(self.lessons.sound(asked)?)),
            other => Err(format!("nothing is known of {other:?}")),
        }
    }

    /// Keeps a file: its name, then its bytes.
    pub(crate) fn keep(&mut self, name: usize) {
        let (name, bytes) = self.room.split_at(name.min(self.room.len()));
        self.files.insert(String::from_utf8_lossy(name).into_owned(), bytes.into());
        self.room = Vec::new();
    }

    /// Watches what plays.
    pub(crate) fn watch(&mut self, channels: usize) {
        let samples = self.samples();
        if let Some(live) = &mut self.live {
            live.hear(&apart(&samples, channels));
        }
    }

    /// Listens to what arrives.
    pub(crate) fn listen(&mut self, channels: usize) {
        let samples = self.samples();
        if let Some(listening) = &mut self.listening {
            listening.hear(&apart(&samples, channels));
        }
    }

    fn samples(&self) -> Vec<f32> {
        let (fours, _) = self.room.as_chunks::<4>();
        fours.iter().map(|four| f32::from_le_bytes(*four)).collect()
    }

    /// Keeps what was listened to as a file.
    fn end_listening(&mut self, asked: &Value) -> Result<Answer, String> {
        let listening = self.listening.take().ok_or("nothing is listened to")?;
        let wav = listening.wav();
        let length = wav.len();
        self.files.insert(text(asked, "name").into(), wav.into());
        Ok(Answer::Json(json!({ "bytes": length })))
    }

    fn file(&self, asked: &Value) -> Result<Vec<u8>, String> {
        let name = text(asked, "name");
        let bytes = self.files.get(name).ok_or_else(|| format!("there is no {name}"))?;
        Ok(bytes.to_vec())
    }
}

/// Samples channel after channel, as channels.
fn apart(samples: &[f32], channels: usize) -> Vec<&[f32]> {
    let frames = (samples.len() / channels.max(1)).max(1);
    samples.chunks_exact(frames).take(channels).collect()
}
