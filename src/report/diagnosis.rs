//! A diagnosis in words, tables and one picture.

use crate::curve::Curve;
use crate::planning::blocks::Alarm;
use crate::planning::channels::Hears;
use crate::planning::clean::CleanVolume;
use crate::planning::content::Content;
use crate::planning::diagnose::{ChannelDiagnosis, Diagnosis, TakeSummary};
use crate::planning::roll_off::{FALLS_DB, Family, Interval, RollOff, Slope};
use crate::planning::volume::Dependence;
use crate::plot::Cause;
use crate::plot::responses::{Drawn, Responses, Stretch, Verdict};
use crate::report::{Sentence, Sheet, Table};

/// What the method cannot see, whatever the capture (arithmetic of the method, and the trade).
const LIMITS: [&str; 4] = [
    "whether an octave part is there: a transfer function says nothing at half a tone",
    "other volume steps than those captured",
    "sound: this is electrical only, without loudspeakers and cabin",
    "what is gone: new content is new, it does not bring the old back",
];

/// Fills `sheet` with a diagnosis.
pub fn diagnosis(sheet: &mut Sheet, found: &Diagnosis) {
    sheet.finding = finding(found);
    sheet.responses = Some(picture(found));
    sheet.tables.push(takes(&found.takes));
    sheet.tables.extend(found.channels.iter().flat_map(|c| [bands(c), roll_off(c)]));
    sheet.tables.push(dependence(found));
    sheet.tables.extend(relation(found));
    LIMITS.iter().for_each(|limit| sheet.admit(limit));
}

pub(super) fn finding(found: &Diagnosis) -> Sentence {
    let told = Sentence::default().name(Cause::Given, "The radio");
    let Some(channel) = found.channels.first() else { return told.say(" says nothing here.") };
    let slope = match &channel.roll_off.slope {
        Slope::Flat => " gives its bass whole".into(),
        Slope::Single(n) => format!(" rolls off at {} dB per octave", 6 * n),
        Slope::Undecided(_) => " rolls off, with a slope that is not decided".into(),
        Slope::NoSingle(_) => " has no single slope".into(),
    };
    let told = match channel.roll_off.fall_hz[0] {
        Some(f3) => told.say(format!("{slope}, 3 dB down at {:.0} Hz.", f3.value)),
        None => told.say(format!("{slope}.")),
    };
    let told = match channel.border_hz {
        Some(hz) if hz > 16.0 => told
            .say(format!(" Below {hz:.0} Hz content is gone: "))
            .name(Cause::Octave, "make new")
            .say("."),
        Some(_) => told.say(" Nothing is gone: ").name(Cause::LowBand, "lift").say(" is enough."),
        None => told.say(" Nothing stands clear of the noise."),
    };
    told.say(format!(" {}.", cause(found.volume.dependence)))
}

fn cause(dependence: Dependence) -> &'static str {
    match dependence {
        Dependence::Fixed => "The bass stays the same at every step and level captured",
        Dependence::Volume => "The bass falls with the volume: an EQ follows the knob",
        Dependence::Limiter => "A limiter takes bass away when the level is high",
        Dependence::Both => "The bass falls with the volume, and a limiter takes more",
        Dependence::VolumeCauseUndecided => {
            "The bass depends on the volume; the cause is undecided"
        }
        Dependence::Undecided => "What the bass depends on is undecided",
    }
}

pub(super) fn picture(found: &Diagnosis) -> Responses {
    let curves = found.channels.iter().map(|c| Drawn {
        name: hears(c.hears).into(),
        cause: Cause::Given,
        curve: Curve::new(c.lines.iter().map(|l| (l.0, l.1))),
    });
    let verdict = |c: Content, response_db: f64| match c {
        Content::Uncertain => Verdict::Open,
        Content::Gone => Verdict::MakeNew,
        Content::Attenuated if response_db > -1.0 => Verdict::Stands,
        Content::Attenuated => Verdict::Lift,
    };
    let mut verdicts: Vec<Stretch> = Vec::new();
    for band in found.channels.first().map_or(&[][..], |c| &c.contents[..]) {
        let (from_hz, to_hz) = (band.hz / 1.122, band.hz * 1.122);
        let verdict = verdict(band.content, band.response_db);
        match verdicts.last_mut() {
            Some(last) if last.verdict == verdict => last.to_hz = to_hz,
            _ => verdicts.push(Stretch { verdict, from_hz, to_hz }),
        }
    }
    Responses { curves: curves.collect(), verdicts }
}

