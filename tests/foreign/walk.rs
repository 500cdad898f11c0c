//! A walk over random radios: whatever is true of them, headline, table, strip, plan and tuning must
//! not contradict each other. Every rule is a function with its sentence.

use serde_json::Value;

use crate::case::{Bench, Scene};
use crate::chance::Chance;
use crate::elliptic::elliptic;
use crate::equaliser::{low_shelf, peak};
use crate::filter::{Filter, Roots, bessel, butterworth, chebyshev, linkwitz, second};
use crate::judge::numbers;
use crate::program::{Ask, Told, ask};
use crate::truth::Channel;
use crate::wire::Tones;

/// The lowest rate a capture may have: the walk is long.
const RATE: f64 = 12_000.0;

/// What contradicts what, in one radio.
pub(crate) fn contradictions(seed: u64) -> Vec<String> {
    let scene = radio(seed);
    let diagnosis = ask(Ask::Diagnose, &scene);
    let tuning = ask(Ask::Tune, &scene);
    if diagnosis.refused || tuning.refused {
        return match diagnosis.refused == tuning.refused {
            true => Vec::new(),
            false => vec!["one of diagnose and tune refuses, the other does not".into()],
        };
    }
    let plan = tuning.plan.as_deref().and_then(|text| text.parse::<toml::Table>().ok());
    let Some(plan) = plan.and_then(|plan| serde_json::to_value(plan).ok()) else {
        return vec!["the plan is no TOML".into()];
    };
    let walk = Walk { diagnosis: &diagnosis, tuning: &tuning, plan: &plan };
    let mut all = walk.rules();
    if let Some(channel) = scene.truth.channels.first() {
        all.extend(walk.rendered(channel));
    }
    all
}

struct Walk<'a> {
    diagnosis: &'a Told,
    tuning: &'a Told,
    plan: &'a Value,
}

/// What is said of a band, in the words of table and strip.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Band {
    Stands,
    Lift,
    Beyond,
    Gone,
    Open,
}

impl Band {
    fn of(words: &str) -> Self {
        let has = |word: &str| words.contains(word);
        match () {
            () if has("uncertain") || has("open") || has("not told") => Self::Open,
            () if has("beyond") => Self::Beyond,
            () if has("gone") || words == "make new" => Self::Gone,
            () if has("lift") => Self::Lift,
            () => Self::Stands,
        }
    }
}

