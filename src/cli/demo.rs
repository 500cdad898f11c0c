//! `demo`: the whole job on an invented car, on generated input.
//!
//! Radio and recorders, captures of the track, what is missing, settings that
//! answer it, the line run with them, the proof that it is clean, and one
//! report of it all.

mod car;
mod folder;

use std::path::PathBuf;
use std::thread;

use crate::cli::failure::{Code, Failure};
use crate::cli::output::print;
use crate::cli::{remark, stop};
use crate::curve::Curve;
use crate::measure::{Ask, Measure, Readings};
use crate::path::Path;
use crate::planning::diagnose::{Diagnosis, diagnose};
use crate::planning::rehearse::Rehearsal;
use crate::planning::roll_off::Slope;
use crate::planning::statistics::median;
use crate::planning::take_reading::TakeReading;
use crate::planning::tune::{Problem, Tuned, tune};
use crate::plot::low_end::Beside;
use crate::plot::scene::{Rect, Scene};
use crate::plot::{self, Palette};
use crate::presets::Preset;
use crate::prove::prove;
use crate::report::{self, Plan, Run, Said, Sheet, Table};
use crate::signal::{Kind, Pink, Source};
use crate::units::seconds_to_samples;
use car::{CLOCK_PPM, RATE_HZ, Recorder, STEPS, USUAL, planted_db, played, radio, take};
use folder::{Folder, SUBJECT};

const EXAMPLES: &str = "Examples:
  underpin demo
  underpin demo --out my-demo";

/// Does the whole job on an invented car and writes a report with pictures
#[derive(clap::Args)]
#[command(before_help = EXAMPLES, help_template = super::TEMPLATE)]
pub(super) struct Args {
    /// Folder for the report, a picture, settings, the plan and two WAV files; an earlier demo is replaced
    #[arg(long, value_name = "DIR", default_value = "underpin-demo")]
    out: PathBuf,
}

/// Seed of the programme.
const SEED: u64 = 7;

/// The programme repeats after this time, and this much of it is measured and written.
const PERIOD_S: f64 = 8.0;

/// Tables that the terminal shows; the report has all.
const SHOWN: [&str; 2] = [PLANTED, "Tuning"];

/// Title of the table that holds the invention against what was found.
const PLANTED: &str = "Planted in the invention, and found";

/// Unheard time in which filters and octave part settle.
const SETTLE_S: f64 = 2.0;

/// What a newcomer is about to see.
const OPENING: &str = "\
An invented car: its radio takes the low bass out, more of it when it is loud.
A test track is recorded from it, what is missing found, settings proposed.
Below: what was planted and found, what comes out, and whether it is clean.

";

pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let folder = Folder::new(&args.out)?;
    print(OPENING)?;
    let Recorded { takes, loop_back } = captures()?;
    let found = diagnose(&takes, Some(&loop_back))
        .ok_or_else(|| internal("no take says anything".into()))?;
    let (tuned, preset) = proposal(&found)?;

    let given = radio(USUAL, programme()?)?;
    let ask = Ask { strata: true, skip_s: SETTLE_S, ..Ask::default() };
    let mut measure = Measure::new(RATE_HZ, 1, &ask);
    let out = through(&preset, &given, &mut measure);

    let plan = Plan::new(&found, &tuned, &preset);
    let mut sheet = sheet(&found, &tuned, &preset, measure.reading())?;
    sheet.tables.splice(0..0, [planted(&takes, &found), plan.table()]);
    folder.write_texts([
        &report::html(&sheet),
        &report::text(&sheet),
        &low_end(&sheet),
        &preset.to_toml(),
        &plan.to_toml(),
    ])?;
    let settled = seconds_to_samples(SETTLE_S, RATE_HZ);
    folder.write_sounds([&given[settled..], &out[settled..]], RATE_HZ, SEED)?;
    let report = folder.commit()?;
    print(&told(&sheet))?;
    remark(&format!("report with pictures: {}", report.display()));
    Ok(())
}

fn internal(why: String) -> Failure {
    Failure::new(Code::Internal, why)
}

/// What was recorded: the steps, and the player alone.
struct Recorded {
    takes: Vec<TakeReading>,
    loop_back: TakeReading,
}

/// The track at every step by line, once more through a codec, and the player alone; two at a time.
fn captures() -> Result<Recorded, Failure> {
    let mut asked: Vec<_> = STEPS.map(|step| (Some(step), Recorder::Line)).to_vec();
    asked.extend([(Some(USUAL), Recorder::Coded), (None, Recorder::Line)]);
    let track = played();
    let mut takes = Vec::new();
    for some in asked.chunks(2) {
        stop::check()?;
        let read: Vec<_> = thread::scope(|scope| {
            let track = &track;
            let begun: Vec<_> =
                some.iter().map(|&(step, by)| scope.spawn(move || take(track, step, by))).collect();
            begun.into_iter().map(thread::ScopedJoinHandle::join).collect()
        });
        for take in read {
            takes.push(take.map_err(|_| internal("a take was not read to its end".into()))??);
        }
    }
    let loop_back = takes.pop().ok_or_else(|| internal("no loop-back was made".into()))?;
    Ok(Recorded { takes, loop_back })
}

