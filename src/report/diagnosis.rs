//! A diagnosis in words, tables and one picture.

use crate::curve::Curve;
use crate::figures::{difference, level};
use crate::planning::channels::Relation;
use crate::planning::diagnose::{ChannelDiagnosis, Diagnosis};
use crate::planning::roll_off::{FALLS_DB, Interval, RollOff, Slope};
use crate::planning::take_summary::TakeSummary;
use crate::plot::Cause;
use crate::plot::responses::{Drawn, Responses, Stretch};
use crate::report::known::{headline, known};
use crate::report::sheet::table;
use crate::report::steps::beside_each_other;
use crate::report::wording::{self, cause, family, hears, polarity, slope, tones, trouble};
use crate::report::{Sheet, Table};

/// What the method cannot see, whatever the capture (arithmetic of the method, and the trade).
const LIMITS: [&str; 4] = [
    "whether an octave part is there: a transfer function says nothing at half a tone",
    "other volume steps than those captured",
    "sound: this is electrical only, without loudspeakers and cabin",
    "what is gone: new content is new, it does not bring the old back",
];
/// What it cannot see without a loop-back.
const WHOSE: &str = "whose roll-off, noise and limits these are, the radio's or the recorder's: record the player \
     straight into the recorder with one cable and give it as --loop-back";

/// Bass below this frequency (Hz) so many decibels over the mid band is what a low-pass leaves.
const LOW_PASSED: (f64, f64) = (130.0, 12.0);
/// What cannot be known behind a low-pass.
const LOW_PASS: &str = "what the radio gives re its mid band: this looks like a subwoofer output behind its low-pass; \
     capture before it, or set it to its highest";

/// Fills `sheet` with a diagnosis.
pub fn diagnosis(sheet: &mut Sheet, found: &Diagnosis) {
    sheet.finding = headline(found);
    sheet.findings = known(found).into_iter().map(|known| known.found).collect();
    sheet.responses = Some(picture(found));
    sheet.tables.push(takes(found));
    let names = |i: usize| channel_name(found, i);
    let channels = found.channels.iter().enumerate();
    sheet.tables.extend(channels.flat_map(|(i, c)| [bands(c, &names(i)), roll_off(c, &names(i))]));
    sheet.tables.push(dependence(found));
    let places = found.relations.len() > 1;
    sheet.tables.extend(found.relations.iter().map(|(i, r)| relation(*i, r, places)));
    beside_each_other(sheet, found);
    LIMITS.iter().for_each(|limit| sheet.admit(limit));
    if !found.without_recorder {
        sheet.admit(WHOSE);
    }
    let bass = found.channels.iter().flat_map(|c| &c.bands);
    if bass.into_iter().any(|b| b.hz < LOW_PASSED.0 && b.db > LOW_PASSED.1) {
        sheet.admit(LOW_PASS);
    }
}

pub(super) fn picture(found: &Diagnosis) -> Responses {
    let curves = found.channels.iter().map(|c| Drawn {
        name: hears(c.hears).into(),
        cause: Cause::Given,
        curve: Curve::new(c.curve.iter().copied()),
    });
    let mut verdicts: Vec<Stretch> = Vec::new();
    for band in found.channels.first().map_or(&[][..], |c| &c.contents[..]) {
        let (from_hz, to_hz) = (band.hz / 1.122, band.hz * 1.122);
        let verdict = wording::verdict(band.content);
        match verdicts.last_mut() {
            Some(last) if last.verdict == verdict => last.to_hz = to_hz,
            _ => verdicts.push(Stretch { verdict, from_hz, to_hz }),
        }
    }
    Responses { curves: curves.collect(), verdicts }
}

/// A channel by what it hears; by its place as well where a capture has more than two.
fn channel_name(found: &Diagnosis, i: usize) -> String {
    let heard = hears(found.channels[i].hears);
    match found.channels.len() {
        0..=2 => format!(", {heard}"),
        _ => format!(" of channel {}, {heard}", i + 1),
    }
}

fn takes(found: &Diagnosis) -> Table {
    let row = |(i, take): (usize, &TakeSummary)| {
        let name = match take.name.is_empty() {
            true => (i + 1).to_string(),
            false => take.name.clone(),
        };
        vec![
            name,
            format!("{:.1}", take.start_s),
            take.volume_db.map_or("not told".into(), |db| level(db, 1)),
            level(take.clock_ppm, 1),
            notes(take, i == found.judged_by && found.takes.len() > 1),
        ]
    };
    let note = match found.takes.len() {
        1 => "volume is the gain of 250 Hz to 1 kHz",
        _ => {
            "volume is the gain of 250 Hz to 1 kHz; judged by: not distorted, no codec, the loudest, unless --at names one"
        }
    };
    table(
        "Takes",
        note,
        &["take", "start s", "volume dB", "clock ppm", "note"],
        found.takes.iter().enumerate().map(row),
    )
}

fn notes(take: &TakeSummary, judges: bool) -> String {
    let mut notes: Vec<String> = Vec::new();
    let mut add = |when: bool, words: &str| {
        if when {
            notes.push(words.into());
        }
    };
    add(judges, "the figures below are this one's");
    add(take.automatic_gain, "the level moves on its own: cannot be used for level decisions");
    add(take.full_scale, "the recorder was driven to full scale: not used for distortion");
    add(take.lossy, "a lossy codec: nothing finer than 0.3 dB");
    let most = take.level_dependent.iter().copied().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let moved =
        |(hz, db)| format!("{} dB from quiet to loud at {} Hz", difference(db), wording::band(hz));
    notes.extend(most.map(moved));
    if !take.hum.is_empty() {
        notes.push(tones(&take.hum));
    }
    let alarms = take.alarms.iter();
    notes.extend(alarms.map(|(peak, alarm)| format!("at {peak:.0} dBFS: {}", trouble(*alarm))));
    notes.join("; ")
}

