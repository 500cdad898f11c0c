//! A tuning in words and tables, with a specification to buy hardware by.

use crate::curve::Curve;
use crate::figures::level;
use crate::planning::diagnose::ChannelDiagnosis;
use crate::planning::risks::Risks;
use crate::planning::tune::Tuned;
use crate::plot::Cause;
use crate::plot::responses::{Drawn, Responses};
use crate::report::sheet::table;
use crate::report::wording::{band, hears};
use crate::report::{Sentence, Sheet, Table};
use crate::settings::{Order, Settings};
use crate::units::db_to_gain;

/// Prediction and rendering may differ by this before only the rendering counts, dB: inside the
/// reach and in its lowest band.
const AGREES_DB: (f64, f64) = (0.2, 1.0);

/// Fills `sheet` with a tuning.
pub fn tuning(sheet: &mut Sheet, tuned: &Tuned) {
    sheet.settings = Some(tuned.proposal.settings);
    sheet.finding = finding(tuned);
    sheet.tables.extend([bands(tuned), cost(tuned), specification(tuned)]);
    sheet.responses = Some(picture(tuned));
    sheet.admit("what is gone: new content is new, it does not bring the old back");
    if !tuned.proposal.settings.octave_is_off() {
        // A tone and the half of its octave have one phase between them that music decides.
        sheet.admit(
            "where what is left and new content meet at one note: they add or cancel, up to 6 dB",
        );
    }
}

/// Adds what a proposal costs and risks in the radio that was diagnosed.
pub fn risks(sheet: &mut Sheet, tuned: &Tuned, risks: &Risks) {
    sheet.tables.push(to_mind(tuned, risks));
    if risks.steps.len() > 1 {
        let rows = risks.steps.iter().map(|(name, db)| vec![name.clone(), level(*db, 1)]);
        let note = "largest error within the reach when that step plays through these settings";
        sheet.tables.push(table("Steps", note, &["take", "error dB"], rows));
    }
}

/// Adds what channels that differ from the first need, setting by setting.
pub fn each_channel(sheet: &mut Sheet, first: &Tuned, apart: &[(&ChannelDiagnosis, Tuned)]) {
    if apart.is_empty() {
        return;
    }
    let all: Vec<Settings> = std::iter::once(first)
        .chain(apart.iter().map(|(_, tuned)| tuned))
        .map(|tuned| tuned.proposal.settings)
        .collect();
    let each: Vec<Vec<_>> = all.iter().map(|settings| settings.each().collect()).collect();
    let rows = (0..each[0].len())
        .filter(|&i| each.iter().any(|settings| settings[i].1 != settings[i].0.default()))
        .map(|i| {
            let shown = each.iter().map(|settings| settings[i].0.show(settings[i].1));
            std::iter::once(each[0][i].0.key.to_string()).chain(shown).collect()
        });
    let names = apart.iter().map(|(channel, _)| hears(channel.hears));
    let head: Vec<&str> = ["key", "this one"].into_iter().chain(names).collect();
    let note = "the bass of these channels differs by more than 1 dB beyond the intervals: one \
                answer does not serve all; --channel N proposes for another";
    sheet.tables.push(table("Settings of each channel", note, &head, rows));
}

fn to_mind(tuned: &Tuned, risks: &Risks) -> Table {
    let mut rows = vec![vec![
        "noise".into(),
        format!("rises by up to {} dB with what is lifted", level(risks.noise_lift_db.max(0.0), 1)),
    ]];
    if let Some((hz, db)) = risks.below_tuning {
        let told = match db > 0.0 {
            true => format!(
                "lifted by up to {} dB: the cone runs free there and moves as much more, also with a source without the loss",
                level(db, 1)
            ),
            false => "nothing is lifted there, with or without the radio's loss".into(),
        };
        rows.push(vec![format!("below the box's tuning of {hz:.0} Hz"), told]);
    }
    rows.extend(risks.unloading.map(|cone| {
        let most = match cone.most_db > 0.0 {
            true => format!(
                "with these settings up to {} dB further than anywhere above, at {:.0} Hz",
                level(cone.most_db, 1),
                cone.at_hz
            ),
            false => "with these settings nowhere further than above".into(),
        };
        let told = format!(
            "below {:.0} Hz further than anywhere above, at one voltage; {most}; of the driver that fits this tuning \
             (Small 1973, maximally flat), so that another one differs",
            cone.below_hz
        );
        vec!["how far the cone moves".into(), told]
    }));
    if risks.overrun_db > 0.1 {
        let held = if tuned.proposal.settings.output_ceiling {
            "the ceiling holds it"
        } else {
            "turn the output down by as much"
        };
        let db = level(risks.overrun_db, 1);
        rows.push(vec![
            "full-scale sound without the radio's loss".into(),
            format!("up to {db} dB over full scale: {held}"),
        ]);
    }
    if risks.fights {
        rows.push(vec![
            "limiter".into(),
            "the level matters in this radio: what is lifted may be taken again when it is loud"
                .into(),
        ]);
    }
    table("To mind", "", &["what", "told"], rows)
}

