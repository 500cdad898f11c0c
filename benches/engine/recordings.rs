//! The measures of recordings (G10), on open recordings: drum hits, bass notes,
//! and hits over notes; in two halves, so that luck with one of them shows.

use std::path::PathBuf;

use underpin::cli::audio_file::{BLOCK, Reader};
use underpin::settings::{Method, Settings};

use super::octave_goals::figure::{Figure, at_least, at_most};
use super::octave_goals::recorded::{Recording, likeness, mixed, off_the_halves, same_polarity};
use super::{METHODS, with};

const HITS: &str = "bd_808 bd_ada bd_boom bd_fat bd_gas bd_haus bd_klub bd_mehackit bd_pure \
    bd_sone bd_tek bd_zome bd_zum drum_bass_hard drum_bass_soft drum_heavy_kick drum_tom_lo_hard \
    drum_tom_lo_soft drum_tom_mid_hard drum_tom_mid_soft elec_fuzz_tom elec_hollow_kick \
    elec_soft_kick tabla_ghe1 tabla_ghe2 tabla_ghe3 tabla_ghe4 tabla_ghe5 tabla_ghe6 tabla_ghe7 \
    tabla_ghe8";
const NOTES: &str = "bass_dnb_f bass_drop_c bass_hard_c bass_hit_c bass_thick_c bass_trance_c \
    bass_woodsy_c glitch_bass_g loop_drone_g_97 ambi_piano";
/// What hits are mixed over.
const HELD: &str = "bass_thick_c ambi_piano tabla_ghe2 tabla_ghe6 drum_tom_lo_hard";

/// A file of the package, mono.
pub(crate) fn load(name: &str) -> Option<Recording> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("data/recordings/usr/share/sonic-pi/samples");
    let mut reader = Reader::open(&folder.join(format!("{name}.flac"))).ok()?;
    let (rate_hz, mut block, mut samples) = (reader.sample_rate_hz(), reader.block(), Vec::new());
    while reader.read(&mut block, BLOCK).ok()? > 0 {
        let channels = block.len() as f64;
        for i in 0..block[0].len() {
            samples.push(block.iter().map(|c| f64::from(c[i])).sum::<f64>() / channels);
        }
    }
    Some(Recording { name: name.into(), rate_hz, samples })
}

fn load_all(names: &str) -> Option<Vec<Recording>> {
    names.split_whitespace().map(load).collect()
}

/// What one method does to one half of the files.
struct Heard {
    hits: Vec<f64>,
    polarity: f64,
    mixes: Vec<f64>,
    notes_level: f64,
    off: f64,
}

/// Rounded down, for the table's sake.
fn thousandths(value: f64) -> f64 {
    (1e3 * value).floor() / 1e3
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn hear(
    settings: &Settings,
    hits: &[&Recording],
    notes: &[&Recording],
    held: &[Recording],
) -> Heard {
    let polarity: Vec<f64> =
        hits.iter().zip(1..).map(|(hit, seed)| same_polarity(settings, hit, seed)).collect();
    let mixes = (0..3 * hits.len())
        .map(|i| mixed(settings, hits[i / 3], &held[(2 * i + i / 3) % held.len()]))
        .collect();
    // The ideal has no floor: two of the notes have partials at 27 to 34 Hz, whose halves the
    // floor takes out on purpose.
    let floorless = Settings { octave_floor_hz: 0.0, ..*settings };
    let levels = notes.iter().map(|note| likeness(&floorless, note)[1].abs());
    let off: Vec<f64> = notes.iter().map(|note| off_the_halves(settings, note)).collect();
    Heard {
        hits: hits.iter().map(|hit| likeness(settings, hit)[0]).collect(),
        polarity: mean(&polarity),
        mixes,
        notes_level: levels.fold(0.0, f64::max),
        off: mean(&off),
    }
}

/// G10 for each method, or nothing without recordings.
pub(crate) fn figures() -> Option<[Vec<Figure>; 3]> {
    let (hits, notes, held) = (load_all(HITS)?, load_all(NOTES)?, load_all(HELD)?);
    let mut columns = [const { Vec::new() }; 3];
    for half in 0..2 {
        let hits: Vec<&Recording> = hits.iter().skip(half).step_by(2).collect();
        let notes: Vec<&Recording> = notes.iter().skip(half).step_by(2).collect();
        let heard = METHODS.map(|method| hear(&with(method), &hits, &notes, &held));
        let reference = METHODS.iter().position(|m| *m == Method::Halved)?;
        let whole = &heard[reference];
        let of = ["one half of the files", "the other half"][half];
        for (column, this) in columns.iter_mut().zip(&heard) {
            let below = whole.hits.iter().zip(&this.hits).map(|(a, b)| a - b).fold(-1.0, f64::max);
            column.extend([
                at_least(
                    format!("G10 {of}: hits, mean correlation (goal: halved's - 0.01)"),
                    mean(&this.hits),
                    thousandths((mean(&whole.hits) - 0.01).max(0.0)),
                ),
                at_most(format!("G10 {of}: a hit's correlation below halved's by"), below, 0.05),
                at_least(format!("G10 {of}: hits of the same polarity"), this.polarity, 0.9),
                at_least(
                    format!("G10 {of}: hits over notes, mean correlation (goal: halved's)"),
                    mean(&this.mixes),
                    thousandths(mean(&whole.mixes)),
                )
                .stretch(0.909),
                at_most(
                    format!("G10 {of}: bass notes, worst level error, floor off, dB"),
                    this.notes_level,
                    1.0,
                ),
                at_most(
                    format!("G10 {of}: bass notes, off the halves, dB"),
                    this.off,
                    -thousandths(-whole.off),
                ),
            ]);
        }
    }
    Some(columns)
}