fn bands(channel: &ChannelDiagnosis, name: &str) -> Table {
    let rows = channel.bands.iter().filter(|b| b.hz < 260.0).map(|band| {
        let content = channel.contents.iter().find(|c| c.hz == band.hz);
        let [told, half] = match band.is_shown() {
            // Finer than a tenth no such figure is worth printing.
            true => [level(band.db, 1), level(band.half_95_db.max(0.1), 1)],
            false => [format!("< {}", level(band.less_than_db, 0)), "-".into()],
        };
        let verdict = content.map_or("not told", |c| wording::content(c.content));
        let over = content.map_or("-".into(), |c| format!("{:.0}", c.over_noise_db));
        vec![wording::band(band.hz), told, half, over, verdict.into()]
    });
    let note = format!(
        "re 250 Hz to 1 kHz, by the comb at {:.0} dBFS; programme: pink, -20 dBFS; 15 dB over the noise can be lifted",
        channel.level_dbfs
    );
    table(
        &format!("Response{name}"),
        &note,
        &["Hz", "dB", "+/- 95 %", "programme over noise dB", "content"],
        rows,
    )
}

fn roll_off(channel: &ChannelDiagnosis, name: &str) -> Table {
    let RollOff { slope: kind, candidates, fall_hz } = &channel.roll_off;
    let mut rows: Vec<Vec<String>> = FALLS_DB
        .iter()
        .zip(fall_hz)
        .map(|(fall, hz)| {
            let told = hz.map_or("not reached".into(), |Interval { value, low, high }| {
                format!("{value:.1} Hz ({low:.1} to {high:.1})")
            });
            vec![format!("{fall:.0} dB down at"), told]
        })
        .collect();
    rows.push(vec!["slope".into(), slope(&channel.roll_off)]);
    let names: Vec<String> = candidates.iter().map(|c| family(c.family)).collect();
    rows.push(vec![
        "kinds that fit".into(),
        match kind {
            Slope::NoSingle(_) => "none".into(),
            Slope::Flat => "flat".into(),
            _ => names.join(", "),
        },
    ]);
    rows.push(vec!["polarity, recorder included".into(), polarity(channel.inverts).into()]);
    rows.push(vec![
        "stands clear of the noise down to".into(),
        channel.border.map_or("nowhere".into(), |b| {
            format!("{:.0} Hz ({:.0} to {:.0})", b.value, b.low, b.high)
        }),
    ]);
    rows.push(vec![
        "one band of 12 dB reaches down to".into(),
        channel.reach_hz.map_or("nowhere".into(), |hz| format!("{} Hz", wording::band(hz))),
    ]);
    table(&format!("Roll-off{name}"), "95 % intervals", &["what", "told"], rows)
}

fn dependence(found: &Diagnosis) -> Table {
    let v = &found.volume;
    let mut rows = vec![
        vec!["the bass".into(), cause(found)],
        vec!["largest range over steps and levels".into(), format!("{:.1} dB", v.range_db)],
        vec![
            "largest difference of levels in one step".into(),
            format!("{:.1} dB", v.level_difference_db),
        ],
    ];
    rows.extend(v.dependence.needs().map(|needs| vec!["to decide it".into(), needs.into()]));
    for (name, clean) in ["997 Hz", "45 Hz"].iter().zip(found.clean) {
        let told = wording::clean(clean);
        rows.push(vec![format!("highest clean volume, {name} at -1 dBFS"), told]);
    }
    if found.own_noise {
        rows.push(vec![
            "noise".into(),
            "the capture's own (recorder or codec) may hide the radio's: no verdict on what is gone"
                .into(),
        ]);
    }
    table("Volume and level", "20 to 100 Hz re the mid band", &["what", "told"], rows)
}

fn relation(place: usize, relation: &Relation, places: bool) -> Table {
    let worst = relation.sum_loss_db.iter().map(|l| l.1).fold(0.0, f64::min);
    let phase = match (relation.inverted, relation.delay_ms) {
        (Some(inverted), Some(ms)) => {
            let polarity = if inverted { "inverted" } else { "the same polarity" };
            format!("{polarity}, {} ms later", level(ms, 2))
        }
        _ => format!(
            "frequency-dependent phase ({:.0} degrees left over): no delay, no polarity",
            relation.residual_deg
        ),
    };
    let sum = if worst < -1.0 { "do not sum as they are" } else { "can be summed" };
    let rows = vec![
        vec!["second channel".into(), phase],
        vec!["level".into(), format!("{} dB", difference(relation.level_db))],
        vec!["sum".into(), format!("{sum}: {} dB at worst, 12.5 to 160 Hz", level(worst, 1))],
        vec!["before they are summed".into(), before_a_sum(relation, worst)],
    ];
    match places {
        true => {
            let title = format!("Channels 1 and {}", place + 1);
            table(&title, "the second re the first", &["what", "told"], rows)
        }
        false => table("Channels", "the second re the first", &["what", "told"], rows),
    }
}

/// What to do before two channels are summed.
fn before_a_sum(relation: &Relation, worst_db: f64) -> String {
    match (relation.inverted, relation.delay_ms) {
        _ if worst_db >= -1.0 => "nothing".into(),
        (Some(true), _) => "turn the polarity of one over, and measure again".into(),
        (Some(false), Some(ms)) => {
            format!("delay the earlier one by {:.2} ms, or use one alone", ms.abs())
        }
        _ => "use one alone: no delay and no polarity mends it".into(),
    }
}
