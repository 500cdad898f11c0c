//! `signal`: a test signal as a file, the same samples on every machine.

use std::path::{Path, PathBuf};

use clap::{Subcommand, ValueEnum};

use crate::audio::BLOCK;
use crate::audio::encode::{Format, Spec};
use crate::cli::audio_file::Writer;
use crate::cli::failure::Failure;
use crate::cli::next::Command;
use crate::cli::progress::Progress;
use crate::cli::{hint, number, remark, stop, track};
use crate::signal::{Burst, Kick, Kind, Pink, Source, Sweep, Tone};

const EXAMPLES: &str = "Examples:
  underpin signal tone --hz 40 --seconds 5 -o tone.wav
  underpin signal tones --hz 55 --hz 82.4 --level -18 -o chord.wav
  underpin signal pink --seconds 30 --channels opposite -o pink.wav
  underpin signal kick --every 0.5 -o - | underpin render - kick.wav";

const LEVELS: &str = "Levels are dBFS by AES17: a sine whose peak reaches full scale is 0 dBFS.
That of a burst or a kick is the level of its sine before the envelope.";

/// Writes a test signal
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, after_help = LEVELS, help_template = super::TEMPLATE)]
pub(super) struct Args {
    #[command(subcommand)]
    what: What,
}

/// Where it goes and how.
#[derive(clap::Args)]
struct To {
    /// WAV to write; - is standard output
    #[arg(short, long)]
    output: PathBuf,
    /// Length in seconds; a sweep has just this length
    #[arg(long, allow_hyphen_values = true, default_value = "10", value_parser = number::seconds)]
    seconds: f64,
    /// Sample rate in Hz
    #[arg(long, value_name = "HZ", default_value = "48000", value_parser = number::rate)]
    rate: u32,
    /// Which channels of a stereo file play; mono has one channel
    #[arg(long, value_enum, default_value_t)]
    channels: Channels,
    /// Fades in and out, in seconds
    #[arg(long, value_name = "SECONDS", default_value = "0", value_parser = number::seconds)]
    fade: f64,
    /// Seed of everything random
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// How samples are stored
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    /// Replaces a file that exists
    #[arg(short, long)]
    force: bool,
}

#[derive(Clone, Copy, Default, PartialEq, ValueEnum)]
enum Channels {
    #[default]
    Both,
    Left,
    Right,
    /// The right channel with its polarity turned
    Opposite,
    Mono,
}

#[derive(Subcommand)]
enum What {
    /// One sine
    Tone {
        /// Frequency
        #[arg(long, default_value_t = Tone::default().hz, value_parser = number::hz)]
        hz: f64,
        /// Level in dBFS
        #[arg(long, allow_hyphen_values = true, default_value_t = Tone::default().level_dbfs, value_parser = number::db)]
        level: f64,
        #[command(flatten)]
        file: To,
    },
    /// Several sines at once, each at the level
    Tones {
        /// Frequency; give it once for each sine
        #[arg(long, required = true, value_parser = number::hz)]
        hz: Vec<f64>,
        /// Level of each in dBFS
        #[arg(long, allow_hyphen_values = true, default_value_t = -18.0, value_parser = number::db)]
        level: f64,
        #[command(flatten)]
        file: To,
    },
    /// Noise of equal power in every octave, exactly periodic
    Pink {
        /// Lowest frequency
        #[arg(long, value_name = "HZ", default_value_t = Pink::default().from_hz, value_parser = number::hz)]
        from: f64,
        /// Highest frequency
        #[arg(long, value_name = "HZ", default_value_t = Pink::default().to_hz, value_parser = number::hz)]
        to: f64,
        /// Time after which it repeats, in seconds
        #[arg(long, value_name = "SECONDS", default_value_t = Pink::default().period_s, value_parser = number::seconds)]
        period: f64,
        /// Level of the whole noise in dBFS r.m.s.
        #[arg(long, allow_hyphen_values = true, default_value_t = Pink::default().level_dbfs, value_parser = number::db)]
        level: f64,
        #[command(flatten)]
        file: To,
    },
    /// An exponential sweep
    Sweep {
        /// Frequency at the start
        #[arg(long, value_name = "HZ", default_value_t = Sweep::default().from_hz, value_parser = number::hz)]
        from: f64,
        /// Frequency at the end
        #[arg(long, value_name = "HZ", default_value_t = Sweep::default().to_hz, value_parser = number::hz)]
        to: f64,
        /// Level in dBFS
        #[arg(long, allow_hyphen_values = true, default_value_t = Sweep::default().level_dbfs, value_parser = number::db)]
        level: f64,
        #[command(flatten)]
        file: To,
    },
    /// A few cycles of a sine under a smooth envelope
    Burst {
        /// Frequency
        #[arg(long, default_value_t = Burst::default().hz, value_parser = number::hz)]
        hz: f64,
        /// Length in cycles
        #[arg(long, default_value_t = Burst::default().cycles, value_parser = number::plain)]
        cycles: f64,
        /// Plays it again after so many seconds
        #[arg(long, value_name = "SECONDS", value_parser = number::seconds)]
        every: Option<f64>,
        /// Level in dBFS
        #[arg(long, allow_hyphen_values = true, default_value_t = Burst::default().level_dbfs, value_parser = number::db)]
        level: f64,
        #[command(flatten)]
        file: To,
    },
    /// A drum stroke: a decaying sine that drops in pitch
    Kick {
        /// Frequency it falls to
        #[arg(long, default_value_t = Kick::default().hz, value_parser = number::hz)]
        hz: f64,
        /// Plays it again after so many seconds
        #[arg(long, value_name = "SECONDS", value_parser = number::seconds)]
        every: Option<f64>,
        /// Level in dBFS
        #[arg(long, allow_hyphen_values = true, default_value_t = Kick::default().level_dbfs, value_parser = number::db)]
        level: f64,
        #[command(flatten)]
        file: To,
    },
    Track(track::Args),
    /// Exact zeros
    Silence {
        #[command(flatten)]
        file: To,
    },
}