fn takes(takes: &[TakeSummary]) -> Table {
    let row = |take: &TakeSummary| {
        let mut notes: Vec<String> = Vec::new();
        if take.automatic_gain {
            notes.push("the level moves on its own: cannot be used for level decisions".into());
        }
        if take.full_scale {
            notes.push("the recorder was driven to full scale: not used for distortion".into());
        }
        if take.lossy {
            notes.push("a lossy codec: nothing finer than 0.3 dB".into());
        }
        if let Some((hz, db)) =
            take.level_dependent.iter().copied().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
        {
            notes.push(format!("{db:+.1} dB from quiet to loud at {hz:.0} Hz"));
        }
        notes.extend(
            take.alarms
                .iter()
                .map(|(peak, alarm)| format!("at {peak:.0} dBFS: {}", trouble(*alarm))),
        );
        vec![
            format!("{:.1}", take.start_s),
            take.volume_db.map_or("not told".into(), |db| format!("{db:.1}")),
            format!("{:.1}", take.clock_ppm),
            notes.join("; "),
        ]
    };
    table(
        "Takes",
        "volume is the gain of 250 Hz to 1 kHz",
        &["start s", "volume dB", "clock ppm", "note"],
        takes.iter().map(row),
    )
}

fn trouble(alarm: Alarm) -> String {
    match alarm {
        Alarm::DropOut(at) => format!("drop-out or click after {at:.0} s"),
        Alarm::LostSamples(ms) => format!("samples lost or put in ({ms:.1} ms): section left out"),
        Alarm::GainMoves(db) => format!("gain moves by {db:.1} dB"),
    }
}

fn bands(channel: &ChannelDiagnosis) -> Table {
    let rows = channel.bands.iter().filter(|b| b.hz < 260.0).map(|band| {
        let content = channel.contents.iter().find(|c| c.hz == band.hz);
        let level = match band.is_shown() {
            // Finer than a tenth no such figure is worth printing.
            true => [format!("{:.1}", band.db), format!("{:.1}", band.half_95_db.max(0.1))],
            false => [format!("< {:.0}", band.less_than_db), "-".into()],
        };
        let [level, half] = level;
        let verdict = content.map_or("not told", |c| match c.content {
            Content::Attenuated if c.response_db > -1.0 => "stands",
            Content::Attenuated => "attenuated: lift",
            Content::Gone => "gone: make new",
            Content::Uncertain => "uncertain: treat as gone",
        });
        let over = content.map_or("-".into(), |c| format!("{:.0}", c.over_noise_db));
        vec![format!("{:.0}", band.hz), level, half, over, verdict.into()]
    });
    table(
        &format!("Response, {}", hears(channel.hears)),
        "re 250 Hz to 1 kHz; programme: pink, -20 dBFS; 15 dB over the noise can be lifted",
        &["Hz", "dB", "+/- 95 %", "programme over noise dB", "content"],
        rows,
    )
}

fn roll_off(channel: &ChannelDiagnosis) -> Table {
    let RollOff { slope, candidates, fall_hz } = &channel.roll_off;
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
    let said = match slope {
        Slope::Flat => "none in the range measured".into(),
        Slope::Single(n) => format!("{} dB per octave", 6 * n),
        Slope::Undecided(orders) => {
            let all: Vec<String> = orders.iter().map(|n| (6 * n).to_string()).collect();
            format!(
                "undecided: {} dB per octave; a longer or quieter capture would decide",
                all.join(" or ")
            )
        }
        Slope::NoSingle(_) => "no single slope fits".into(),
    };
    rows.push(vec!["slope".into(), said]);
    let names: Vec<String> = candidates.iter().map(|c| family(c.family)).collect();
    rows.push(vec![
        "kinds that fit".into(),
        match slope {
            Slope::NoSingle(_) => "none".into(),
            _ => names.join(", "),
        },
    ]);
    rows.push(vec!["polarity, recorder included".into(), polarity(channel.inverts).into()]);
    rows.push(vec![
        "lift down to".into(),
        channel.border_hz.map_or("nowhere".into(), |hz| format!("{hz:.0} Hz")),
    ]);
    table(&format!("Roll-off, {}", hears(channel.hears)), "95 % intervals", &["what", "told"], rows)
}

