//! The sheet as JSON, schema 1: the same figures with their full digits.
//!
//! A key keeps its name and meaning within a schema; keys may be added. Where
//! nothing was measured a value is null.

use crate::curve::Curve;
use crate::measure::layers::{BandLayers, Layers};
use crate::measure::{Readings, Side};
use crate::plot::responses::Responses;
use crate::report::{Found, Limit, Proof, Run, Sheet, Table, finding};
use crate::settings::{Kind, Settings};
use serde_json::{Map, Value, json};

/// The sheet as JSON.
pub fn json(sheet: &Sheet) -> Value {
    json!({
        "schema": 1,
        "program": "underpin",
        "version": sheet.provenance.version,
        "seed": sheet.provenance.seed,
        "inputs": sheet.provenance.inputs.iter()
            .map(|input| json!({ "name": input.name, "sha256": input.sha256 }))
            .collect::<Vec<_>>(),
        "subject": sheet.subject,
        "finding": finding(sheet).plain(),
        "findings": sheet.findings.iter().map(found).collect::<Vec<_>>(),
        "preset": sheet.preset,
        "settings": sheet.settings.as_ref().map(settings),
        "runs": sheet.runs.iter().map(run).collect::<Vec<_>>(),
        "target": sheet.target.as_ref().map(curve),
        "before_the_radio": sheet.original.as_ref().map(curve),
        "responses": sheet.responses.as_ref().map(responses),
        "proofs": sheet.proofs.iter().map(proof).collect::<Vec<_>>(),
        "tables": sheet.tables.iter().map(table).collect::<Vec<_>>(),
        "cannot_be_known": sheet.unknown,
        "cautions": sheet.cautions,
        "figures": figures(sheet),
        "next": (!sheet.next.is_empty()).then_some(&sheet.next),
    })
}

fn found(found: &Found) -> Value {
    json!({
        "what": found.what, "told": found.told, "rests_on": found.evidence, "sure": found.sure,
        "value": found.value, "low": found.interval.map(|i| i.0),
        "high": found.interval.map(|i| i.1), "unit": found.unit,
        "would_change": found.would_change,
    })
}

fn settings(settings: &Settings) -> Value {
    let value = |kind: &Kind, plain: f32| match *kind {
        Kind::Switch => json!(plain >= 0.5),
        Kind::Choice { words, .. } => json!(words[(plain as usize).min(words.len() - 1)]),
        // An f32 shown by its shortest digits: 0.1, not 0.10000000149.
        Kind::Number { .. } => json!(plain.to_string().parse::<f64>().ok()),
    };
    let pairs = settings.each().map(|(s, plain)| (s.key.to_string(), value(&s.kind, plain)));
    Value::Object(pairs.collect::<Map<_, _>>())
}

fn curve(curve: &Curve) -> Value {
    json!(curve.points().iter().map(|p| [p.0, p.1]).collect::<Vec<_>>())
}

fn responses(responses: &Responses) -> Value {
    json!({
        "curves": responses.curves.iter().map(|drawn| json!({
            "name": drawn.name, "cause": drawn.cause.key(), "points": curve(&drawn.curve),
        })).collect::<Vec<_>>(),
        "verdicts": responses.verdicts.iter().map(|stretch| json!({
            "verdict": stretch.verdict.words(), "from_hz": stretch.from_hz, "to_hz": stretch.to_hz,
        })).collect::<Vec<_>>(),
    })
}

fn run(run: &Run) -> Value {
    let readings: &Readings = &run.readings;
    let layers = Layers::thirds(readings, 0.0, f64::MAX);
    json!({
        "name": run.name,
        "sample_rate_hz": readings.sample_rate_hz,
        "channels": readings.channels,
        "seconds": readings.seconds,
        "before": side(&readings.before),
        "after": readings.after.as_ref().map(side),
        "layers_db": layers.has_layers
            .then(|| layers.bands.iter().map(standing).collect::<Vec<_>>()),
        "transfer": readings.transfer.as_ref().map(|t| json!({
            "delay_s": t.delay_s,
            "averages": t.averages,
            "points": t.points.iter().map(|p| json!({
                "hz": p.hz, "gain_db": p.gain_db, "phase_deg": p.phase_deg,
                "coherence": p.coherence, "sd_db": p.sd_db,
            })).collect::<Vec<_>>(),
        })),
    })
}