impl What {
    /// The signal and where it goes; the track has a file of its own.
    fn split(&self) -> Result<(Kind, &To), &track::Args> {
        Ok(match self {
            What::Track(args) => return Err(args),
            What::Tone { hz, level, file } => (Kind::Tone(tone(*hz, *level)), file),
            What::Tones { hz, level, file } => {
                (Kind::Tones(hz.iter().map(|hz| tone(*hz, *level)).collect()), file)
            }
            What::Pink { from, to, period, level, file } => {
                let pink = Pink {
                    from_hz: *from,
                    to_hz: *to,
                    period_s: *period,
                    level_dbfs: *level,
                    ..Pink::default()
                };
                (Kind::Pink(pink), file)
            }
            What::Sweep { from, to, level, file } => {
                let sweep =
                    Sweep { from_hz: *from, to_hz: *to, seconds: file.seconds, level_dbfs: *level };
                (Kind::Sweep(sweep), file)
            }
            What::Burst { hz, cycles, every, level, file } => {
                let burst = Burst { hz: *hz, cycles: *cycles, every_s: *every, level_dbfs: *level };
                (Kind::Burst(burst), file)
            }
            What::Kick { hz, every, level, file } => {
                let kick = Kick { hz: *hz, every_s: *every, level_dbfs: *level, ..Kick::default() };
                (Kind::Kick(kick), file)
            }
            What::Silence { file } => (Kind::Silence, file),
        })
    }
}

fn tone(hz: f64, level_dbfs: f64) -> Tone {
    Tone { hz, level_dbfs, ..Tone::default() }
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let (kind, file) = match args.what.split() {
        Ok(split) => split,
        Err(track) => return track::run(track),
    };
    let rate = f64::from(file.rate);
    for (name, seconds) in [("--seconds", file.seconds), ("--fade", file.fade)] {
        // A day is longer than any measurement.
        if !(0.0..=86_400.0).contains(&seconds) {
            return Err(Failure::usage(format!("{name} takes 0 to 86400, not {seconds}")));
        }
    }
    if let Kind::Pink(Pink { period_s: 60.0.., .. }) = kind {
        // The whole period is held in memory.
        return Err(Failure::usage("--period takes less than 60"));
    }
    let source = Source::new(&kind, rate, file.seed).map_err(Failure::usage)?;
    let mut source = source.fading(file.fade, file.fade).lasting(file.seconds);
    let frames = crate::units::seconds_to_samples(file.seconds, rate);
    let spec = Spec {
        sample_rate_hz: rate,
        channels: if file.channels == Channels::Mono { 1 } else { 2 },
        format: file.format,
        seed: file.seed,
        frames: Some(frames as u64),
    };
    let mut writer = Writer::create(&file.output, file.force, spec)?;
    let progress = Progress::new("writing", spec.frames);
    let mut lane = [0.0; BLOCK];
    let mut block = vec![Vec::with_capacity(BLOCK); spec.channels];
    for start in (0..frames).step_by(BLOCK) {
        stop::check()?;
        let lane = &mut lane[..BLOCK.min(frames - start)];
        source.fill(lane);
        for (side, channel) in block.iter_mut().enumerate() {
            let gain = file.channels.gain(side);
            channel.clear();
            channel.extend(lane.iter().map(|x| (gain * x) as f32));
        }
        writer.write(&block)?;
        progress.advance(lane.len());
    }
    let over = writer.finish()?;
    if over > 0 {
        remark(&format!("{over} samples lay above full scale and were clipped"));
    }
    if file.output != Path::new("-") {
        let measure = Command::new("measure capture.wav --against").file(&file.output);
        hint(&measure.that("play it softly, record it, and measure that"));
    }
    Ok(())
}

impl Channels {
    /// What the left (0) or right (1) channel is multiplied by.
    fn gain(self, side: usize) -> f64 {
        match (self, side) {
            (Channels::Left, 1) | (Channels::Right, 0) => 0.0,
            (Channels::Opposite, 1) => -1.0,
            _ => 1.0,
        }
    }
}
