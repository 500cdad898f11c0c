//! The sounds of a measurement, read: the track, the captures, a loop-back. Any length, a block at
//! a time.

use std::fmt;
use std::path::Path;

use crate::audio::{BLOCK, Reader, Unreadable};
use crate::planning::capture::{Capture, Refusal};
use crate::planning::take_reading::{Purpose, TakeReading};
use crate::report::{Input, Sheet, Table};
use crate::signal::track::Label;

/// The sounds of a measurement.
pub struct Sounds {
    /// The track that was played, as it was played.
    pub track: Reader,
    /// Captures by their names: volume steps or outputs in any order, one or many takes each.
    pub captures: Vec<(String, Reader)>,
    /// Player and recorder alone, to be divided out.
    pub loop_back: Option<Reader>,
    /// Name of the take to judge by; `None` for one that is not distorted, went through no codec
    /// and is the loudest.
    pub at: Option<String>,
}

/// Whoever waits for the reading.
pub trait Watch {
    /// A sound of so many frames begins, where their number is known.
    fn begin(&mut self, frames: Option<u64>);

    /// So many frames more are read; `false` ends the reading.
    fn advance(&mut self, frames: usize) -> bool;

    /// Something that should be known at once, in one sentence.
    fn remark(&mut self, sentence: &str);
}

/// Why nothing can be said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// A sound cannot be read.
    Unreadable(Unreadable),
    /// What was read says nothing: one sentence.
    Impossible(String),
    /// What was asked for is not there: one sentence.
    Asked(String),
    /// Whoever waited ended it.
    Ended,
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(why) => why.fmt(f),
            Self::Impossible(why) | Self::Asked(why) => f.write_str(why),
            Self::Ended => f.write_str("ended before its end"),
        }
    }
}

impl std::error::Error for Trouble {}

impl From<Unreadable> for Trouble {
    fn from(why: Unreadable) -> Self {
        Self::Unreadable(why)
    }
}

fn impossible<T>(why: impl Into<String>) -> Result<T, Trouble> {
    Err(Trouble::Impossible(why.into()))
}

/// What was read.
pub struct Takes {
    /// All takes, in the order of the sounds.
    pub takes: Vec<TakeReading>,
    /// The loop-back's first take.
    pub loop_back: Option<TakeReading>,
    /// The take to judge by, when one was named.
    pub at: Option<usize>,
    inputs: Vec<Input>,
    /// What could not be used, one sentence each.
    left_out: Vec<String>,
}

/// What one sound holds.
#[derive(Default)]
struct Held {
    takes: Vec<TakeReading>,
    left_out: Vec<String>,
}

impl Sounds {
    /// Reads them all. What cannot be used goes into the report, with the reason.
    ///
    /// # Errors
    /// A sound cannot be read, is no track, or no capture holds a complete take; the loop-back
    /// holds none or was clipped; no take has the name asked for.
    pub fn read(self, purpose: Purpose, watch: &mut impl Watch) -> Result<Takes, Trouble> {
        let mut inputs = Vec::new();
        let label = track(self.track, purpose, &mut inputs, watch)?;
        let (mut takes, mut left_out) = (Vec::new(), Vec::new());
        for (name, reader) in self.captures {
            let file = reader.name().to_owned();
            let held = read(reader, purpose, &mut inputs, watch)?;
            let many = held.takes.len() > 1;
            left_out.extend(held.left_out.iter().map(|why| format!("{file}: {why}")));
            for (i, take) in held.takes.into_iter().enumerate() {
                left_out.extend(other_track(&name, take.label, label));
                let name = if many { format!("{name} ({})", i + 1) } else { name.clone() };
                takes.push(TakeReading { name, ..take });
            }
        }
        left_out.iter().for_each(|why| watch.remark(why));
        if takes.is_empty() {
            return impossible("no capture holds a complete take: nothing can be said");
        }
        let at = self.at.as_ref().map(|name| place(&takes, name)).transpose()?;
        let loop_back = match self.loop_back {
            None => None,
            Some(reader) => Some(loop_back(reader, purpose, &mut inputs, watch)?),
        };
        Ok(Takes { takes, loop_back, at, inputs, left_out })
    }
}