/// Words for a polarity.
pub(super) fn polarity(inverts: Option<bool>) -> &'static str {
    match inverts {
        Some(true) => "inverted",
        Some(false) => "kept",
        None => "undecided: the phase of the mid band is near neither",
    }
}

fn family(family: Family) -> String {
    match family {
        Family::Flat => "flat".into(),
        Family::Butterworth(n) => format!("Butterworth of order {n}"),
        Family::LinkwitzRiley(n) => format!("Linkwitz-Riley of order {n}"),
        Family::SecondOrder => "second order with its own Q".into(),
    }
}

fn dependence(found: &Diagnosis) -> Table {
    let v = &found.volume;
    let mut rows = vec![
        vec!["the bass".into(), cause(v.dependence).into()],
        vec!["largest range over steps and levels".into(), format!("{:.1} dB", v.range_db)],
        vec![
            "largest difference of levels in one step".into(),
            format!("{:.1} dB", v.level_difference_db),
        ],
    ];
    rows.extend(v.dependence.needs().map(|needs| vec!["to decide it".into(), needs.into()]));
    for (name, clean) in ["997 Hz", "45 Hz"].iter().zip(found.clean) {
        let told = match clean {
            CleanVolume::At { volume_db, within_db } => {
                format!("volume {volume_db:.1} dB (within {within_db:.1})")
            }
            CleanVolume::AtLeast(db) => {
                format!("at least volume {db:.1} dB: no step captured distorts")
            }
            CleanVolume::Below(db) => format!("below volume {db:.1} dB, the lowest step captured"),
            CleanVolume::Unknown => {
                "undecided: a capture with room below full scale would decide".into()
            }
        };
        rows.push(vec![format!("highest clean volume, {name} at -1 dBFS"), told]);
    }
    if found.own_noise {
        rows.push(vec![
            "noise".into(),
            "the capture's own (recorder or codec) hides the radio's: no verdict on what is gone"
                .into(),
        ]);
    }
    table("Volume and level", "31.5 to 100 Hz re the mid band", &["what", "told"], rows)
}

fn relation(found: &Diagnosis) -> Option<Table> {
    let relation = found.relation.as_ref()?;
    let worst = relation.sum_loss_db.iter().map(|l| l.1).fold(0.0, f64::min);
    let phase = match (relation.inverted, relation.delay_ms) {
        (Some(inverted), Some(ms)) => {
            let polarity = if inverted { "inverted" } else { "the same polarity" };
            format!("{polarity}, {ms:.2} ms later")
        }
        _ => format!(
            "frequency-dependent phase ({:.0} degrees left over): no delay, no polarity",
            relation.residual_deg
        ),
    };
    let sum = if worst < -1.0 { "do not sum as they are" } else { "can be summed" };
    let rows = vec![
        vec!["second channel".into(), phase],
        vec!["level".into(), format!("{:+.1} dB", relation.level_db)],
        vec!["sum".into(), format!("{sum}: {worst:.1} dB at worst, 12.5 to 160 Hz")],
    ];
    Some(table("Channels", "the second re the first", &["what", "told"], rows))
}

pub(super) fn hears(hears: Hears) -> &'static str {
    match hears {
        Hears::Left => "left",
        Hears::Right => "right",
        Hears::Sum => "sum of both",
        Hears::Unadding => "both (they do not add)",
        Hears::Nothing => "nothing",
    }
}

/// A table from its rows.
pub(super) fn table(
    title: &str,
    note: &str,
    head: &[&str],
    rows: impl IntoIterator<Item = Vec<String>>,
) -> Table {
    Table {
        title: title.into(),
        note: note.into(),
        head: head.iter().map(|h| (*h).into()).collect(),
        rows: rows.into_iter().collect(),
    }
}
