//! `presets`: the built-in ones, and a look at one's own.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use serde_json::{Map, Value, json};

use crate::cli::choose::{Choose, keys, preset, preset_file};
use crate::cli::failure::{Code, Failure};
use crate::cli::next::Command;
use crate::cli::output::{print, write_bytes, write_text};
use crate::cli::{hint, shown};
use crate::presets::{Preset, all};
use crate::report::{self, Sheet};
use crate::settings::Kind;

const EXAMPLES: &str = "Examples:
  underpin presets list
  underpin presets show kick-drum
  underpin presets export kick-drum --set octave.level_db=-9 -o mine.toml
  underpin presets export kick-drum -o \"Kick drum.vstpreset\"   # for a host's own browser
  underpin presets export mine.toml --for hardware -o mine.html
  underpin presets check mine.toml";

/// Lists, shows, checks and exports presets
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(clap::Subcommand)]
enum Verb {
    /// Lists the built-in presets and when to use each
    List {
        /// Prints JSON (schema 1)
        #[arg(long)]
        json: bool,
    },
    /// Shows every setting of one preset
    Show {
        /// A built-in preset, or a preset file
        name: String,
        /// Prints JSON (schema 1)
        #[arg(long)]
        json: bool,
    },
    /// Says whether a preset file is in order; exits with 1 when something is not used
    Check {
        /// The preset file; - is standard input
        file: PathBuf,
    },
    /// Writes a preset to a file, with changes if wanted; a name that ends in .vstpreset makes
    /// the file that VST3 hosts read
    #[command(after_long_help = keys())]
    Export {
        /// A built-in preset, or a preset file
        name: String,
        /// Changes one setting; can be given again (--help lists the keys)
        #[arg(short, long, value_name = "KEY=VALUE")]
        set: Vec<String>,
        /// A preset file, or numbers for hardware: coefficients, widths in every definition
        #[arg(long = "for", value_enum, default_value_t)]
        reader: Reader,
        /// File to write; - is standard output; for hardware .html, .json or else text
        #[arg(short, long)]
        output: PathBuf,
        /// Replaces a file that exists
        #[arg(short, long)]
        force: bool,
    },
}

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    match &args.verb {
        Verb::List { json: false } => {
            let rows = all().into_iter().map(|p| format!("{:<28} {}\n", p.slug(), p.when));
            print(&rows.collect::<String>())
        }
        Verb::List { json: true } => {
            print_json(json!({ "presets": all().iter().map(as_json).collect::<Vec<_>>() }))
        }
        Verb::Show { name, json: false } => print(&preset(name)?.to_toml()),
        Verb::Show { name, json: true } => print_json(as_json(&preset(name)?)),
        Verb::Check { file } => check(file),
        Verb::Export { name, set, reader, output, force } => {
            let chosen = Choose::of(name, set).read()?;
            match (reader, ending(output)) {
                (Reader::Hardware, _) => write_text(output, *force, &for_hardware(&chosen, output)),
                (_, "vstpreset") => write_bytes(output, *force, &chosen.to_vst3()),
                _ => {
                    write_text(output, *force, &chosen.to_toml())?;
                    if output != Path::new("-") {
                        let prove = Command::new("prove --preset").file(output);
                        hint(&prove.that("prove that it is clean"));
                    }
                    Ok(())
                }
            }
        }
    }
}

/// Who is to read what is exported.
#[derive(Clone, Copy, Default, ValueEnum)]
enum Reader {
    #[default]
    Underpin,
    Hardware,
}

/// The ending of a file's name, without its dot.
fn ending(path: &Path) -> &str {
    path.extension().and_then(|ending| ending.to_str()).unwrap_or_default()
}

/// The settings as a sheet about hardware, in the form that the name of the file asks for.
fn for_hardware(preset: &Preset, output: &Path) -> String {
    let mut sheet = Sheet::new("settings for hardware");
    sheet.preset = (!preset.name.is_empty()).then(|| preset.name.clone());
    report::hardware(&mut sheet, &preset.settings);
    match ending(output) {
        "html" => report::html(&sheet),
        "json" => format!("{:#}\n", report::json(&sheet)),
        _ => report::text(&sheet),
    }
}

fn check(file: &Path) -> Result<(), Failure> {
    let preset = preset_file(file)?;
    let name = shown(&file.display().to_string());
    let notices: Vec<String> =
        preset.notices().into_iter().chain(preset.settings.check().err()).collect();
    for notice in &notices {
        print(&format!("{name}: {}\n", shown(notice)))?;
    }
    match notices.len() {
        0 => print(&format!("{name}: {:?} is in order\n", preset.name)),
        count => Err(Failure::new(Code::LimitFailed, format!("{count} things are not used"))),
    }
}

fn as_json(preset: &Preset) -> Value {
    let settings = preset.settings.each().map(|(setting, plain)| {
        let value = match setting.kind {
            Kind::Switch => json!(plain >= 0.5),
            Kind::Choice { .. } => json!(setting.show(plain)),
            // The shortest digits of an f32: 0.1, not 0.10000000149.
            Kind::Number { .. } => json!(plain.to_string().parse::<f64>().unwrap_or_default()),
        };
        (setting.key.to_owned(), value)
    });
    json!({
        "name": preset.name,
        "slug": preset.slug(),
        "when": preset.when,
        "settings": settings.collect::<Map<_, _>>(),
        "notices": preset.notices(),
    })
}

fn print_json(mut value: Value) -> Result<(), Failure> {
    if let Value::Object(object) = &mut value {
        object.shift_insert(0, "schema".into(), json!(1));
    }
    print(&format!("{value:#}\n"))
}
