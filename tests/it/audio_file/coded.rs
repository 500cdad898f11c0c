//! Coded files: FLAC exactly, MP3, AAC and Ogg Vorbis within their coding, damage said.

use super::*;

fn fixture(name: &str) -> Reader {
    open(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name)).unwrap()
}

#[test]
fn flac_reads_exactly() {
    let reader = fixture("triangle.flac");
    assert_eq!(
        (reader.sample_rate_hz(), reader.channels(), reader.frames()),
        (48_000.0, 2, Some(9600))
    );
    let (all, notes) = read_all(reader);
    assert!(notes.is_empty(), "{notes:?}");
    // The formula of tests/data/README.md.
    let left = (0..9600)
        .map(|n| n % 400)
        .map(|p| if p < 200 { 200 * p - 20_000 } else { 60_000 - 200 * p });
    let left: Vec<f32> = left.map(|n| n as f32 / 32_768.0).collect();
    let right: Vec<f32> = left.iter().map(|x| -x / 2.0).collect();
    assert_eq!(all, [left, right]);
}

/// Peak of the part of `samples` at `hz`, by correlation with sine and cosine.
fn peak_at(samples: &[f32], hz: f64, rate: f64) -> f64 {
    let (mut s, mut c) = (0.0, 0.0);
    for (n, x) in samples.iter().enumerate() {
        let (sin, cos) = (std::f64::consts::TAU * hz * n as f64 / rate).sin_cos();
        s += f64::from(*x) * sin;
        c += f64::from(*x) * cos;
    }
    2.0 * s.hypot(c) / samples.len() as f64
}

#[track_caller]
fn check_tone(name: &str, gapless: bool, peaks: [f64; 2]) {
    let reader = fixture(name);
    assert_eq!((reader.sample_rate_hz(), reader.channels()), (44_100.0, 2));
    let (all, notes) = read_all(reader);
    assert!(notes.is_empty(), "{name}: {notes:?}");
    let length = all[0].len();
    // AAC keeps the coder's own delay and padding: at most three blocks of 1024.
    let extra = if gapless { 0 } else { 3 * 1024 };
    assert!((22_050..=22_050 + extra).contains(&length), "{name}: {length} frames");
    for (channel, expected) in all.iter().zip(peaks) {
        // 150 whole periods from the middle, where the coder has settled.
        let peak = peak_at(&channel[4000..19_000], 441.0, 44_100.0);
        // 0.1 %: the decoders begin up to two blocks apart, and the coder's error moves with time.
        assert!((peak / expected - 1.0).abs() < 1e-3, "{name}: peak {peak}, not {expected}");
    }
}

#[test]
fn mp3_aac_and_ogg_keep_level_and_channels() {
    // What ffmpeg 5.1.9 decodes from the same files, in the same window. The coders
    // themselves move the tone: LAME scales by 0.95, the others miss by up to 2 %.
    check_tone("tone.mp3", true, [0.47501, 0.23751]);
    check_tone("tone.ogg", true, [0.50259, 0.25143]);
    check_tone("tone.m4a", false, [0.49725, 0.25421]);
}

#[test]
fn a_coded_file_that_was_cut_off_gives_what_is_there() {
    let folder = TempDir::new().unwrap();
    for name in ["triangle.flac", "tone.mp3"] {
        let path = folder.path().join(name);
        let whole =
            std::fs::read(format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
        std::fs::write(&path, &whole[..whole.len() * 3 / 4]).unwrap();
        let (all, _) = read_all(open(&path).unwrap());
        let (cut, full) = (all[0].len(), read_all(fixture(name)).0[0].len());
        assert!(cut > full / 3 && cut < full, "{name}: {cut} of {full}");
    }
}

/// Reads a fixture with twelve bytes after its second third turned over.
fn damaged(name: &str) -> (Vec<Vec<f32>>, String) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join(name);
    let mut bytes =
        std::fs::read(format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let at = bytes.len() * 2 / 3;
    bytes[at..at + 12].iter_mut().for_each(|byte| *byte ^= 0xA5);
    std::fs::write(&path, bytes).unwrap();
    let (all, notes) = read_all(open(&path).unwrap());
    (all, notes.join("; "))
}

#[test]
fn damage_is_said_and_a_lost_packet_keeps_its_place() {
    let (all, notes) = damaged("tone.m4a");
    assert_eq!(all[0].len(), read_all(fixture("tone.m4a")).0[0].len());
    assert!(notes.contains("damaged packets that became silence: 1"), "{notes}");
    // A FLAC frame that fails its checksum is gone: the file is shorter than it says.
    let (all, notes) = damaged("triangle.flac");
    assert!(all[0].len() < 9600);
    assert!(notes.contains("of 0.20 s could be read"), "{notes}");
}

#[test]
fn a_hash_is_that_of_the_whole_file() {
    // What `sha256sum` (GNU coreutils 9.1) gives for the file.
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("copy.flac");
    std::fs::copy(format!("{}/tests/data/triangle.flac", env!("CARGO_MANIFEST_DIR")), &path)
        .unwrap();
    let mut reader = open(&path).unwrap();
    let mut block = reader.block();
    reader.read(&mut block, 10).unwrap();
    assert_eq!(
        reader.sha256().unwrap(),
        "10e0b14d6519d029b49078c9d906cb31b7b3b5d4cf39c8cbff8c22be030c2ab3"
    );
}

#[test]
fn a_packet_that_claims_to_last_for_hours_ends_the_file() {
    // Found by fuzzing: 2 kB that asked for gigabytes of silence.
    let (channels, notes) = super::read_all(fixture("long-packet.m4a"));
    assert!(channels[0].len() < 48_000, "{} frames", channels[0].len());
    assert!(notes.iter().any(|note| note.contains("longer than any can be")), "{notes:?}");
}
