//! Captures that were dropped or recorded: diagnosed, answered by settings, handed over, as the
//! program does it with files.

use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::Path;
use std::sync::Arc;

use serde_json::{Value, json};
use underpin::audio::Reader;
use underpin::planning::take_reading::Purpose;
use underpin::planning::tune::{Enclosure, gentle};
use underpin::report;
use underpin::report::{Input, Job, Plan, Sheet, body, html};
use underpin::takes::{self, Sounds, Takes, Watch, Wish};

use crate::asked::{number, text};

type Files = BTreeMap<String, Arc<[u8]>>;

/// Remembers what is said while captures are read.
struct Heard(Vec<String>);

impl Watch for Heard {
    fn begin(&mut self, _: Option<u64>) {}

    fn advance(&mut self, _: usize) -> bool {
        true
    }

    fn remark(&mut self, sentence: &str) {
        self.0.push(sentence.into());
    }
}

/// What the radio takes out.
pub(crate) fn diagnose(asked: &Value, files: &Files) -> Result<Value, String> {
    let (takes, heard) = read(asked, files)?;
    let (_, sheet) = takes::diagnosed(&takes).map_err(|why| why.to_string())?;
    Ok(told(&sheet, heard))
}

/// Settings that answer it, as a preset and as a plan.
pub(crate) fn tune(asked: &Value, files: &Files) -> Result<Value, String> {
    let (takes, heard) = read(asked, files)?;
    let mut wish = Wish { down_to_hz: number(asked, "down_to_hz", 31.5), ..Wish::default() };
    if text(asked, "target") == "gentle" {
        wish.target = gentle();
    }
    if let Some(hz) = asked["ported_hz"].as_f64() {
        wish.enclosure = Enclosure::Ported(hz);
    }
    if !(16.0..=100.0).contains(&wish.down_to_hz) {
        return Err(format!("the lowest frequency is 16 to 100 Hz, not {}", wish.down_to_hz));
    }
    wish.octave = asked["octave"].as_bool().unwrap_or(true);
    wish.channel = number(asked, "channel", 0.0) as usize;
    let (sheet, preset, plan) =
        takes::tuned(&takes, &wish, || true).map_err(|why| why.to_string())?;
    let mut told = told(&sheet, heard);
    told["preset"] = preset.to_toml().into();
    told["values"] = json!(preset.settings.to_plain());
    told["plan"] = plan.to_toml().into();
    Ok(told)
}

/// One document of plans that were kept or dropped.
pub(crate) fn hand_over(asked: &Value, files: &Files) -> Result<Value, String> {
    let mut sheet = Sheet::new("hand-over");
    let mut plans = Vec::new();
    for name in asked["plans"].as_array().into_iter().flatten().filter_map(Value::as_str) {
        let bytes = files.get(name).ok_or_else(|| format!("there is no {name}"))?;
        let plan = Plan::parse(&String::from_utf8_lossy(bytes));
        plans.push((name.to_owned(), plan.map_err(|why| format!("{name}: {why}"))?));
        sheet.provenance.inputs.push(Input::of(name, bytes));
    }
    let words = |key| text(asked, key).to_owned();
    let job = Job { car: words("car"), owner: words("owner"), by: words("by") };
    report::hand_over(&mut sheet, &job, &plans)?;
    Ok(told(&sheet, Vec::new()))
}

/// A sheet as JSON, as part of the page and as a file.
fn told(sheet: &Sheet, heard: Vec<String>) -> Value {
    json!({ "json": report::json(sheet), "body": body(sheet), "html": html(sheet), "heard": heard })
}

/// Reads the track and the captures that are named.
fn read(asked: &Value, files: &Files) -> Result<(Takes, Vec<String>), String> {
    let captures = asked["captures"].as_array().into_iter().flatten().map(|capture| {
        let file = text(capture, "file");
        let own = Path::new(file).file_stem().map_or("-".into(), |stem| stem.to_string_lossy());
        let name = Some(text(capture, "name")).filter(|name| !name.is_empty());
        Ok((name.map_or(own.into_owned(), str::to_owned), open(file, files)?))
    });
    let optional = |key: &str| Some(text(asked, key)).filter(|name| !name.is_empty());
    let sounds = Sounds {
        track: open(text(asked, "track"), files)?,
        captures: captures.collect::<Result<_, String>>()?,
        loop_back: optional("loop_back").map(|file| open(file, files)).transpose()?,
        at: optional("at").map(str::to_owned),
    };
    let mut heard = Heard(Vec::new());
    let takes = sounds.read(Purpose::Radio, &mut heard).map_err(|why| why.to_string())?;
    Ok((takes, heard.0))
}

fn open(name: &str, files: &Files) -> Result<Reader, String> {
    let bytes = files.get(name).ok_or_else(|| format!("there is no {name}"))?;
    let media = Box::new(Cursor::new(Arc::clone(bytes)));
    Reader::new(name, media, false).map_err(|why| why.to_string())
}