impl Takes {
    /// A sheet about the captures, with the hashes of all sounds and what was left out.
    pub fn sheet(&self, about: &str) -> Sheet {
        let mut sheet = Sheet::new(about);
        sheet.provenance.inputs = self.inputs.clone();
        if !self.left_out.is_empty() {
            sheet.tables.push(Table {
                title: "Left out".into(),
                note: "what was in the files and could not be used".into(),
                head: vec!["what and why".into()],
                rows: self.left_out.iter().map(|why| vec![why.clone()]).collect(),
            });
        }
        sheet
    }
}

/// The label of the track that was played.
fn track(
    reader: Reader,
    purpose: Purpose,
    inputs: &mut Vec<Input>,
    watch: &mut impl Watch,
) -> Result<Label, Trouble> {
    let name = reader.name().to_owned();
    let held = read(reader, purpose, inputs, watch)?;
    held.left_out.iter().for_each(|why| watch.remark(&format!("{name}: {why}")));
    let Some(first) = held.takes.first() else {
        return impossible(format!(
            "{name} does not hold the track: write one with `signal track`"
        ));
    };
    // The track itself starts at once, on the program's own clock and at its own level.
    let gain = first.best().and_then(|c| c.loudest()).map_or(0.0, |(_, r)| r.gain_db);
    if first.start_s.abs() > 0.01 || first.clock_ppm.abs() > 0.5 || gain.abs() > 0.2 {
        watch.remark(&format!(
            "{name} looks like a capture, not like the track itself: the first file is the track \
             as it was played"
        ));
    }
    Ok(first.label)
}

/// The place of the take of a name.
fn place(takes: &[TakeReading], name: &str) -> Result<usize, Trouble> {
    takes.iter().position(|take| take.name == name).ok_or_else(|| {
        let names: Vec<&str> = takes.iter().map(|take| take.name.as_str()).collect();
        Trouble::Asked(format!("no take is called {name:?}; they are {}", names.join(", ")))
    })
}

/// The loop-back's take; one that cannot be divided out is an error, not a note.
fn loop_back(
    reader: Reader,
    purpose: Purpose,
    inputs: &mut Vec<Input>,
    watch: &mut impl Watch,
) -> Result<TakeReading, Trouble> {
    let name = reader.name().to_owned();
    let held = read(reader, purpose, inputs, watch)?;
    let Some(take) = held.takes.into_iter().find(|take| take.best().is_some()) else {
        let why = held.left_out.first().map_or("it is silent or damaged", String::as_str);
        return impossible(format!("the loop-back {name} holds no take that can be used: {why}"));
    };
    match take.is_driven_to_full_scale() {
        true => impossible(format!(
            "the loop-back {name} was driven to full scale: record it again 6 dB lower"
        )),
        false => Ok(take),
    }
}

/// Says when a capture is of another track than the one given.
fn other_track(name: &str, take: Label, track: Label) -> Option<String> {
    let same = (take.form, take.level_steps) == (track.form, track.level_steps);
    (!same).then(|| {
        format!(
            "{name}: another form or level of the track than the one given; its own markers count"
        )
    })
}

/// The takes of one sound.
fn read(
    mut reader: Reader,
    purpose: Purpose,
    inputs: &mut Vec<Input>,
    watch: &mut impl Watch,
) -> Result<Held, Trouble> {
    reader.read_all_channels();
    let name = reader.name().to_owned();
    let mut capture = Capture::new(reader.sample_rate_hz() as u32, reader.channels())
        .map_err(|refusal| Trouble::Impossible(format!("{name}: {refusal}")))?;
    let mut held = Held::default();
    let coded = reader.is_lossy();
    let mut keep = |take: Result<_, Refusal>| match take {
        Ok(take) => {
            let reading = TakeReading::new(&take, purpose);
            held.takes.push(if coded { reading.coded() } else { reading });
        }
        Err(refusal) => held.left_out.push(refusal.to_string()),
    };
    watch.begin(reader.frames());
    let mut block = reader.block();
    loop {
        let frames = reader.read(&mut block, BLOCK)?;
        if !watch.advance(frames) {
            return Err(Trouble::Ended);
        }
        if frames == 0 {
            break;
        }
        let channels: Vec<&[f32]> = block.iter().map(Vec::as_slice).collect();
        capture.push(&channels, &mut keep);
    }
    capture.finish(&mut keep);
    reader.notes().iter().for_each(|note| watch.remark(&format!("{name}: {note}")));
    let base =
        Path::new(&name).file_name().map_or("-".into(), |n| n.to_string_lossy().into_owned());
    inputs.push(Input { name: base, sha256: reader.sha256()? });
    Ok(held)
}