impl Walk<'_> {
    fn rules(&self) -> Vec<String> {
        let rules = [
            self.strip_and_table(),
            self.headline_and_bands(),
            self.plan_and_headline(),
            self.corner_in_headline_and_table(),
            self.slope_in_headline_and_table(),
            self.cause_everywhere(),
            self.open_rows_are_not_sure(),
            self.tuning_and_need(),
            self.settings_in_plan_and_tuning(),
        ];
        rules.into_iter().flatten().collect()
    }

    fn headline(&self) -> &str {
        &self.diagnosis.finding
    }

    /// The bands of the first channel that 20 to 160 Hz need, as the table has them.
    fn bands(&self) -> Vec<(f64, Band)> {
        let tables = self.diagnosis.tables();
        let Some(table) = tables.iter().find(|t| t.title.starts_with("Response")) else {
            return Vec::new();
        };
        let band = |row: &Vec<&str>| Some((*numbers(row.first()?).first()?, Band::of(row.last()?)));
        table.rows.iter().filter_map(band).filter(|b| (19.0..170.0).contains(&b.0)).collect()
    }

    /// Strip and table say the same of every band.
    fn strip_and_table(&self) -> Option<String> {
        let strip = self.diagnosis.json["responses"]["verdicts"].as_array()?;
        let at = |hz: f64| {
            let holds = |s: &&Value| {
                let edge = |key: &str| s[key].as_f64().unwrap_or(0.0);
                (edge("from_hz")..edge("to_hz")).contains(&hz)
            };
            strip.iter().find(holds).and_then(|s| s["verdict"].as_str()).map(Band::of)
        };
        let (hz, band) =
            self.bands().into_iter().find(|(hz, band)| at(*hz).is_some_and(|s| s != *band))?;
        Some(format!("strip and table differ at {hz} Hz: {:?} and {band:?}", at(hz)))
    }

    /// What the headline says of need holds for every band of the table.
    fn headline_and_bands(&self) -> Option<String> {
        let (bands, told) = (self.bands(), self.headline());
        let has = |what: Band| bands.iter().any(|b| b.1 == what);
        let wrong = match () {
            () if told.contains("Nothing is needed") => {
                (!bands.iter().all(|b| b.1 == Band::Stands)).then_some("nothing is needed")
            }
            () if told.contains("one band does not reach") => {
                (has(Band::Gone) || !has(Band::Beyond)).then_some("beyond one band")
            }
            () if told.contains("is enough") => {
                (has(Band::Gone) || has(Band::Beyond)).then_some("lift is enough")
            }
            () if told.contains("content is gone") => {
                (!has(Band::Gone)).then_some("content is gone")
            }
            () if told.contains("noise hides") => (!has(Band::Open)).then_some("noise hides"),
            () if told.contains("too strong") => {
                (!bands.iter().all(|b| b.1 == Band::Stands)).then_some("some bands are too strong")
            }
            () if told.contains("Nothing stands clear") => {
                has(Band::Lift).then_some("nothing stands clear")
            }
            () => Some("nothing of what is needed"),
        }?;
        Some(format!("the headline says \"{wrong}\", the bands are {bands:?}"))
    }

    /// The plan's finding is the headline, word by word.
    fn plan_and_headline(&self) -> Option<String> {
        let said = self.plan["finding"]["said"].as_array()?;
        let words: String = said.iter().filter_map(|s| s["words"].as_str()).collect();
        (words != self.headline()).then(|| format!("the plan's finding is \"{words}\""))
    }

    /// The −3 dB frequency in the headline is the table's, rounded.
    fn corner_in_headline_and_table(&self) -> Option<String> {
        let told =
            self.headline().split("3 dB down at").nth(1).and_then(|t| numbers(t).first().copied());
        let cell = self.diagnosis.cell("Roll-off", "3 dB")?;
        let table = numbers(cell).first().copied();
        let same = match (told, table) {
            (None, None) => true,
            (Some(a), Some(b)) => (a - b).abs() <= 0.55,
            _ => false,
        };
        (!same).then(|| format!("f3: headline {told:?}, table {cell}"))
    }

    /// The slope in the headline is the table's.
    fn slope_in_headline_and_table(&self) -> Option<String> {
        let told = self.headline().split('.').next()?;
        let told = told.split("3 dB down").next()?.to_string();
        let cell = self.diagnosis.cell("Roll-off", "slope")?;
        let same = match () {
            () if told.contains("per octave") => {
                numbers(cell).first() == numbers(&told).first() && !cell.contains("undecided")
            }
            () if told.contains("no single slope") => cell.contains("no single slope"),
            () if told.contains("whole") => cell.contains("none"),
            () => cell.contains("undecided"),
        };
        (!same).then(|| format!("slope: headline \"{told}\", table \"{cell}\""))
    }

    /// What the bass depends on: headline, table, and the plan's rows on steps and level.
    fn cause_everywhere(&self) -> Option<String> {
        let cell = self.diagnosis.cell("Volume and level", "the bass")?;
        if !self.headline().contains(cell) {
            return Some(format!("the headline does not say \"{cell}\""));
        }
        let row = |what: &str| {
            self.tuning.tables().iter().find(|t| t.title == "Found").and_then(|t| {
                t.rows.iter().find(|r| r[0] == what).map(|r| (r[1].to_string(), r[3] == "yes"))
            })
        };
        let ((steps, _), (level, level_sure)) = (row("Volume steps")?, row("Level")?);
        let falls = |text: &str| {
            text.contains("falls with the volume") || text.contains("rises with the volume")
        };
        let wrong = (falls(&cell.to_lowercase()) != falls(&steps))
            || (cell.contains("limiter takes") != level.contains("limiter takes"))
            || (level_sure
                && level.contains("no limiter")
                && !cell.contains("same at every")
                && !falls(&cell.to_lowercase()));
        wrong.then(|| format!("cause: \"{cell}\", steps \"{steps}\", level \"{level}\""))
    }

    /// A row that is sure has no word of doubt, one with it is not sure.
    fn open_rows_are_not_sure(&self) -> Option<String> {
        let tables = self.tuning.tables();
        let found = tables.iter().find(|t| t.title == "Found")?;
        let doubts = ["undecided", "is open", "uncertain"];
        let wrong = |row: &&Vec<&str>| row[3] == "yes" && doubts.iter().any(|d| row[1].contains(d));
        found.rows.iter().find(wrong).map(|row| format!("sure of \"{}\"", row[1]))
    }

    /// A proposal makes nothing new where nothing is needed or lift is enough, and nothing at all
    /// where nothing is needed.
    fn tuning_and_need(&self) -> Option<String> {
        let settings = &self.tuning.json["settings"];
        let number = |key: &str| settings[key].as_f64();
        let octave = number("octave.level_db").is_some_and(|db| db > -60.0);
        let gain = number("low_band.gain_db").unwrap_or(0.0);
        let told = self.headline();
        let wrong = match () {
            () if told.contains("Nothing is needed") => octave || gain.abs() > 0.05,
            () if told.contains("is enough") => octave,
            () => false,
        };
        wrong.then(|| format!("\"{told}\" beside octave part {octave}, low band {gain} dB"))
    }

    /// The plan holds the settings that were proposed.
    fn settings_in_plan_and_tuning(&self) -> Option<String> {
        let preset: Value = self.plan["preset"]
            .as_str()
            .and_then(|text| text.parse::<toml::Table>().ok())
            .and_then(|t| serde_json::to_value(t).ok())?;
        let settings = &self.tuning.json["settings"];
        ["low_band.gain_db", "low_band.centre_hz", "octave.level_db"].iter().find_map(|key| {
            let (group, name) = key.split_once('.')?;
            let kept = preset["settings"][group][name].as_f64().or(preset[group][name].as_f64())?;
            let told = settings[*key].as_f64()?;
            ((kept - told).abs() > 0.01).then(|| format!("{key}: plan {kept}, tuning {told}"))
        })
    }

    /// Half the interval that the diagnosis tells of a band; `None` where it tells a bound alone.
    fn half_of(&self, hz: f64) -> Option<f64> {
        let tables = self.diagnosis.tables();
        let table = tables.iter().find(|t| t.title.starts_with("Response"))?;
        let is_it = |row: &&Vec<&str>| {
            numbers(row[0]).first().is_some_and(|told| (told / hz - 1.0).abs() < 0.06)
        };
        numbers(table.rows.iter().find(is_it)?[2]).first().copied()
    }

    /// What was rendered without an octave part is what the cookbook's formulas make of the true
    /// radio, within 0.5 dB and twice the interval of what it gives; predicted and rendered agree within
    /// 0.3 dB where the target is reached.
    fn rendered(&self, channel: &Channel) -> Vec<String> {
        let settings = &self.tuning.json["settings"];
        let number = |key: &str| settings[key].as_f64().unwrap_or(0.0);
        let tables = self.tuning.tables();
        let Some(table) = tables.iter().find(|t| t.title == "Tuning") else { return Vec::new() };
        let octave = number("octave.level_db") > -60.0;
        let q = 1.0 / (2.0 * (0.5 * 2f64.ln() * number("low_band.width_oct")).sinh());
        let band = peak(number("low_band.centre_hz"), q, number("low_band.gain_db"), RATE);
        let order = settings["high_pass.order"].as_str().and_then(|o| o.parse().ok()).unwrap_or(0);
        let protect = match order {
            0 => Filter::none(RATE),
            n => butterworth(n).turned().at(number("high_pass.hz"), RATE, 600.0),
        };
        let out = Channel {
            response: channel.response.clone().then(band).then(protect),
            ..channel.clone()
        };
        let mut wrong = Vec::new();
        for row in &table.rows {
            let figures: Vec<f64> =
                row.iter().take(5).filter_map(|c| numbers(c).first().copied()).collect();
            let [hz, given, predicted, rendered, _] = figures[..] else { continue };
            let hz = crate::truth::bands_hz().find(|b| (b / hz - 1.0).abs() < 0.06).unwrap_or(hz);
            // Where nothing could be measured nothing is asked.
            if given < -45.0 {
                continue;
            }
            let last = row.last().is_some_and(|by| !by.contains("undone"));
            if last && !octave && (predicted - rendered).abs() > 0.3 {
                wrong.push(format!("{hz:.0} Hz: predicted {predicted}, rendered {rendered}"));
            }
            let half = self.half_of(hz);
            let off = (rendered - out.band_db(hz)).abs();
            // Half a 95 % interval is two deviations; among thousands of bands four are none's fault.
            if !octave && half.is_some_and(|half| off > 0.5 + 2.0 * half) {
                let true_db = out.band_db(hz);
                wrong.push(format!("{hz:.0} Hz: rendered {rendered}, true {true_db:.1}"));
            }
        }
        wrong
    }
}

