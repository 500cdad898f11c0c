//! The takes beside each other: what the volume knob does, one curve a step, and outputs or sources
//! that were told apart.

use crate::curve::Curve;
use crate::figures::{difference, level};
use crate::planning::beside::Beside;
use crate::planning::diagnose::Diagnosis;
use crate::planning::take_summary::TakeSummary;
use crate::plot::Cause;
use crate::plot::responses::{Drawn, Responses, responses};
use crate::plot::scene::{Rect, Scene};
use crate::plot::stairs::{NAMES, Step, stairs};
use crate::report::found::{Found, Known};
use crate::report::sheet::table;
use crate::report::wording::band;
use crate::report::{Picture, Sentence, Sheet, Table};

/// Height of the pictures' drawing, in pixels.
const HEIGHT: f64 = 180.0;

/// Adds what several takes show beside each other.
pub(super) fn beside_each_other(sheet: &mut Sheet, found: &Diagnosis) {
    if found.takes.len() < 2 {
        return;
    }
    match found.outputs {
        true => sheet.tables.push(apart(found)),
        false => {
            sheet.tables.push(volume_table(&found.takes));
            sheet.pictures.extend(volume_picture(&found.takes));
        }
    }
    sheet.pictures.extend(curves(&found.takes));
    sheet.tables.extend(bass_table(&found.takes));
}

/// What the knob did, as a point of what is known.
pub(super) fn known_volume(found: &Diagnosis) -> Option<Known> {
    let rising = rising(&found.takes);
    let (first, last) = (rising.first()?, rising.last()?);
    if found.outputs || rising.len() < 2 {
        return None;
    }
    let told = format!("from {} to {} dB of gain", level(first.1, 1), level(last.1, 1));
    let evidence = format!("{} to {}, 250 Hz to 1 kHz, recorder included", first.0, last.0);
    let found = Found::new("Volume curve", told, evidence, true)
        .changed_by("a recorder whose gain was moved between the takes");
    Some(Known { found, clause: Sentence::default() })
}

/// Each output or source as a point of what is known.
pub(super) fn known_beside(found: &Diagnosis) -> impl Iterator<Item = Known> {
    found.beside.iter().map(|beside| {
        let told = match beside.differs() {
            Some((hz, db, _)) => {
                format!("{} dB re its mid band at {} Hz", difference(db), band(hz))
            }
            None => "the same bass, as far as it shows".into(),
        };
        let evidence = match beside.differs() {
            Some((.., half)) => format!("+/- {} dB at 95 %", level(half, 1)),
            None => "no band differs beyond its interval".into(),
        };
        let what = format!("{} against {}", beside.name, beside.first);
        let found = Found::new(&what, told, evidence, true)
            .changed_by("another volume step: the two may follow it differently");
        Known { found, clause: Sentence::default() }
    })
}

fn apart(found: &Diagnosis) -> Table {
    let rows = found.beside.iter().map(|beside| {
        let polarity = match beside.inverted {
            Some(true) => "turned over",
            Some(false) => "the same",
            None => "open",
        };
        vec![
            format!("{} re {}", beside.name, beside.first),
            difference(beside.level_db),
            polarity.into(),
            bass(beside),
            if beside.lossy { "a lossy codec: nothing finer than 0.3 dB" } else { "" }.into(),
        ]
    });
    table(
        "Beside each other",
        "level: of 250 Hz to 1 kHz, if the volume stood where it was; bass: re each one's own mid band",
        &["take", "level dB", "polarity", "bass", "note"],
        rows,
    )
}

fn bass(beside: &Beside) -> String {
    match beside.differs() {
        Some((hz, db, half)) => {
            format!("{} dB at {} Hz (+/- {})", difference(db), band(hz), level(half, 1))
        }
        None => "the same, within the intervals".into(),
    }
}

fn names(takes: &[TakeSummary]) -> impl Iterator<Item = (String, &TakeSummary)> {
    takes.iter().enumerate().map(|(i, take)| match take.name.is_empty() {
        true => ((i + 1).to_string(), take),
        false => (take.name.clone(), take),
    })
}