fn finding(tuned: &Tuned) -> Sentence {
    if tuned.is_nothing() {
        let from =
            tuned.proposal.reach_hz.map_or(String::new(), |hz| format!(" from {} Hz up", band(hz)));
        return Sentence::default()
            .say(format!("Nothing is needed{from}: what the radio gives is the target."));
    }
    let told = Sentence::default().name(Cause::Out, "What comes out");
    match tuned.proposal.reach_hz {
        Some(hz) => told
            .say(format!(
                " follows the target down to {} Hz within {:.1} dB, rendered",
                band(hz),
                tuned.error_db()
            ))
            .say(format!(" (predicted {:.1} dB).", tuned.proposal.error_db())),
        None => told.say(" does not follow the target: one band cannot reach even 125 Hz."),
    }
}

fn picture(tuned: &Tuned) -> Responses {
    let bands = &tuned.proposal.bands;
    let drawn = |name: &str, cause: Cause, db: &dyn Fn(usize) -> f64| Drawn {
        name: name.into(),
        cause,
        curve: Curve::new((0..bands.len()).map(|i| (bands[i].hz, db(i)))),
    };
    let curves = vec![
        drawn("given", Cause::Given, &|i| bands[i].given_db),
        drawn("target", Cause::Target, &|i| bands[i].target_db),
        drawn("rendered", Cause::Out, &|i| tuned.rendered_db[i]),
    ];
    Responses { curves, verdicts: Vec::new() }
}

fn bands(tuned: &Tuned) -> Table {
    let reach = tuned.proposal.reach_hz.unwrap_or(f64::MAX);
    let rows = tuned.proposal.bands.iter().zip(&tuned.rendered_db).map(|(b, rendered)| {
        let how = match (b.hz >= 0.99 * reach, b.octave) {
            (true, _) if tuned.is_nothing() => "as it is",
            (false, _) => "left undone",
            (true, true) => "octave part",
            (true, false) => "low band",
        };
        let mut row = vec![band(b.hz)];
        row.extend([b.given_db, b.predicted_db, *rendered, b.target_db].map(|db| level(db, 1)));
        row.push(how.into());
        row
    });
    let head = ["Hz", "given dB", "predicted dB", "rendered dB", "target dB", "by"];
    table("Tuning", "pink noise through the radio's response; re 250 Hz to 1 kHz", &head, rows)
}

fn cost(tuned: &Tuned) -> Table {
    let p = &tuned.proposal;
    let (inside, edge) = tuned.surprise_db();
    let says = if inside <= AGREES_DB.0 && edge <= AGREES_DB.1 {
        "agrees"
    } else {
        "differs: only the rendering counts"
    };
    let rows = vec![
        vec!["headroom used by this source".into(), format!("{:.1} dB", p.headroom_db)],
        vec![
            "headroom used by a source without the loss".into(),
            format!("{:.1} dB", p.full_lift_db),
        ],
        vec![
            "prediction against rendering".into(),
            format!("{inside:.1} dB at worst, {edge:.1} dB in the lowest band: {says}"),
        ],
    ];
    table("Cost", "", &["what", "told"], rows)
}

fn specification(tuned: &Tuned) -> Table {
    let s = &tuned.proposal.settings;
    let mut rows = vec![vec![
        "parametric band".into(),
        format!(
            "{:+.1} dB at {:.0} Hz, {:.1} octaves between the half-gain points",
            s.low_band_gain_db, s.low_band_centre_hz, s.low_band_width_oct
        ),
    ]];
    let high_pass = match s.high_pass_order {
        Order::Off => "none".into(),
        Order::Second => format!("12 dB per octave, -3 dB at {:.0} Hz", s.high_pass_hz),
        Order::Fourth => format!("24 dB per octave, -3 dB at {:.0} Hz", s.high_pass_hz),
    };
    rows.push(vec!["subsonic high-pass, after any synthesis".into(), high_pass]);
    let octave = match !s.octave_is_off() {
        true => format!(
            "{:+.1} dB re its source, source {:.0} to {:.0} Hz, no note below {:.0} Hz",
            s.octave_level_db, s.octave_from_hz, s.octave_to_hz, s.octave_floor_hz
        ),
        false => "not needed".into(),
    };
    rows.push(vec!["octave-down synthesis".into(), octave]);
    let room_db = tuned.proposal.full_lift_db.max(tuned.proposal.headroom_db).ceil();
    rows.push(vec!["clean above its nominal level".into(), format!("{room_db:.0} dB or more")]);
    rows.push(vec![
        "output voltage".into(),
        format!("{:.1} V r.m.s. unclipped for each volt of the mid band", db_to_gain(room_db)),
    ]);
    table("Specification", "what a device must do to serve here", &["what", "asked"], rows)
}
