//! What each target does with its bytes. A crash is a panic, an overflow, a broken promise, or
//! memory without bound; every target is one function, so that tests run it on the kept inputs.

mod draws;

use std::path::PathBuf;

use underpin::cli::audio_file::open;
use underpin::path::Path;
use underpin::planning::capture::Capture;
use underpin::presets::Preset;
use underpin::report::Plan;
use underpin::settings::{ALL, Settings};

use draws::Draws;

/// A file with these bytes, read to its end as a person's sound would be.
pub fn sound(bytes: &[u8]) {
    let file = scratch();
    std::fs::write(&file, bytes).expect("memory to write to");
    let Ok(mut reader) = open(&file) else { return };
    let mut block = reader.block();
    // A header may promise hours: a bounded part is as good.
    for _ in 0..64 {
        match reader.read(&mut block, 4096) {
            Ok(0) | Err(_) => break,
            Ok(_) => (),
        }
    }
    reader.notes();
}

/// A file in memory where the system has such a folder; one a process.
fn scratch() -> PathBuf {
    let memory = PathBuf::from("/dev/shm");
    let folder = if memory.is_dir() { memory } else { std::env::temp_dir() };
    folder.join(format!("underpin-fuzz-{}", std::process::id()))
}

/// Any text as a preset; what is read is written and read alike.
pub fn preset(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let Ok(preset) = Preset::parse(text) else { return };
    assert_eq!(Preset::parse(&preset.to_toml()).as_ref(), Ok(&preset));
    assert!(!preset.slug().contains(['/', '\\']), "{:?}", preset.slug());
}

/// Any text as a plan, and what is made of one.
pub fn plan(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let Ok(plan) = Plan::parse(text) else { return };
    let _ = plan.preset();
    plan.table();
    assert!(Plan::parse(&plan.to_toml()).is_ok());
}

/// Any text as the value of each setting: in its range, and shown as it is read.
pub fn setting(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    for setting in ALL {
        let Ok(plain) = setting.parse(text) else { continue };
        assert_eq!(setting.clamp(plain), plain, "{}", setting.key);
        assert!(setting.parse(&setting.show(plain)).is_ok(), "{}", setting.key);
    }
    if let Some((key, value)) = text.split_once('=') {
        let _ = Settings::default().with(key, value);
    }
}

/// Any text as arguments, one a line.
pub fn arguments(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let words = ["underpin"].into_iter().chain(text.lines());
    let _ = underpin::cli::arguments().try_get_matches_from(words);
}

/// Any samples as a capture, in blocks of any size.
pub fn capture(bytes: &[u8]) {
    let mut draws = Draws::new(bytes);
    let rate_hz = [8_000, 44_100, 48_000, 96_000][draws.below(4)];
    let Ok(mut capture) = Capture::new(rate_hz, 1) else { return };
    let mut samples = Vec::new();
    while let Some(sample) = draws.sample() {
        samples.push(sample);
    }
    let size = 1 + samples.len() / 3;
    samples.chunks(size).for_each(|block| capture.push(&[block], |found| drop(found)));
    capture.finish(|found| drop(found));
}

/// Any settings, changed at any time, on any samples in any blocks: what comes out is finite, and
/// under the ceiling when that is on all the time.
pub fn line(bytes: &[u8]) {
    let mut draws = Draws::new(bytes);
    let rate_hz = [8_000.0, 44_100.0, 48_000.0, 96_000.0, 192_000.0][draws.below(5)];
    let mut path = Path::new(rate_hz, 2);
    while !draws.is_empty() {
        if draws.below(4) == 0 {
            path.set(&draws.settings());
        }
        if draws.below(64) == 0 {
            path.reset();
        }
        let frames = 1 + draws.below(300);
        let (mut left, mut right) = (draws.tone(frames), draws.tone(frames));
        path.process(&mut [&mut left, &mut right], &mut ());
        let finite = left.iter().chain(&right).all(|sample| sample.is_finite());
        assert!(finite, "what comes out is a number");
    }
}
