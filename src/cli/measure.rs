//! `measure`: what is in a file, alone or against another one.

use std::path::{Path, PathBuf};

use crate::audio::{BLOCK, Reader};
use crate::cli::audio_file::open;
use crate::cli::failure::{Code, Failure};
use crate::cli::hand::Hand;
use crate::cli::next::Command;
use crate::cli::progress::Progress;
use crate::cli::{number, sheet, stop};
use crate::measure::{Ask, Measure};

const EXAMPLES: &str = "Examples:
  underpin measure song.flac
  underpin measure capture.wav --against played.wav --report capture.html
  underpin measure tone.wav --tone 40 --json";

/// Shortest sound that is measured, in seconds: two periods of 20 Hz.
const SHORTEST_S: f64 = 0.1;

/// Measures levels, bands, spectrum, lines beside a tone, and clipping
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// File to measure: WAV, FLAC, MP3, AAC or OGG Vorbis; - is standard input
    file: PathBuf,
    /// What it was before, to compare with: up to 1 s earlier or later
    #[arg(long, value_name = "FILE")]
    against: Option<PathBuf>,
    /// The tone whose lines are wanted; without it one is looked for
    #[arg(long, value_name = "HZ", value_parser = number::hz)]
    tone: Option<f64>,
    #[command(flatten)]
    hand: Hand,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let inputs: Vec<&Path> = [Some(&args.file), args.against.as_ref()]
        .into_iter()
        .flatten()
        .map(PathBuf::as_path)
        .collect();
    args.hand.apart(&[], &inputs)?;
    let (mut file, mut against) = opened(args)?;
    let rate = file.sample_rate_hz();
    let awaited = args.hand.begin(&[], &inputs)?;
    let channels = file.channels().max(against.as_ref().map_or(1, Reader::channels));
    let ask = Ask { tone_hz: args.tone, transfer: against.is_some(), ..Ask::default() };
    let mut measure = Measure::new(rate, channels, &ask);
    hear(&mut measure, &mut file, against.as_mut(), channels)?;
    let lossy = file.is_lossy();
    let readings = measure.reading();
    let side = readings.after.as_ref().unwrap_or(&readings.before);
    if let Some(tone) = args.tone.filter(|_| side.partials.is_none()) {
        let sentence = format!("{}: too short, or no tone at {tone} Hz", file.name());
        return Err(Failure::new(Code::Impossible, sentence));
    }
    let mut files = vec![file];
    files.extend(against);
    let mut sheet = sheet::of_files(files, readings)?;
    sheet.lossy = lossy;
    sheet.next = match &args.against {
        Some(_) => Command::new("signal track -o track.wav --sheet track.html")
            .that("for figures with their noise and limits, play and record the track"),
        None => Command::new("measure")
            .file(&args.file)
            .plain("--against before.wav")
            .that("hold it against what it was before"),
    };
    awaited.finish(&sheet)
}

/// Both files, if they can be measured against each other.
fn opened(args: &Args) -> Result<(Reader, Option<Reader>), Failure> {
    let file = open(&args.file)?;
    let against = args.against.as_deref().map(open).transpose()?;
    let rate = file.sample_rate_hz();
    if let Some(tone) = args.tone.filter(|tone| !(1.0..rate / 2.0).contains(tone)) {
        return Err(Failure::usage(format!(
            "--tone takes 1 Hz to half the sample rate, not {tone}"
        )));
    }
    if let Some(other) = against.as_ref().filter(|other| other.sample_rate_hz() != rate) {
        let (a, b) = (rate, other.sample_rate_hz());
        let sentence =
            format!("the files differ in sample rate, {a} and {b} Hz: convert one first");
        return Err(Failure::new(Code::Impossible, sentence));
    }
    Ok((file, against))
}

/// Hears a file, beside the other one where there is one, to the end of the shorter.
fn hear(
    measure: &mut Measure,
    file: &mut Reader,
    mut against: Option<&mut Reader>,
    channels: usize,
) -> Result<(), Failure> {
    let rate = file.sample_rate_hz();
    let progress = Progress::new("measuring", file.frames());
    let (mut heard, mut loudest, mut loudest_before) = (0, 0f64, 0f64);
    let (mut block, mut before) = (Lanes::of(file), against.as_deref().map(Lanes::of));
    loop {
        stop::check()?;
        let mut frames = block.read(file)?;
        if let (Some(before), Some(against)) = (&mut before, against.as_deref_mut()) {
            frames = frames.min(before.read(against)?);
        }
        if frames == 0 {
            break;
        }
        let after = block.first(frames, channels);
        loudest = peak(&after, loudest);
        match &before {
            Some(before) => {
                let before = before.first(frames, channels);
                loudest_before = peak(&before, loudest_before);
                measure.push_pair(&before, &after);
            }
            None => measure.push(&after),
        }
        heard += frames;
        progress.advance(frames);
    }
    drop(progress);
    worth_measuring(file.name(), heard as f64 / rate, loudest)?;
    match against {
        Some(against) => worth_measuring(against.name(), heard as f64 / rate, loudest_before),
        None => Ok(()),
    }
}

/// The highest sample so far.
fn peak(channels: &[&[f64]], so_far: f64) -> f64 {
    channels.iter().flat_map(|c| *c).fold(so_far, |most, x| most.max(x.abs()))
}

/// Refuses what nothing can be said about.
fn worth_measuring(name: &str, seconds: f64, loudest: f64) -> Result<(), Failure> {
    let why = match (seconds < SHORTEST_S, loudest == 0.0) {
        (true, _) => format!("{name} is too short to measure: {seconds:.3} s"),
        (_, true) => format!("{name} is silent: there is nothing to measure"),
        _ => return Ok(()),
    };
    Err(Failure::new(Code::Impossible, why))
}

/// A block of a file in f64.
struct Lanes {
    block: Vec<Vec<f32>>,
    lanes: Vec<Vec<f64>>,
}

impl Lanes {
    fn of(reader: &Reader) -> Self {
        Self { block: reader.block(), lanes: vec![Vec::new(); reader.channels()] }
    }

    fn read(&mut self, reader: &mut Reader) -> Result<usize, Failure> {
        let frames = reader.read(&mut self.block, BLOCK)?;
        for (lane, channel) in self.lanes.iter_mut().zip(&self.block) {
            lane.clear();
            // A recorder may write NaN or infinity: it is heard as silence.
            lane.extend(channel.iter().map(|x| if x.is_finite() { f64::from(*x) } else { 0.0 }));
        }
        Ok(frames)
    }

    /// The first frames of each channel; a mono file fills both.
    fn first(&self, frames: usize, channels: usize) -> Vec<&[f64]> {
        let last = self.lanes.len() - 1;
        (0..channels).map(|side| &self.lanes[side.min(last)][..frames]).collect()
    }
}
