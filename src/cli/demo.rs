//! `demo`: the whole job on an invented car, on generated input, in a second.
//!
//! Radio model, what it takes out, settings that answer it, the line run with
//! them, the proof that it is clean, and one report of it all.

use std::fs;
use std::path::{Path as FilePath, PathBuf};

use crate::cli::audio_file::{Format, Spec, Writer};
use crate::cli::failure::{Code, Failure};
use crate::cli::output::{print, write_text};
use crate::cli::say;
use crate::curve::Curve;
use crate::measure::{Ask, Measure, Readings};
use crate::path::{Listen, Path};
use crate::plot::low_end::Beside;
use crate::plot::scene::{Rect, Scene};
use crate::plot::strata::Strata;
use crate::plot::{self, Palette};
use crate::presets::Preset;
use crate::prove::prove;
use crate::report::{self, Run, Sheet, Table};
use crate::settings::Settings;
use crate::signal::{Kind, Pink, Source};
use crate::units::seconds_to_samples;

const EXAMPLES: &str = "Examples:
  underpin demo
  underpin demo --out my-demo";

/// Does the whole job on an invented car and writes a report with pictures
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// Folder for the report, a picture, the settings and two WAV files; an earlier demo is replaced
    #[arg(long, value_name = "DIR", default_value = "underpin-demo")]
    out: PathBuf,
}

const RATE_HZ: f64 = 48_000.0;

/// Seed of the programme.
const SEED: u64 = 7;

/// The programme repeats after this time, and this much of it is measured and written.
const PERIOD_S: f64 = 8.0;

/// Unheard time in which filters and octave part settle.
const SETTLE_S: f64 = 2.0;

/// Names of the files a demo leaves behind.
const FILES: [&str; 5] = ["report.html", "low-end.svg", "settings.toml", "radio.wav", "lifted.wav"];

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    prepare(&args.out)?;
    let settings = proposal()?;
    let radio = through(&radio()?, &programme()?, &mut ());
    let ask = Ask { strata: true, skip_s: SETTLE_S, ..Ask::default() };
    let mut measure = Measure::new(RATE_HZ, 1, &ask);
    let lifted = through(&settings.settings, &radio, &mut measure);
    let sheet = sheet(&settings, measure.reading())?;

    let [report, picture, preset, before, after] = FILES.map(|name| args.out.join(name));
    write_text(&report, true, &report::html(&sheet))?;
    write_text(&picture, true, &low_end(&sheet))?;
    write_text(&preset, true, &settings.to_toml())?;
    let settled = seconds_to_samples(SETTLE_S, RATE_HZ);
    write_wav(&before, &radio[settled..])?;
    write_wav(&after, &lifted[settled..])?;
    print(&report::text(&sheet))?;
    say(&format!("report with pictures: {}", report.display()));
    Ok(())
}

/// The invented radio: it keeps low bass from its small speakers with a
/// fourth-order high-pass at 60 Hz.
fn radio() -> Result<Settings, Failure> {
    changed(&[("octave.level_db", "off"), ("high_pass.order", "4"), ("high_pass.hz", "60")])
}

/// What answers that radio: new notes an octave below what it leaves, the
/// bottom lifted a little, the cone protected.
fn proposal() -> Result<Preset, Failure> {
    let settings = changed(&[
        ("octave.level_db", "2"),
        ("octave.from_hz", "56"),
        ("octave.to_hz", "120"),
        ("octave.floor_hz", "25"),
        ("low_band.gain_db", "4"),
        ("low_band.centre_hz", "34"),
        ("low_band.width_oct", "1"),
        ("high_pass.order", "2"),
        ("high_pass.hz", "20"),
    ])?;
    let when = "For the invented car of the demo: the radio cuts steeply below 60 Hz.";
    Ok(Preset::new("Invented car", when, settings))
}

fn changed(pairs: &[(&str, &str)]) -> Result<Settings, Failure> {
    let mut settings = Settings::default();
    for (key, value) in pairs {
        settings = settings.with(key, value).map_err(Failure::usage)?;
    }
    Ok(settings)
}