/// Settings for a closed box, rendered and measured.
fn proposal(found: &Diagnosis) -> Result<(Tuned, Preset), Failure> {
    let channel = found.channels.first().ok_or_else(|| internal("no channel was heard".into()))?;
    let given = Curve::new(channel.curve.iter().copied());
    let problem = Problem { down_to_hz: 25.0, ..Problem::new(given, channel.contents.clone()) };
    let rehearsal = Rehearsal::new(&problem.given);
    let tuned = tune(&problem, |settings| {
        stop::check()?;
        Ok::<_, Failure>(rehearsal.levels_db(settings))
    })?;
    let when = "For the invented car of the demo, at its usual volume.";
    let preset = Preset::new("Invented car", when, tuned.proposal.settings);
    Ok((tuned, preset))
}

/// Pink noise at −20 dBFS r.m.s., as the music player gives it.
fn programme() -> Result<Vec<f32>, Failure> {
    let pink = Pink { level_dbfs: -20.0, period_s: PERIOD_S, ..Pink::default() };
    let source = Source::new(&Kind::Pink(pink), RATE_HZ, SEED).map_err(internal)?;
    Ok(source.lasting(SETTLE_S + PERIOD_S).map(|x| x as f32).collect())
}

fn through(preset: &Preset, signal: &[f32], measure: &mut Measure) -> Vec<f32> {
    let mut path = Path::new(RATE_HZ, 1);
    path.set(&preset.settings);
    let mut out = signal.to_vec();
    path.process(&mut [&mut out], measure);
    out
}

/// The proof, with what was found and proposed before it.
fn sheet(
    found: &Diagnosis,
    tuned: &Tuned,
    preset: &Preset,
    readings: Readings,
) -> Result<Sheet, Failure> {
    let mut sheet = Sheet::new(SUBJECT);
    report::tuning(&mut sheet, tuned);
    let tuning = std::mem::take(&mut sheet.finding);
    report::diagnosis(&mut sheet, found);
    sheet.finding.said.push(Said { words: " ".into(), cause: None });
    sheet.finding.said.extend(tuning.said);

    let proof = prove(&preset.settings).map_err(internal)?;
    sheet.preset = Some(preset.name.clone());
    // The radio's noise takes the place of the proof's flat noise.
    sheet.runs = proof.runs;
    sheet.runs[0] = Run::new("pink noise through the radio", readings);
    sheet.original = Some(Curve::new([(16.0, 0.0), (1_000.0, 0.0)]));
    sheet.target = Some(Curve::new([(25.0, 0.0), (200.0, 0.0)]));
    sheet.harmonics_limit = proof.harmonics_limit;
    sheet.proofs = proof.proofs;
    sheet.tables.extend(proof.tables);
    sheet.next = "open the report, then make a track for your own car: \
                  underpin signal track -o track.wav --sheet sheet.html"
        .into();
    sheet.provenance.seed = Some(SEED);
    Ok(sheet)
}

/// What was invented beside what was found: a newcomer can see whether to trust it.
fn planted(takes: &[TakeReading], found: &Diagnosis) -> Table {
    let channel = found.channels.first();
    let slope = match channel.map(|c| &c.roll_off.slope) {
        Some(Slope::Single(order)) => format!("{}", 6 * order),
        _ => "none".into(),
    };
    let corner = channel.and_then(|c| c.roll_off.fall_hz[0]).map(|fall| fall.value);
    let clock_ppm = median(takes.iter().map(|take| take.clock_ppm));
    let row = |what: &str, planted: f64, found: Option<f64>| {
        let found = found.map_or("none".into(), |found| format!("{found:.1}"));
        vec![what.into(), format!("{planted:.1}"), found]
    };
    let loss = |hz: f64| {
        let lines = channel.map_or(&[][..], |c| &c.lines[..]);
        let line = lines.iter().min_by(|a, b| (a.0 - hz).abs().total_cmp(&(b.0 - hz).abs()));
        let planted = line.map_or(f64::NAN, |line| planted_db(USUAL, line.0));
        row(&format!("level at {hz:.1} Hz, dB"), planted, line.map(|line| line.1))
    };
    Table {
        title: PLANTED.into(),
        note: "usual volume".into(),
        head: ["what", "planted", "found"].map(String::from).to_vec(),
        rows: vec![
            row("takes in the recordings", (STEPS.len() + 1) as f64, Some(takes.len() as f64)),
            row("3 dB down, Hz", USUAL.corner_hz.into(), corner),
            vec!["slope, dB per octave".into(), "24".into(), slope],
            loss(31.5),
            loss(40.5),
            loss(63.5),
            row("clock of the player, ppm", CLOCK_PPM, Some(clock_ppm)),
        ],
    }
}

/// The report in short: what a terminal shows at a glance.
fn told(sheet: &Sheet) -> String {
    let tables = sheet.tables.iter().filter(|t| SHOWN.contains(&t.title.as_str()));
    report::text(&Sheet { runs: Vec::new(), tables: tables.cloned().collect(), ..sheet.clone() })
}

/// The layers of the low end as one picture.
fn low_end(sheet: &Sheet) -> String {
    let mut scene = Scene::new(720.0, 330.0, "What the radio gives, and what each stage adds");
    let rect = Rect { x: 40.0, y: 12.0, width: 664.0, height: 280.0 };
    let beside = Beside {
        target: sheet.target.as_ref(),
        original: sheet.original.as_ref(),
        ..Beside::default()
    }
    .with(sheet.settings.as_ref());
    if let Some(run) = sheet.broad() {
        plot::low_end::low_end(&mut scene, rect, &run.readings, beside);
    }
    report::svg(&scene, Palette::Day)
}
