//! Real codecs between recorder and analysis: a test program of its own, because it needs ffmpeg
//! and fails without it. `cargo xtask hosts` and `cargo xtask captures` fetch what it needs and
//! run it. A codec by formula stands in `verdict/damage.rs`.

// It shares the simulated world with `captures` and uses a part of it.
#![allow(dead_code)]

mod filters;
mod random;
mod reading;
mod room;
mod table;

use std::fs;
use std::io::Write as _;
use std::process::{Command, Stdio};

use underpin::planning::take_reading::Purpose;
use underpin::signal::track::layout::Form;

use crate::filters::Cascade;
use crate::reading::{Count, count, first, through};
use crate::room::{Recorder, played};
use crate::table::{Table, long};

const RATE: f64 = 48_000.0;

/// There and back through ffmpeg.
#[track_caller]
fn coded(channels: &[Vec<f32>], options: &[&str], ending: &str) -> Vec<Vec<f32>> {
    through_ffmpeg(channels, options, ending)
        .unwrap_or_else(|| panic!("ffmpeg or its encoder is missing: {options:?}"))
}

fn through_ffmpeg(channels: &[Vec<f32>], options: &[&str], ending: &str) -> Option<Vec<Vec<f32>>> {
    let folder = tempfile::tempdir().ok()?;
    let (raw, file) = (folder.path().join("in.f32"), folder.path().join(format!("take.{ending}")));
    let mut bytes = Vec::new();
    for n in 0..channels[0].len() {
        channels.iter().for_each(|c| bytes.extend(c[n].to_le_bytes()));
    }
    fs::File::create(&raw).ok()?.write_all(&bytes).ok()?;
    let run = |args: &[&str]| {
        let out = Command::new("ffmpeg")
            .args(["-v", "error", "-y"])
            .args(args)
            .stdin(Stdio::null())
            .output();
        out.ok().filter(|o| o.status.success()).map(|o| o.stdout)
    };
    let (raw, file) = (raw.to_str()?, file.to_str()?);
    let input = ["-f", "f32le", "-ar", "48000", "-ac", "2", "-i", raw];
    run(&[&input[..], options, &[file]].concat())?;
    let decoded = run(&["-i", file, "-f", "f32le", "-ar", "48000", "-ac", "2", "-"])?;
    let samples: Vec<f32> =
        decoded.chunks_exact(4).map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]])).collect();
    Some((0..2).map(|c| samples.iter().skip(c).step_by(2).copied().collect()).collect())
}

#[test]
fn codecs_leave_the_shown_bands_right() {
    let mut codecs: Vec<(&str, &[&str], &str)> =
        vec![("MP3 128k", &["-c:a", "libmp3lame", "-b:a", "128k"], "mp3")];
    if long() {
        codecs.extend([
            ("MP3 96k", &["-c:a", "libmp3lame", "-b:a", "96k"][..], "mp3"),
            ("AAC 96k", &["-c:a", "aac", "-b:a", "96k"][..], "m4a"),
            ("Opus 64k", &["-c:a", "libopus", "-b:a", "64k"][..], "opus"),
            ("Vorbis 64k", &["-c:a", "libvorbis", "-b:a", "64k"][..], "ogg"),
            ("SBC 192k", &["-c:a", "sbc", "-b:a", "192k"][..], "sbc"),
        ]);
    }
    let mut table = Table::new(
        "codecs",
        &[
            "codec",
            "clock error ppm",
            "known as a codec",
            "bands shown",
            "not shown",
            "outside max(0.3 dB, 3 sd)",
        ],
    );
    let filter = Cascade::high_pass(4, 80.0, RATE);
    let sound = through(played(Form::Short, RATE), &filter);
    let recorder = Recorder { rate: RATE, ppm: 120.0, ..Recorder::default() };
    let capture = recorder.record(&sound);
    let mut total = Count::default();
    for (name, options, ending) in codecs {
        let decoded = coded(&capture, options, ending);
        let reading = first(&decoded, RATE, Purpose::Radio);
        let mut one = Count::default();
        count(&reading, &filter, RATE, &mut one);
        let known = reading.channels[0].levels.iter().all(|l| l.floor_db > 0.0);
        let clock = reading.clock_ppm - recorder.ppm;
        table.row(&[
            name.into(),
            format!("{clock:+.3}"),
            if known { "yes" } else { "no" }.into(),
            one.shown.to_string(),
            one.hidden.to_string(),
            one.outside.to_string(),
        ]);
        assert!(clock.abs() < 2.0, "{name}: clock off by {clock} ppm");
        total.shown += one.shown;
        total.outside += one.outside;
    }
    assert!(total.shown > 20, "nothing was shown");
    // One in a hundred; codecs add errors that no scatter shows.
    assert!(total.outside * 100 <= total.shown.max(100), "{} of {}", total.outside, total.shown);
}
