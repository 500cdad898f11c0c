//! Gains in figures and words: what the meter must show, with which tone, and how much room there is.

use crate::figures::{level, short};
use crate::planning::gains::{
    AVERAGING_NOISE_DB, AVERAGING_SQUARE_DB, Chain, Overlap, Reading, Stage, dbu, dbv, target_volts,
};
use crate::plot::Cause;
use crate::plot::scene::{Rect, Scene};
use crate::plot::stairs::{NAMES, Step, stairs};
use crate::report::sheet::table;
use crate::report::{Figure, Figures, Picture, Sentence, Sheet, Table};

/// What is told of gains.
#[derive(Clone, Debug, PartialEq)]
pub struct GainsTold {
    /// Power in W and load in Ω that the amplifier is set to, when they are given.
    pub target: Option<(f64, f64)>,
    /// How far below full scale the tone is with which gains are set, dB, 0 or more.
    pub overlap_db: f64,
    /// The meter reading at the radio's output at the highest clean volume, when there is one.
    pub reading: Option<Reading>,
    /// What stands between the radio and the amplifier's output; its `radio_volts` follows from the reading.
    pub chain: Chain,
    /// The highest clean volume in words, e.g. `step 24`; empty when unknown.
    pub clean_volume: String,
}

/// Powers and loads of the table, W and Ω.
const POWERS_W: [f64; 7] = [100.0, 250.0, 300.0, 500.0, 750.0, 1000.0, 1500.0];
const LOADS_OHM: [f64; 3] = [4.0, 2.0, 1.0];

/// Crest factor of loud music: full scale re its r.m.s., dB (common practice, no source).
const MUSIC_CREST_DB: f64 = 12.0;

/// What a meter does with what it is given (form factors; the rest common practice, no source).
const METER: [[&str; 2]; 4] = [
    ["true r.m.s. or averaging", "both read a clean sine alike; use a sine"],
    ["range of frequencies", "many read true from 40 or 45 Hz on: set bass amplifiers at 50 Hz"],
    [
        "load",
        "a loudspeaker's impedance is not its nominal load: the volts are what is set, the watts follow from it",
    ],
    [
        "loudspeaker off or on",
        "off protects it; the supply sags under load, so the clipping comes earlier with it on",
    ],
];

/// Which tone, for how long (common practice, no source).
const TONES: [[&str; 2]; 3] = [
    [
        "sine, loudspeaker off",
        "40 to 60 Hz for a bass amplifier, 1 kHz for others; as long as the reading takes",
    ],
    ["sine, loudspeaker on", "3 s at most at full power, then a minute of rest"],
    [
        "burst of 6.5 cycles",
        "for a scope or a peak-holding meter: 4.3 dB less mean power than a sine, and far less heat",
    ],
];

/// Fills `sheet` with gains.
pub fn gains(sheet: &mut Sheet, told: &GainsTold) {
    sheet.finding = finding(told);
    sheet.pictures.extend(picture(told));
    sheet.figures.extend(target(told));
    sheet.figures.push(overlap(told));
    sheet.figures.extend(reading(told));
    if told.target.is_none() {
        sheet.tables.push(targets());
    }
    sheet.tables.extend(structure(told));
    sheet.tables.push(words("Tone", "with what to set gains", &TONES));
    sheet.tables.push(meter());
    sheet.admit("the power in a loudspeaker: it depends on its impedance, which no voltage tells");
    sheet.cautions.push(
        "never ground a bridged output, also not through a meter or a scope that is grounded"
            .into(),
    );
    sheet.cautions.push("clipping burns tweeters: disconnect them while gains are set".into());
    sheet.next = next(told);
}