/// Takes that tell a volume, quietest first.
fn rising(takes: &[TakeSummary]) -> Vec<(String, f64)> {
    let told = names(takes).filter_map(|(name, take)| Some((name, take.volume_db?)));
    let mut rising: Vec<(String, f64)> = told.collect();
    rising.sort_by(|a, b| a.1.total_cmp(&b.1));
    rising
}

fn volume_table(takes: &[TakeSummary]) -> Table {
    let rising = rising(takes);
    let rows = rising.iter().enumerate().map(|(i, (name, db))| {
        let step = match i {
            0 => "-".into(),
            _ => difference(db - rising[i - 1].1),
        };
        vec![name.clone(), level(*db, 1), step]
    });
    let head = ["take", "gain dB", "re the one below dB"];
    table("Volume curve", "gain of 250 Hz to 1 kHz, recorder included", &head, rows)
}

fn volume_picture(takes: &[TakeSummary]) -> Option<Picture> {
    let step = |(name, db): (String, f64)| Step {
        name,
        note: String::new(),
        carries_db: db,
        carries: format!("{} dB", level(db, 1)),
        clips_db: None,
    };
    let steps: Vec<Step> = rising(takes).into_iter().map(step).collect();
    let draw = |width: f64| {
        let mut scene = Scene::new(width, HEIGHT + NAMES, "Volume curve");
        stairs(&mut scene, Rect::new(34.0, 4.0, width - 34.0, HEIGHT - 8.0), &steps);
        scene
    };
    (steps.len() > 1).then(|| Picture {
        title: "Volume curve".into(),
        note: "gain of 250 Hz to 1 kHz at each take, quietest first".into(),
        unit: "dB".into(),
        wide: draw(Picture::WIDE),
        narrow: draw(Picture::NARROW),
    })
}

/// The bass of every take in figures: a row a band, a column a take.
fn bass_table(takes: &[TakeSummary]) -> Option<Table> {
    let all: Vec<(String, &TakeSummary)> =
        names(takes).filter(|(_, take)| take.bass.len() > 1).collect();
    let mut hz: Vec<f64> = all.iter().flat_map(|(_, take)| &take.bass).map(|b| b.0).collect();
    hz.sort_by(f64::total_cmp);
    hz.dedup();
    let at = |take: &TakeSummary, hz: f64| {
        let found = take.bass.iter().find(|b| b.0 == hz);
        found.map_or("-".into(), |b| level(b.1, 1))
    };
    let rows = hz.iter().map(|hz| {
        let cells = all.iter().map(|(_, take)| at(take, *hz));
        std::iter::once(band(*hz)).chain(cells).collect()
    });
    let head: Vec<&str> =
        std::iter::once("Hz").chain(all.iter().map(|(n, _)| n.as_str())).collect();
    let note = "dB re its own mid band, at the loudest level of each that can be used";
    (all.len() > 1).then(|| table("The bass of every take", note, &head, rows))
}

/// One curve a take, in third octaves; none where there is but one take that tells its bass.
pub(super) fn family(takes: &[TakeSummary], cause: Cause) -> Vec<Drawn> {
    let told = names(takes).filter(|(_, take)| take.bass.len() > 1);
    let curve = |take: &TakeSummary| Curve::new(take.bass.iter().copied());
    let drawn: Vec<Drawn> =
        told.map(|(name, take)| Drawn { name, cause, curve: curve(take) }).collect();
    if drawn.len() > 1 { drawn } else { Vec::new() }
}

/// The same as a picture.
fn curves(takes: &[TakeSummary]) -> Option<Picture> {
    let mut curves = family(takes, Cause::Given);
    // Names would stand on each other where the curves meet: the table has them.
    curves.iter_mut().for_each(|drawn| drawn.name.clear());
    let shown = Responses { curves, verdicts: Vec::new() };
    let draw = |width: f64| {
        let mut scene = Scene::new(width, HEIGHT + 24.0, "The bass of every take");
        responses(&mut scene, Rect::new(34.0, 4.0, width - 34.0, HEIGHT - 8.0), &shown)
            .map(|_| scene)
    };
    (shown.curves.len() > 1).then_some(())?;
    Some(Picture {
        title: "The bass of every take".into(),
        note: "one curve a take; its figures stand in the table of the same name".into(),
        unit: "dB re its own mid band".into(),
        wide: draw(Picture::WIDE)?,
        narrow: draw(Picture::NARROW)?,
    })
}