/// Pink noise at −20 dBFS r.m.s., as the music player gives it.
fn programme() -> Result<Vec<f32>, Failure> {
    let pink = Pink { level_dbfs: -20.0, period_s: PERIOD_S, ..Pink::default() };
    let source = Source::new(&Kind::Pink(pink), RATE_HZ, SEED)
        .map_err(|why| Failure::new(Code::Internal, why))?;
    Ok(source.lasting(SETTLE_S + PERIOD_S).map(|x| x as f32).collect())
}

/// A mono signal through a fresh path with these settings.
fn through(settings: &Settings, signal: &[f32], listener: &mut impl Listen) -> Vec<f32> {
    let mut path = Path::new(RATE_HZ, 1);
    path.set(settings);
    let mut out = signal.to_vec();
    path.process(&mut [&mut out], listener);
    out
}

fn sheet(preset: &Preset, readings: Readings) -> Result<Sheet, Failure> {
    let mut sheet = prove(&preset.settings).map_err(|why| Failure::new(Code::Internal, why))?;
    sheet.subject = "invented car: the radio cuts below 60 Hz, fourth order".into();
    sheet.preset = Some(preset.name.clone());
    // The radio's noise takes the place of the proof's flat noise.
    sheet.runs[0] = Run::new("pink noise through the radio", readings);
    sheet.original = Some(Curve::new([(16.0, 0.0), (1_000.0, 0.0)]));
    sheet.target = Some(Curve::new([(31.5, 0.0), (200.0, 0.0)]));
    sheet.tables.insert(0, missing(&sheet));
    Ok(sheet)
}

/// How far down the radio is, and where: each figure read off its smoothed curve.
fn missing(sheet: &Sheet) -> Table {
    let given = sheet.runs.first().map(|run| Strata::smoothed(&run.readings, 16.0, 250.0, 481));
    let bands = given.map(|given| given.bands).unwrap_or_default();
    let crossing = |down_db: f64| bands.iter().rev().find(|band| band.given <= -down_db);
    let row = |down_db: f64| {
        let at = crossing(down_db).map_or("none".into(), |band| format!("{:.0}", band.hz));
        vec![format!("{down_db:.0}"), at]
    };
    Table {
        title: "What the radio takes out".into(),
        note: "pink noise, 1/6 octave, re mean of 200 Hz to 1 kHz".into(),
        head: ["dB down", "at Hz"].map(String::from).to_vec(),
        rows: [3.0, 6.0, 10.0, 20.0, 30.0].map(row).to_vec(),
    }
}

/// The layers of the low end as one picture.
fn low_end(sheet: &Sheet) -> String {
    let mut scene = Scene::new(720.0, 330.0, "What the radio gives, and what each stage adds");
    let rect = Rect { x: 40.0, y: 12.0, width: 664.0, height: 280.0 };
    let beside = Beside {
        target: sheet.target.as_ref(),
        original: sheet.original.as_ref(),
        ..Beside::default()
    };
    if let Some(run) = sheet.broad() {
        plot::low_end::low_end(&mut scene, rect, &run.readings, beside);
    }
    report::svg(&scene, Palette::Day)
}

/// Makes the folder; one that holds other things than an earlier demo is left alone.
fn prepare(folder: &FilePath) -> Result<(), Failure> {
    let failed = |error| Failure::unwritable(&folder.display().to_string(), &error);
    fs::create_dir_all(folder).map_err(failed)?;
    for entry in fs::read_dir(folder).map_err(failed)? {
        let name = entry.map_err(failed)?.file_name();
        if !FILES.iter().any(|file| name == *file) {
            let sentence = format!(
                "{} holds {}, which is not a demo's: give --out another folder",
                folder.display(),
                name.display()
            );
            return Err(Failure::new(Code::Unwritable, sentence));
        }
    }
    Ok(())
}

fn write_wav(path: &FilePath, signal: &[f32]) -> Result<(), Failure> {
    let spec = Spec {
        sample_rate_hz: RATE_HZ,
        channels: 1,
        format: Format::F32,
        seed: SEED,
        frames: Some(signal.len() as u64),
    };
    let mut writer = Writer::create(path, true, spec)?;
    writer.write(&[signal.to_vec()])?;
    writer.finish().map(|_| ())
}
