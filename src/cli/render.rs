//! `render`: a file through the path, sample for sample in its place.

use std::path::{Path, PathBuf};

use crate::audio::Reader;
use crate::audio::encode::{Format, Spec};
use crate::cli::audio_file::{Writer, open};
use crate::cli::choose::{Choose, keys};
use crate::cli::failure::Failure;
use crate::cli::hand::Hand;
use crate::cli::next::Command;
use crate::cli::through::through;
use crate::cli::{hint, matched, remark, sheet};
use crate::measure::{Ask, Measure};
use crate::path::Listen;
use crate::settings::Settings;
use crate::units::gain_to_db;

const EXAMPLES: &str = "Examples:
  underpin render song.flac out.wav --preset kick-drum
  underpin render song.wav out.wav --set octave.level_db=-9 --set high_pass.order=4
  underpin render song.wav out.wav --preset sealed-box --report out.html
  underpin render song.wav out.wav --preset start-here --match
  underpin render - - --preset mine.toml < in.wav > out.wav";

/// Runs a file through the path: same length, every sample in its place
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, after_long_help = keys(), help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// File to read: WAV, FLAC, MP3, AAC or OGG Vorbis; - is standard input
    input: PathBuf,
    /// WAV to write; - is standard output
    output: PathBuf,
    #[command(flatten)]
    choose: Choose,
    /// How samples are stored
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    /// Seed of the dither of integer formats
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Writes dry part, octave part and blend of equal loudness (BS.1770) beside the name of the output
    #[arg(long = "match", conflicts_with_all = ["json", "report", "pictures"])]
    matched: bool,
    #[command(flatten)]
    hand: Hand,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let sound = ("the sound", Some(args.output.as_path()));
    let mut inputs = vec![args.input.as_path()];
    inputs.extend(args.choose.file());
    args.hand.apart(&[sound], &inputs)?;
    let preset = args.choose.read()?;
    if args.matched {
        let how = (args.format, args.seed, args.hand.force);
        return matched::write(&args.input, &args.output, &preset.settings, how);
    }
    let reader = open(&args.input)?;
    let (rate, channels) = (reader.sample_rate_hz(), reader.channels());
    if !args.hand.is_wanted() {
        let reader = to_file(args, &preset.settings, reader, &mut ())?;
        reader.notes().iter().for_each(|note| remark(&format!("{}: {note}", reader.name())));
        hint(&next(args));
        return Ok(());
    }
    let awaited = args.hand.begin(&[sound], &inputs)?;
    let ask = Ask { strata: true, transfer: true, ..Ask::default() };
    let mut measure = Measure::new(rate, channels, &ask);
    let reader = to_file(args, &preset.settings, reader, &mut measure)?;
    let mut sheet = sheet::of_files(vec![reader], measure.reading())?;
    sheet.preset = Some(preset.name).filter(|name| !name.is_empty());
    sheet.settings = Some(preset.settings);
    sheet.next = next(args);
    awaited.finish_silently(&sheet)
}

/// What came out is listened to, but louder wins.
fn next(args: &Args) -> String {
    let piped = [&args.input, &args.output].into_iter().any(|path| path == Path::new("-"));
    let render = Command::new("render");
    let matched = match piped {
        true => render.plain("song.wav out.wav --match"),
        false => render.file(&args.input).file(&args.output).plain("--match"),
    };
    let words = args.choose.words();
    words.fold(matched, |line, word| line.word(word)).that("listen to its parts at equal loudness")
}

/// Runs the whole file through the path into the output, heard by `listener`, and hands it back read.
fn to_file(
    args: &Args,
    settings: &Settings,
    reader: Reader,
    listener: &mut impl Listen,
) -> Result<Reader, Failure> {
    let spec = Spec {
        sample_rate_hz: reader.sample_rate_hz(),
        channels: reader.channels(),
        format: args.format,
        seed: args.seed,
        frames: reader.frames(),
    };
    let mut writer = Writer::create(&args.output, args.hand.force, spec)?;
    let mut peak = 0f32;
    let reader = through(reader, settings, listener, |block| {
        peak = block.iter().flatten().fold(peak, |p, x| p.max(x.abs()));
        writer.write(block)
    })?;
    let over = writer.finish()?;
    if let Some(sentence) = exceeds(peak, over) {
        remark(&sentence);
    }
    Ok(reader)
}

/// What to do about a peak over full scale, and what became of it.
fn exceeds(peak: f32, clipped: u64) -> Option<String> {
    let over_db = gain_to_db(f64::from(peak));
    // Less than a tenth is told when samples were clipped alone.
    if over_db < 0.05 && clipped == 0 {
        return None;
    }
    let fate = match clipped {
        0 => "the file keeps it, what plays it will clip".into(),
        n => format!("{n} samples were clipped; f32 keeps them"),
    };
    let down = (10.0 * over_db).ceil() / 10.0;
    Some(format!(
        "the output exceeds full scale by {over_db:.1} dB: {fate}. Take output.gain_db down by {down:.1} dB, or set output.ceiling=on"
    ))
}
