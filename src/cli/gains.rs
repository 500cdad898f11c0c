//! `gains`: target voltages, levels in volts from one meter reading, clip margins.

use std::fs;
use std::path::PathBuf;

use crate::cli::failure::{Code, Failure};
use crate::cli::hand::Hand;
use crate::cli::number;
use crate::planning::gains::{Chain, Reading};
use crate::report::{GainsTold, Plan, Sheet, gains};

const EXAMPLES: &str = "Examples:
  underpin gains
  underpin gains --power 500 --ohm 2
  underpin gains --power 500 --ohm 2 --overlap 5 --read 2.4 --tone -12 --amp-in 8
  underpin gains --plan my-plan.toml --read 2.4 --tone -12 --device-in 20 --device-out 4";

/// Tells target voltages, levels in volts, and how much room there is from the radio to the amplifier
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// Power the amplifier is set to, in W
    #[arg(long, value_name = "W", value_parser = number::watts, requires = "ohm")]
    power: Option<f64>,
    /// Nominal load, in ohm
    #[arg(long, value_name = "OHM", value_parser = number::ohms, requires = "power")]
    ohm: Option<f64>,
    /// How far below full scale the tone is with which gains are set, in dB
    #[arg(long, value_name = "DB", value_parser = number::db, allow_hyphen_values = true, default_value_t = 0.0)]
    overlap: f64,
    /// Volts r.m.s. read at the radio's output at the highest clean volume
    #[arg(long, value_name = "V", value_parser = number::volts, requires = "tone")]
    read: Option<f64>,
    /// Level of the tone that was read, in dBFS
    #[arg(long, value_name = "DBFS", value_parser = number::db, allow_hyphen_values = true, requires = "read")]
    tone: Option<f64>,
    /// Volts r.m.s. at which a device between radio and amplifier clips at its input
    #[arg(long, value_name = "V", value_parser = number::volts, requires = "read")]
    device_in: Option<f64>,
    /// Volts r.m.s. at which that device clips at its output
    #[arg(long, value_name = "V", value_parser = number::volts, requires = "read")]
    device_out: Option<f64>,
    /// Gain of that device, in dB
    #[arg(long, value_name = "DB", value_parser = number::db, allow_hyphen_values = true, default_value_t = 0.0)]
    device_gain: f64,
    /// Volts r.m.s. at which the amplifier's input clips
    #[arg(long, value_name = "V", value_parser = number::volts, requires = "read")]
    amp_in: Option<f64>,
    /// A plan written by tune: its highest clean volume
    #[arg(long, value_name = "FILE.toml")]
    plan: Option<PathBuf>,
    #[command(flatten)]
    hand: Hand,
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    args.check()?;
    let clean_volume = args.clean_volume()?;
    let reading = args.read.zip(args.tone);
    let reading = reading.map(|(volts, tone_dbfs)| Reading { volts, tone_dbfs });
    let told = GainsTold {
        target: args.power.zip(args.ohm),
        overlap_db: args.overlap,
        reading,
        chain: Chain {
            radio_volts: reading.map_or(0.0, |reading| reading.volts_at(0.0)),
            device_in_volts: args.device_in,
            device_out_volts: args.device_out,
            device_gain_db: args.device_gain,
            amplifier_in_volts: args.amp_in,
        },
        clean_volume,
    };
    let awaited = args.hand.begin(&[], args.plan.as_deref().as_slice())?;
    let mut sheet = Sheet::new("gains, from the radio to the amplifier");
    gains(&mut sheet, &told);
    awaited.finish(&sheet)
}

impl Args {
    fn check(&self) -> Result<(), Failure> {
        let within = [
            ("--power", self.power, 0.1, 20_000.0),
            ("--ohm", self.ohm, 0.25, 32.0),
            ("--overlap", Some(self.overlap), 0.0, 15.0),
            ("--read", self.read, 0.001, 200.0),
            ("--tone", self.tone, -60.0, 0.0),
            ("--device-in", self.device_in, 0.01, 200.0),
            ("--device-out", self.device_out, 0.01, 200.0),
            ("--device-gain", Some(self.device_gain), -60.0, 40.0),
            ("--amp-in", self.amp_in, 0.01, 200.0),
        ];
        for (name, value, low, high) in within {
            if value.is_some_and(|value| !(low..=high).contains(&value)) {
                let value = value.unwrap_or_default();
                return Err(Failure::usage(format!("{name} takes {low} to {high}, not {value}")));
            }
        }
        Ok(())
    }

    /// The highest clean volume that a plan tells; empty without a plan.
    fn clean_volume(&self) -> Result<String, Failure> {
        let Some(path) = &self.plan else { return Ok(String::new()) };
        let name = path.display().to_string();
        let text = fs::read_to_string(path).map_err(|error| Failure::unreadable(&name, error))?;
        let plan = Plan::parse(&text)
            .map_err(|why| Failure::new(Code::Unreadable, format!("{name}: {why}")))?;
        let found = plan.found.into_iter().find(|found| found.what.starts_with("Clean"));
        Ok(found.filter(|found| found.sure).map_or(String::new(), |found| found.told))
    }
}
