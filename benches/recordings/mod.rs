//! Open recordings of drum hits and bass notes, fetched by `cargo xtask data`, in sets.
//!
//! Constants were chosen with the first set in sight and looked at with the second; the third was
//! heard for the first time when all of them stood. Whole drum kits are on one side only, because
//! the strokes of one drum are like each other.

mod patch;

use std::fs;
use std::path::{Path, PathBuf};

use underpin::audio::BLOCK;
use underpin::cli::audio_file::open;

use super::octave_goals::recorded::{Recording, low_share};

/// The first set: Debian's `sonic-pi-samples`.
const HITS: &str = "bd_808 bd_ada bd_boom bd_fat bd_gas bd_haus bd_klub bd_mehackit bd_pure \
    bd_sone bd_tek bd_zome bd_zum drum_bass_hard drum_bass_soft drum_heavy_kick drum_tom_lo_hard \
    drum_tom_lo_soft drum_tom_mid_hard drum_tom_mid_soft elec_fuzz_tom elec_hollow_kick \
    elec_soft_kick tabla_ghe1 tabla_ghe2 tabla_ghe3 tabla_ghe4 tabla_ghe5 tabla_ghe6 tabla_ghe7 \
    tabla_ghe8";
const NOTES: &str = "bass_dnb_f bass_drop_c bass_hard_c bass_hit_c bass_thick_c bass_trance_c \
    bass_woodsy_c glitch_bass_g loop_drone_g_97 ambi_piano";
/// What hits are mixed over.
const HELD: &str = "bass_thick_c ambi_piano tabla_ghe2 tabla_ghe6 drum_tom_lo_hard";

/// Kits of `hydrogen-drumkits` that were looked at, and those that were not. Every second sound of
/// `lmms-common` and of `freepats` was not looked at either.
const KITS: [&str; 5] =
    ["Audiophob", "ElectricEmpireKit", "ForzeeStereo", "Millo-Drums_v.1", "VariBreaks"];
const UNTOUCHED_KITS: [&str; 6] = [
    "ColomboAcousticDrumkit",
    "HardElectro1",
    "Millo_MultiLayered2",
    "Millo_MultiLayered3",
    "The Black Pearl 1.0",
    "circAfrique v4",
];
/// Words in the names of low drums.
const DRUMS: [&str; 7] = ["kick", "bass", "bd", "tom", "conga", "djembe", "dununba"];
/// Sounds of `lmms-common` that are notes, by folder, and their names in `freepats`.
const PATCHES: [&str; 12] = [
    "000_Acoustic_Grand",
    "002_Electric_Grand",
    "019_Church",
    "024_Nylon",
    "025_Steel",
    "032_",
    "033_",
    "034_",
    "035_",
    "036_",
    "037_",
    "038_",
];
/// Notes of higher pitch have no place an octave down.
const HIGHEST_HZ: f64 = 125.0;
/// Of a hit, and of a note, so much of the energy must lie in the source band; shorter ones say nothing.
const LOW_HIT: f64 = 0.6;
const LOW_NOTE: f64 = 0.5;
const SHORTEST_HIT_S: f64 = 0.05;
const SHORTEST_NOTE_S: f64 = 0.2;

/// Hits and notes that are judged together.
pub(crate) struct Set {
    pub(crate) name: &'static str,
    pub(crate) hits: Vec<Recording>,
    pub(crate) notes: Vec<Recording>,
}

fn share(folder: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/recordings/usr/share").join(folder)
}

/// A file, mono.
fn read(path: &Path) -> Option<Recording> {
    let mut reader = open(path).ok()?;
    let (rate_hz, mut block, mut samples) = (reader.sample_rate_hz(), reader.block(), Vec::new());
    while reader.read(&mut block, BLOCK).ok()? > 0 {
        let channels = block.len() as f64;
        for i in 0..block[0].len() {
            samples.push(block.iter().map(|c| f64::from(c[i])).sum::<f64>() / channels);
        }
    }
    Some(Recording { name: path.file_stem()?.to_string_lossy().into(), rate_hz, samples })
}

/// A sound of the first set by its name.
pub(crate) fn load(name: &str) -> Option<Recording> {
    read(&share("sonic-pi/samples").join(format!("{name}.flac")))
}

fn load_all(names: &str) -> Option<Vec<Recording>> {
    names.split_whitespace().map(load).collect()
}

/// What hits are mixed over.
pub(crate) fn held() -> Option<Vec<Recording>> {
    load_all(HELD)
}

/// The sounds in a folder, by name.
fn folder(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.path()).collect();
    paths.sort();
    paths
}

fn is_drum(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
    DRUMS.iter().any(|word| name.contains(word)) && !name.contains("snare")
}

fn lasts(recording: &Recording, seconds: f64, low: f64) -> bool {
    let long_enough = recording.samples.len() as f64 >= seconds * recording.rate_hz;
    long_enough && low_share(recording) >= low
}

fn hits(paths: impl IntoIterator<Item = PathBuf>) -> Vec<Recording> {
    let drums = paths.into_iter().filter(|path| is_drum(path)).filter_map(|path| read(&path));
    drums.filter(|hit| lasts(hit, SHORTEST_HIT_S, LOW_HIT)).collect()
}

fn kits(names: &[&str]) -> Vec<Recording> {
    let kits = share("hydrogen/data/drumkits");
    hits(names.iter().flat_map(|name| folder(&kits.join(name))))
}

fn notes() -> Vec<Recording> {
    let own = ["basses", "instruments"].map(|name| folder(&share("lmms/samples").join(name)));
    let own = own.into_iter().flatten().filter_map(|path| read(&path));
    let patches = folder(&share("midi/freepats/Tone_000"));
    let named = |path: &&PathBuf| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        name.ends_with(".pat") && PATCHES.iter().any(|patch| name.starts_with(patch))
    };
    let patches = patches.iter().filter(named).flat_map(|path| patch::read(path, HIGHEST_HZ));
    own.chain(patches).filter(|note| lasts(note, SHORTEST_NOTE_S, LOW_NOTE)).collect()
}

/// Every second of them, from the first or from the second on.
fn every_second(all: &[Recording], from: usize) -> impl Iterator<Item = Recording> {
    all.iter().skip(from).step_by(2).cloned()
}

/// All three sets, if they were fetched.
pub(crate) fn sets() -> Option<[Set; 3]> {
    let (mut seen, mut untouched) = (kits(&KITS), kits(&UNTOUCHED_KITS));
    let (drums, notes) = (hits(folder(&share("lmms/samples/drums"))), notes());
    seen.extend(every_second(&drums, 0));
    untouched.extend(every_second(&drums, 1));
    if untouched.is_empty() || notes.is_empty() {
        return None;
    }
    Some([
        Set { name: "first set", hits: load_all(HITS)?, notes: load_all(NOTES)? },
        Set { name: "second set", hits: seen, notes: every_second(&notes, 0).collect() },
        Set { name: "untouched", hits: untouched, notes: every_second(&notes, 1).collect() },
    ])
}