fn finding(told: &GainsTold) -> Sentence {
    let tone = match told.overlap_db {
        0.0 => "a full-scale tone".to_string(),
        db => format!("a tone of {} dBFS", level(-db, 0)),
    };
    let clean = told.clean_volume.as_str();
    let at = if clean.is_empty() { "the highest clean volume" } else { clean };
    let said = match told.target {
        Some((watts, ohm)) => Sentence::default()
            .say(format!("With {tone} at {at}, turn the gain up until the meter shows "))
            .name(Cause::Out, format!("{} V", short(target_volts(watts, ohm), 1)))
            .say(format!(" r.m.s.: {} W in {} ohm.", short(watts, 0), short(ohm, 1))),
        None => Sentence::default().say(format!(
            "Set each gain with {tone} at {at}; the clip light must come on just before the clipping."
        )),
    };
    let clips = |stage: &Stage| stage.margin_db() < 0.0;
    match stages(told).into_iter().find(clips) {
        None => said,
        Some(stage) => said
            .say(" ")
            .name(Cause::Fault, format!("The {} clips", stage.name))
            .say(format!(" {} dB before that.", level(-stage.margin_db(), 1))),
    }
}

fn stages(told: &GainsTold) -> Vec<Stage> {
    if told.reading.is_some() { told.chain.stages() } else { Vec::new() }
}

fn target(told: &GainsTold) -> Option<Figures> {
    let (watts, ohm) = told.target?;
    let volts = target_volts(watts, ohm);
    let figures = vec![
        Figure::new("target_v", "target at the amplifier's output, r.m.s.", volts, "V").decimals(3),
        Figure::new("target_v_peak", "the same, peak", volts * std::f64::consts::SQRT_2, "V")
            .decimals(2),
        Figure::new("target_dbv", "the same", dbv(volts), "dBV").decimals(2),
        Figure::new("target_dbu", "the same", dbu(volts), "dBu").decimals(2),
    ];
    let note = format!("sqrt(P x R), {} W in {} ohm", short(watts, 0), short(ohm, 1));
    Some(Figures::new("Target", &note, figures))
}

fn overlap(told: &GainsTold) -> Figures {
    let overlap = Overlap { db: told.overlap_db };
    let share = 100.0 * overlap.clipped_share(MUSIC_CREST_DB);
    let figures = vec![
        Figure::new("tone_dbfs", "tone to set gains with", -told.overlap_db, "dBFS"),
        Figure::new(
            "overlap_power_factor",
            "mean power of the same music, re no overlap",
            overlap.power_factor(),
            "times",
        )
        .decimals(2),
        Figure::new(
            "clipped_percent",
            "of the time clipped: noise with 12 dB from r.m.s. to full scale",
            share,
            "%",
        )
        .decimals(3),
    ];
    Figures::new(
        "Overlap",
        "music that never reaches full scale leaves room; an overlap uses it",
        figures,
    )
}

fn reading(told: &GainsTold) -> Option<Figures> {
    let reading = told.reading?;
    let full = reading.volts_at(0.0);
    let figures = vec![
        Figure::new("reading_v", "read, r.m.s.", reading.volts, "V").decimals(3),
        Figure::new("reading_tone_dbfs", "of a tone of", reading.tone_dbfs, "dBFS"),
        Figure::new("full_scale_v", "a full-scale tone is", full, "V").decimals(3),
        Figure::new("full_scale_dbv", "the same", dbv(full), "dBV").decimals(2),
        Figure::new("full_scale_dbu", "the same", dbu(full), "dBu").decimals(2),
        Figure::new(
            "amplifier_in_v",
            "at the amplifier's input",
            told.chain.amplifier_volts(),
            "V",
        )
        .decimals(3),
    ];
    Some(Figures::new(
        "From the meter",
        "as long as nothing clips; one reading, one volume step",
        figures,
    ))
}

fn targets() -> Table {
    let rows = POWERS_W.map(|watts| {
        let volts = LOADS_OHM.map(|ohm| level(target_volts(watts, ohm), 3));
        std::iter::once(short(watts, 0)).chain(volts).collect::<Vec<_>>()
    });
    let head = ["W", "V in 4 ohm", "V in 2 ohm", "V in 1 ohm"];
    table("Target voltages", "sqrt(P x R), r.m.s. of a sine; common practice", &head, rows)
}

