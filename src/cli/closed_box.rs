//! `box`: a driver in a closed box, what equalising its low end costs, how loud it goes.

use std::path::PathBuf;

use crate::cli::failure::Failure;
use crate::cli::hand::Hand;
use crate::cli::number;
use crate::cli::output::write_text;
use crate::planning::closed_box::{Alignment, Driver};
use crate::presets::Preset;
use crate::report::{BoxTold, Sheet, closed_box};
use crate::settings::Settings;

const EXAMPLES: &str = "Examples:
  underpin box --fs 25 --qts 0.40 --vas 100 --volume 40
  underpin box --fc 45 --qtc 0.9 --to-hz 25
  underpin box --fs 28 --qts 0.45 --vas 80 --volume 28 --to-hz 25 --qes 0.5 \\
      --sd 500 --xmax 12 --power 400 --report box.html";

/// Tells a closed box from its driver's data, what it takes to extend it, and how loud it goes
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// Free-air resonance of the driver, in Hz
    #[arg(long, value_name = "HZ", value_parser = number::hz)]
    fs: Option<f64>,
    /// Total quality of the driver
    #[arg(long, value_name = "Q", value_parser = number::plain)]
    qts: Option<f64>,
    /// Volume of air as stiff as the driver's suspension, in litres
    #[arg(long, value_name = "LITRES", value_parser = number::litres)]
    vas: Option<f64>,
    /// Inner volume of the box less the driver, in litres
    #[arg(long, value_name = "LITRES", value_parser = number::litres)]
    volume: Option<f64>,
    /// Resonance of the built box as measured, in Hz; instead of --fs, --qts, --vas and --volume
    #[arg(long, value_name = "HZ", value_parser = number::hz, requires = "qtc")]
    fc: Option<f64>,
    /// Quality of the built box as measured
    #[arg(long, value_name = "Q", value_parser = number::plain, requires = "fc")]
    qtc: Option<f64>,
    /// Resonance that the equaliser is to give it, in Hz
    #[arg(long, value_name = "HZ", value_parser = number::hz)]
    to_hz: Option<f64>,
    /// Quality that the equaliser is to give it
    #[arg(long, value_name = "Q", value_parser = number::plain, default_value_t = std::f64::consts::FRAC_1_SQRT_2, requires = "to_hz")]
    to_q: f64,
    /// Electrical quality of the driver; with --fs and --vas it gives levels by power
    #[arg(long, value_name = "Q", value_parser = number::plain)]
    qes: Option<f64>,
    /// Area of the cone, in cm2
    #[arg(long, value_name = "CM2", value_parser = number::square_cm)]
    sd: Option<f64>,
    /// Linear excursion one way, in mm
    #[arg(long, value_name = "MM", value_parser = number::mm)]
    xmax: Option<f64>,
    /// Power that driver and amplifier stand, in W
    #[arg(long, value_name = "W", value_parser = number::watts)]
    power: Option<f64>,
    /// Lowest frequency that has to be played, in Hz
    #[arg(long, value_name = "HZ", value_parser = number::hz, default_value_t = 20.0)]
    down_to: f64,
    /// Writes the equaliser as a preset file; - is standard output
    #[arg(long, value_name = "FILE.toml", requires = "to_hz")]
    preset: Option<PathBuf>,
    #[command(flatten)]
    hand: Hand,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    args.check()?;
    let told = BoxTold {
        from: args.alignment()?,
        to: args.to_hz.map(|hz| Alignment { hz, q: args.to_q }),
        driver: Driver {
            qes: args.qes,
            fs_hz: args.fs,
            vas_l: args.vas,
            sd_cm2: args.sd,
            xmax_mm: args.xmax,
            power_w: args.power,
        },
        down_to_hz: args.down_to,
    };
    let awaited = args.hand.begin(&[("--preset", args.preset.as_deref())], &[])?;
    let mut sheet = Sheet::new("closed box, computed from its data");
    closed_box(&mut sheet, &told);
    if let Some((path, settings)) = args.preset.as_ref().zip(told.settings()) {
        args.check_range(&told, &settings)?;
        let when = "For the sealed box that it was computed for, and no other.";
        let preset = Preset::new("Extended box", when, settings);
        write_text(path, args.hand.force, &preset.to_toml())?;
    }
    awaited.finish(&sheet)
}

impl Args {
    /// Every number within what drivers and boxes have.
    fn check(&self) -> Result<(), Failure> {
        let within = [
            ("--fs", self.fs, 5.0, 200.0),
            ("--qts", self.qts, 0.05, 3.0),
            ("--vas", self.vas, 0.1, 2000.0),
            ("--volume", self.volume, 0.5, 2000.0),
            ("--fc", self.fc, 10.0, 300.0),
            ("--qtc", self.qtc, 0.2, 5.0),
            ("--to-hz", self.to_hz, 10.0, 80.0),
            ("--to-q", Some(self.to_q), 0.3, 1.2),
            ("--qes", self.qes, 0.05, 5.0),
            ("--sd", self.sd, 10.0, 5000.0),
            ("--xmax", self.xmax, 0.1, 100.0),
            ("--power", self.power, 1.0, 20_000.0),
            ("--down-to", Some(self.down_to), 10.0, 100.0),
        ];
        for (name, value, low, high) in within {
            if value.is_some_and(|value| !(low..=high).contains(&value)) {
                let value = value.unwrap_or_default();
                return Err(Failure::usage(format!("{name} takes {low} to {high}, not {value}")));
            }
        }
        Ok(())
    }

    /// The line extends what most boxes are, not all that can be computed.
    fn check_range(&self, told: &BoxTold, settings: &Settings) -> Result<(), Failure> {
        let is = |set: f32, told: f64| (f64::from(set) - told).abs() <= 1e-5 * told;
        let from = told.from;
        match is(settings.closed_box_from_hz, from.hz) && is(settings.closed_box_from_q, from.q) {
            true => Ok(()),
            false => Err(Failure::usage(
                "--preset takes boxes with a resonance of 15 to 120 Hz and a quality of 0.3 to 2",
            )),
        }
    }

    fn alignment(&self) -> Result<Alignment, Failure> {
        match (self.fc, self.qtc, self.fs, self.qts, self.vas, self.volume) {
            (Some(hz), Some(q), ..) => Ok(Alignment { hz, q }),
            (_, _, Some(fs), Some(qts), Some(vas), Some(volume)) => {
                Ok(Alignment::of_box(fs, qts, vas, volume))
            }
            _ => Err(Failure::usage(
                "a box needs --fs, --qts, --vas and --volume, or --fc and --qtc",
            )),
        }
    }
}
