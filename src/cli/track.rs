//! `signal track`: the measuring track as a file, with a sheet that says how
//! to play and record it.

use std::path::{Path, PathBuf};

use clap::ValueEnum;

use crate::audio::BLOCK;
use crate::audio::encode::{Format, Spec};
use crate::cli::audio_file::Writer;
use crate::cli::failure::Failure;
use crate::cli::output::write_text;
use crate::cli::progress::Progress;
use crate::cli::track_sheet::bars;
use crate::cli::{number, places, stop};
use crate::report::{CAUTIONS, TrackSheet, track_sheet};
use crate::signal::track::layout::Form;
use crate::signal::track::{LEVEL_STEP_DB, LEVEL_STEPS, Track};

/// The measuring track for `diagnose`, `tune` and `identify`
#[derive(clap::Args)]
pub(super) struct Args {
    /// WAV to write; - is standard output
    #[arg(short, long)]
    output: PathBuf,
    /// Short for every volume step (51 s), long for the usual step and for devices (2 min 32 s)
    #[arg(long, value_enum, default_value_t)]
    form: Kind,
    /// Plays the whole track so many steps of 6 dB lower
    #[arg(long, value_name = "STEPS", default_value_t = 0)]
    lower: u8,
    /// Sample rate in Hz
    #[arg(long, value_name = "HZ", default_value = "48000", value_parser = number::rate)]
    rate: u32,
    /// How samples are stored; a radio plays 16 bit
    #[arg(long, value_enum, default_value_t = Format::Int16)]
    format: Format,
    /// Writes a sheet to print and to write on: one A4 page as .html, or plain text
    #[arg(long, value_name = "FILE.html")]
    sheet: Option<PathBuf>,
    /// Seed of the dither of integer formats
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Replaces files that exist
    #[arg(short, long)]
    force: bool,
}

/// Forms of the track.
#[derive(Clone, Copy, Default, ValueEnum)]
enum Kind {
    #[default]
    Short,
    Long,
}

const STEPS: &str = "\
Prepare
  1. Charger on, engine off, car outdoors or the garage open.
  2. Tone controls flat; loudness, surround, bass boost, sound modes and
     speed-dependent volume off. Fader and balance in the middle.
  3. Loudspeakers off or amplifiers off if the radio allows it; else start at
     the lowest volume step.
  4. Copy the track to a stick as it is. Do not convert it.
  5. Take the signal where the amplifier will take it, with a line adapter.

Record
  6. Recorder: automatic gain, noise reduction and limiter off; WAV or FLAC;
     44.1 kHz or more. Set its gain once, at the loudest step you will play:
     peaks at least 6 dB below full scale. Then leave it alone.
  7. Record the track whole at four or more volume steps, from soft to the
     loudest you use. Write each step down:
       step ____   step ____   step ____   step ____   step ____   step ____
  8. Once more: player straight into the recorder, for --loop-back.
  Several takes may stand in one file, in any order.

Mind
";

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    if args.lower >= LEVEL_STEPS {
        let most = LEVEL_STEPS - 1;
        return Err(Failure::usage(format!("--lower takes 0 to {most}, not {}", args.lower)));
    }
    if !(12_000..=768_000).contains(&args.rate) || !args.rate.is_multiple_of(10) {
        let sentence =
            format!("--rate takes multiples of 10 from 12000 to 768000, not {}", args.rate);
        return Err(Failure::usage(sentence));
    }
    let sheet = ("--sheet", args.sheet.as_deref());
    places::apart(&[("--output", Some(&args.output)), sheet], &[])?;
    if let Some(path) = &args.sheet {
        write_text(path, args.force, &args.sheet(path))?;
    }
    let form = args.form();
    let track = Track::new(form, args.lower, f64::from(args.rate));
    let spec = Spec {
        sample_rate_hz: f64::from(args.rate),
        channels: 2,
        format: args.format,
        seed: args.seed,
        frames: Some(track.samples() as u64),
    };
    let mut writer = Writer::create(&args.output, args.force, spec)?;
    let progress = Progress::new("writing", spec.frames);
    let mut block = [Vec::new(), Vec::new()];
    for start in (0..track.samples()).step_by(BLOCK) {
        stop::check()?;
        let end = track.samples().min(start + BLOCK);
        for (side, channel) in block.iter_mut().enumerate() {
            channel.clear();
            channel.extend((start..end).map(|n| track.frame(n)[side] as f32));
        }
        writer.write(&block)?;
        progress.advance(end - start);
    }
    writer.finish()?;
    Ok(())
}

impl Args {
    fn form(&self) -> Form {
        match self.form {
            Kind::Short => Form::Short,
            Kind::Long => Form::Long,
        }
    }

    /// The form with its length, in words.
    fn form_in_words(&self) -> String {
        let seconds = self.form().seconds().round() as u32;
        match (self.form, seconds / 60) {
            (Kind::Short, _) => format!("short form, {seconds} s"),
            (Kind::Long, minutes) => format!("long form, {minutes} min {} s", seconds % 60),
        }
    }

    /// The sheet for the car: a page when the file is one, else text.
    fn sheet(&self, path: &Path) -> String {
        let track = self.output.file_name().unwrap_or_default().to_string_lossy();
        let is_long = matches!(self.form, Kind::Long);
        if path.extension().is_some_and(|ending| ending == "html") {
            let lowered_db = -LEVEL_STEP_DB * f64::from(self.lower);
            return track_sheet(&TrackSheet {
                track: track.into(),
                form: self.form_in_words(),
                is_long,
                bars: bars(&self.form().sections(), lowered_db),
            });
        }
        let cautions: String = CAUTIONS.iter().map(|c| format!("  - {c}\n")).collect();
        let title =
            format!("Measuring track, {}: how to play and record it\n", self.form_in_words());
        let command = if is_long { "identify" } else { "diagnose" };
        let next = format!(
            "\nNext\n  underpin {command} {track} step-1.wav step-2.wav --report radio.html\n"
        );
        format!("{title}\n{STEPS}{cautions}{next}")
    }
}