/// A radio of no one's making: a family, a corner, steps, noise, and sometimes hum or a loop-back.
fn radio(seed: u64) -> Scene {
    let mut chance = Chance::new(seed ^ 0x3A1C);
    let (roots, order) = family(&mut chance);
    let hz = (chance.even(22f64.ln(), 150f64.ln())).exp();
    let mut linear = roots.map_or(Filter::none(RATE), |r| r.turned().at(hz, RATE, 600.0));
    match chance.even(0.0, 10.0) as u32 {
        0 => {
            linear = linear.then(low_shelf(chance.even(60.0, 160.0), chance.even(-10.0, 6.0), RATE))
        }
        1 => {
            linear = linear.then(peak(chance.even(30.0, 120.0), 1.2, chance.even(-6.0, 5.0), RATE))
        }
        _ => {}
    }
    let steps: Vec<f64> = match chance.even(0.0, 4.0) as u32 {
        0 => vec![-24.0, -14.0, -4.0],
        _ => vec![chance.even(-10.0, -3.0)],
    };
    let mut bench = Bench::new(&mut chance, linear).at(&steps);
    bench.radio.rate = RATE;
    bench.one_channel = true;
    bench.loop_back = chance.even(0.0, 1.0) < 0.3;
    bench.radio.noise_dbfs = chance.even(-105.0, -50.0);
    bench.wire.noise_dbfs = chance.even(-100.0, -60.0);
    if chance.even(0.0, 1.0) < 0.2 {
        bench.wire.tones = Tones::Hum(50.0, chance.even(-75.0, -45.0));
    }
    if steps.len() > 1 && chance.even(0.0, 1.0) < 0.5 {
        bench.follows = Some(|base, volume, rate| {
            base.clone().then(low_shelf(110.0, -7.0 * (volume + 28.0) / 24.0, rate))
        });
    }
    bench.scene(order, seed)
}

fn family(chance: &mut Chance) -> (Option<Roots>, Option<usize>) {
    let n = chance.even(1.0, 9.0) as usize;
    match chance.even(0.0, 9.0) as u32 {
        0 => (None, Some(0)),
        1 => (Some(linkwitz(2 * n.clamp(1, 4))), Some(2 * n.clamp(1, 4))),
        2 => (Some(chebyshev(n.clamp(2, 6), 1.0)), Some(n.clamp(2, 6))),
        3 => (Some(elliptic(n.clamp(3, 5), 0.5, 40.0)), None),
        4 => (Some(bessel(n.clamp(2, 4))), Some(n.clamp(2, 4))),
        5 => (Some(second(chance.even(0.5, 3.0))), Some(2)),
        _ => (Some(butterworth(n.min(8))), Some(n.min(8))),
    }
}