fn structure(told: &GainsTold) -> Option<Table> {
    let stages = stages(told);
    let row = |stage: &Stage| {
        let margin = stage.margin_db();
        let says = if margin < 0.0 { "clips: lower what comes before it" } else { "has room" };
        vec![
            stage.name.clone(),
            level(stage.carries_volts, 2),
            level(stage.clips_at_volts, 2),
            level(margin, 1),
            says.into(),
        ]
    };
    let head = ["stage", "full scale V", "clips at V", "margin dB", ""];
    let rows: Vec<_> = stages.iter().map(row).collect();
    (!rows.is_empty()).then(|| table("Clip margins", "at the highest clean volume", &head, rows))
}

fn words(title: &str, note: &str, rows: &[[&str; 2]]) -> Table {
    let note = format!("{note}; common practice, no source");
    table(title, &note, &["what", "how"], rows.iter().map(|row| row.map(String::from).to_vec()))
}

fn meter() -> Table {
    let mut meter = words("Meter", "what it shows", &METER);
    let off = format!(
        "one that averages reads {} dB off on noise and {} dB on a square wave",
        level(AVERAGING_NOISE_DB, 2),
        level(AVERAGING_SQUARE_DB, 2)
    );
    meter.rows.push(vec!["noise, music, clipped sines".into(), off]);
    meter
}

/// The way from the radio to the loudspeaker, with the highest clean volume in it.
fn picture(told: &GainsTold) -> Option<Picture> {
    told.reading?;
    let chain = &told.chain;
    let step = |name: &str, note: &str, carries: f64, clips: Option<f64>| Step {
        name: name.into(),
        note: note.into(),
        carries_db: dbv(carries),
        carries: format!("{} V", short(carries, 2)),
        clips_db: clips.map(dbv),
    };
    let note =
        if told.clean_volume.is_empty() { "highest clean volume" } else { &told.clean_volume };
    // The highest clean volume is where the radio itself ends.
    let mut steps = vec![step("radio", note, chain.radio_volts, Some(chain.radio_volts))];
    if chain.device_in_volts.is_some() {
        steps.push(step("device in", "", chain.radio_volts, chain.device_in_volts));
    }
    if chain.device_out_volts.is_some() {
        steps.push(step("device out", "", chain.amplifier_volts(), chain.device_out_volts));
    }
    steps.push(step("amplifier in", "", chain.amplifier_volts(), chain.amplifier_in_volts));
    if let Some((watts, ohm)) = told.target {
        let volts = target_volts(watts, ohm);
        let after = volts * 10f64.powf(told.overlap_db / 20.0);
        steps.push(step("amplifier out", "full-scale tone", after, Some(volts)));
    }
    let draw = |width: f64| {
        let mut scene = Scene::new(width, 250.0, "Volts from the radio to the amplifier");
        stairs(&mut scene, Rect::new(34.0, 4.0, width - 34.0, 246.0 - NAMES), &steps);
        scene
    };
    Some(Picture {
        title: "From the radio to the amplifier".into(),
        note: "a full-scale tone at the highest clean volume".into(),
        unit: "dB re 1 V r.m.s.".into(),
        wide: draw(Picture::WIDE),
        narrow: draw(Picture::NARROW),
    })
}

fn next(told: &GainsTold) -> String {
    let tone = format!(
        "underpin signal tone --hz 50 --level {} -o set-gain.wav",
        short(-told.overlap_db, 0).replace('\u{2212}', "-")
    );
    match told.reading {
        None => format!(
            "{tone}, play it at the highest clean volume, read the volts at the radio's output and give them with --read and --tone"
        ),
        Some(_) => format!(
            "{tone}, play it at the highest clean volume, loudspeaker off, and turn the gain up to the target"
        ),
    }
}