fn side(side: &Side) -> Value {
    let (level, clipping) = (&side.level, &side.clipping);
    json!({
        "peak_dbfs": level.peak_dbfs,
        "rms_dbfs": level.rms_dbfs,
        "true_peak_dbtp": level.true_peak_dbtp,
        "loudness_lufs": level.loudness_lufs,
        "dc": level.dc,
        "clipping": {
            "digital_runs": clipping.digital_runs,
            "flat_runs": clipping.flat_runs,
            "flat_dbfs": clipping.flat_dbfs,
            "inter_sample_overs": clipping.inter_sample_overs,
            "first_s": clipping.first_s,
        },
        "spectrum": {
            "df_hz": side.spectrum.df_hz,
            "window": format!("{:?}", side.spectrum.window),
            "averages": side.spectrum.averages,
        },
        "bands": side.bands.iter().map(|band| json!({
            "nominal_hz": band.nominal_hz, "exact_hz": band.centre_hz,
            "from_hz": band.from_hz, "to_hz": band.to_hz,
            "dbfs": band.level_db, "sd_db": band.sd_db,
        })).collect::<Vec<_>>(),
        "partials": side.partials.as_ref().map(partials),
    })
}

fn partials(partials: &crate::analysis::partials::Partials) -> Value {
    let lines = |lines: &[crate::analysis::partials::Line]| -> Vec<Value> {
        let line = |l: &crate::analysis::partials::Line| {
            json!({ "hz": l.hz, "order": l.order, "re_tone_db": l.re_tone_db, "dbfs": l.dbfs,
                "phase_deg": l.phase_deg, "near_mains": l.near_mains })
        };
        lines.iter().map(line).collect()
    };
    json!({
        "tone_hz": partials.tone_hz,
        "tone_dbfs": partials.tone_dbfs,
        "below": lines(&partials.below),
        "above": lines(&partials.above),
        "odd_halves": lines(&partials.odd_halves),
        "below_ratio": partials.below_ratio,
        "thd_f": partials.thd_f,
        "thd_orders": partials.thd_orders,
        "thd_to_hz": partials.thd_to_hz,
        "noise_dbfs": partials.noise_dbfs,
    })
}

fn standing(band: &BandLayers) -> Value {
    json!({
        "nominal_hz": band.hz, "given": band.given, "dry": band.dry, "blend": band.blend,
        "low_band": band.low_band, "out": band.out,
    })
}

fn proof(proof: &Proof) -> Value {
    let limit = match proof.limit {
        Limit::AtMost(most) => json!({ "at_most": most }),
        Limit::AtLeast(least) => json!({ "at_least": least }),
        Limit::Within(least, most) => json!({ "at_least": least, "at_most": most }),
    };
    json!({
        "name": proof.name, "figure": proof.figure, "unit": proof.unit, "limit": limit,
        "met": proof.met(),
    })
}

/// A table; `values` has the cells of columns of numbers as numbers, null for all others.
fn table(table: &Table) -> Value {
    let value = |(column, cell): (usize, &String)| match table.is_numeric(column) {
        true => json!(number(cell)),
        false => Value::Null,
    };
    let values = |row: &Vec<String>| row.iter().enumerate().map(value).collect::<Vec<_>>();
    json!({
        "title": table.title, "note": table.note, "head": table.head, "rows": table.rows,
        "values": table.rows.iter().map(values).collect::<Vec<_>>(),
    })
}

/// The number a cell begins with.
fn number(cell: &str) -> Option<f64> {
    let plain = cell.replace('\u{2212}', "-");
    plain.split_whitespace().next()?.trim_start_matches('+').parse().ok()
}

/// Every figure by its key; an interval stands under the key with `_95`.
fn figures(sheet: &Sheet) -> Value {
    let mut all = Map::new();
    for figure in sheet.figures.iter().flat_map(|group| &group.figures) {
        all.insert(figure.key.into(), json!(figure.value));
        if let Some((low, high)) = figure.interval {
            all.insert(format!("{}_95", figure.key), json!([low, high]));
        }
    }
    Value::Object(all)
}
