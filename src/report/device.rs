//! What a device does, in words and tables.

use crate::planning::clip_light::ClipLight;
use crate::planning::identify::{ClipPoint, Device};
use crate::plot::Cause;
use crate::report::sheet::table;
use crate::report::wording::polarity;
use crate::report::{Sentence, Sheet, Table};

/// A light is early or late by less than this only by chance, dB: the steps of its tone.
const STEP_DB: f64 = 1.0;

/// Fills `sheet` with what was identified, and with what its clip light was seen to do.
pub fn device(sheet: &mut Sheet, found: &Device, light: Option<&ClipLight>) {
    sheet.settings = Some(found.settings);
    sheet.finding = finding(found);
    let mut figures = figures(found);
    if found.without_recorder {
        let told = "taken out of gain, response and polarity by the loop-back";
        figures.rows.push(vec!["player and recorder".into(), told.into()]);
    }
    figures.rows.extend(light.map(|light| vec!["clip light".into(), lit(light)]));
    sheet.tables.extend([figures, rungs(found)]);
}

/// Several takes side by side, in the order of the captures: what each position of a knob does.
pub fn positions<'a>(all: impl Iterator<Item = &'a Device>) -> Table {
    let none = || "none".to_string();
    let rows = all.enumerate().map(|(i, found)| {
        vec![
            (i + 1).to_string(),
            format!("{:+.1}", found.gain_db),
            found.octave_db.map_or_else(none, |db| format!("{db:+.1}")),
            found.source_hz.map_or_else(none, |(from, to)| format!("{from:.0} to {to:.0}")),
            found.low_band.map_or_else(none, |(hz, width, db)| {
                format!("{db:+.1} dB at {hz:.0} Hz, {width:.1} oct")
            }),
            found.high_pass.map_or_else(none, |(n, hz)| format!("order {n}, {hz:.0} Hz")),
            match found.clip {
                ClipPoint::NotReached => "not reached".into(),
                ClipPoint::Hard(db) => format!("{db:.1}"),
                ClipPoint::Soft(db) => format!("soft, 1 % at {db:.1}"),
                ClipPoint::Below(db) => format!("below {db:.0}"),
            },
        ]
    });
    let head = ["take", "gain dB", "octave dB", "halves Hz", "low band", "high-pass", "clips dBFS"];
    table("Positions", "one row a take; what follows is the first", &head, rows)
}

fn lit(light: &ClipLight) -> String {
    let at = format!("lights at {:.0} dBFS", light.lit_dbfs);
    match light.early_db() {
        None => format!("{at}; 1 % distortion was not reached"),
        Some(early) if early >= STEP_DB => format!("{at}, {early:.1} dB before 1 % distortion"),
        Some(early) if early > -STEP_DB => format!("{at}, with 1 % distortion"),
        Some(early) => format!("{at}, {:.1} dB after 1 % distortion: too late", -early),
    }
}

fn finding(found: &Device) -> Sentence {
    let told = Sentence::default().say("The device ");
    let told = match found.octave_db {
        Some(db) => {
            told.say("adds an ").name(Cause::Octave, "octave part").say(format!(" at {db:.1} dB"))
        }
        None => told.say("makes no halves"),
    };
    let told = match found.low_band {
        Some((hz, width, db)) => told
            .say(" and has a ")
            .name(Cause::LowBand, "band")
            .say(format!(" of {db:+.1} dB at {hz:.0} Hz, {width:.1} octaves wide.")),
        None => told.say(" and lifts no band."),
    };
    let told = match found.opens {
        Some((quiet, loud)) => told.say(format!(
            " The octave part opens with the level: {quiet:.1} dB at the quiet ladder, {loud:.1} dB at the loud one."
        )),
        None => told,
    };
    let told = match found.varies {
        Some([low, high]) => told.say(format!(
            " The level varies with the tone: {:.1} dB at {:.0} Hz, {:.1} dB at {:.0} Hz.",
            low.1, low.0, high.1, high.0
        )),
        None => told,
    };
    let told = match found.misfit {
        Some((hz, db)) => told.say(format!(
            " One band and one high-pass do not describe its response: {db:+.1} dB off at {hz:.0} Hz; the figures are the nearest, not its own."
        )),
        None => told,
    };
    let fault = |told: Sentence, words: &str| told.say(" It ").name(Cause::Fault, words);
    match found.clip {
        ClipPoint::NotReached => told,
        ClipPoint::Hard(db) => fault(told, "clips").say(format!(" from {db:.1} dBFS on.")),
        ClipPoint::Soft(db) => {
            fault(told, "bends softly").say(format!(": 1 % of distortion at {db:.1} dBFS."))
        }
        ClipPoint::Below(db) => {
            fault(told, "clips").say(format!(" below {db:.0} dBFS, the lowest step played."))
        }
    }
}

fn figures(found: &Device) -> Table {
    let none = || "none found".to_string();
    let rows = vec![
        vec!["gain".into(), format!("{:+.2} dB", found.gain_db)],
        vec!["polarity".into(), polarity(found.inverts).into()],
        vec![
            "low band".into(),
            found.low_band.map_or_else(none, |(hz, width, db)| {
                format!("{db:+.2} dB at {hz:.1} Hz, {width:.2} octaves")
            }),
        ],
        vec![
            "high-pass".into(),
            found.high_pass.map_or_else(none, |(n, hz)| format!("order {n}, -3 dB at {hz:.1} Hz")),
        ],
        vec![
            "left over after the fit".into(),
            format!("{:.2} dB r.m.s., 12 to 250 Hz", found.left_over_db),
        ],
        vec![
            "described by one band and one high-pass".into(),
            found.misfit.map_or_else(
                || "yes".into(),
                |(hz, db)| {
                    format!("no: {db:+.1} dB off at {hz:.0} Hz; the figures are the nearest")
                },
            ),
        ],
        vec![
            "octave part".into(),
            found.octave_db.map_or_else(none, |db| format!("{db:+.1} dB re its source")),
        ],
        vec![
            "tones that are halved".into(),
            found.source_hz.map_or_else(none, |(from, to)| format!("{from:.0} to {to:.0} Hz")),
        ],
        vec![
            "level law".into(),
            found.level_law.map_or_else(|| "not told".into(), |law| format!("{law:.2} dB per dB")),
        ],
        vec![
            "clip point".into(),
            match found.clip {
                ClipPoint::NotReached => "not reached".into(),
                ClipPoint::Hard(db) => format!("{db:.2} dBFS at the input"),
                ClipPoint::Soft(db) => {
                    format!("no hard clip; soft: 1 % at {db:.1} dBFS at the input")
                }
                ClipPoint::Below(db) => format!("below {db:.0} dBFS, the lowest step played"),
            },
        ],
        vec!["noise, 11 Hz to 1.1 kHz".into(), format!("{:.1} dBFS", found.noise_dbfs)],
    ];
    table("Device", "nearest settings of ours follow", &["what", "told"], rows)
}

fn rungs(found: &Device) -> Table {
    let rows = found.rungs.iter().map(|r| {
        vec![
            format!("{:.1}", r.hz),
            format!("{:.0}", r.played_dbfs),
            r.octave_db.map_or("not told".into(), |db| format!("{db:.1}")),
            format!("{:.1}", r.one_and_a_half_db),
            format!("{:.1}", r.harmonics_db),
        ]
    });
    let head =
        ["tone Hz", "dBFS", "half, at the input, dB", "3/2 of the tone dB", "harmonics 2 to 5 dB"];
    table("Ladder", "halves and 3/2 are the effect, harmonics are clipping", &head, rows)
}
