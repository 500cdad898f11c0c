//! Sound that does not end: hours through a pipe, and a file above four gibibytes.

use std::fs;
use std::io::{Read, Write};
use std::process::{Child, Stdio};
use std::thread;
use std::time::Duration;

use super::scratch::Scratch;
use super::{Effort, Row};

const RATE_HZ: u32 = 48_000;
/// Two channels of 32-bit float.
const FRAME_BYTES: u32 = 8;
const LIMIT_MIB: u64 = 64;
/// The program alone is larger: less was not looked at while it ran.
const LEAST_MIB: u64 = 3;
/// How often it is looked at.
const WATCHED_EVERY: Duration = Duration::from_millis(50);

pub(super) fn rows(scratch: &Scratch, effort: &Effort) -> Result<Vec<Row>, String> {
    let mut rows = vec![
        piped(scratch, "render - - --preset start-here", effort.pipe_s)?,
        piped(scratch, "measure - --json", effort.pipe_s)?,
    ];
    if effort.large {
        rows.push(large(scratch)?);
    }
    Ok(rows)
}

/// The head of a WAV file whose length is not known, as streams have it.
fn head() -> Vec<u8> {
    let mut head = Vec::from(*b"RIFF\xff\xff\xff\xffWAVEfmt \x10\0\0\0\x03\0\x02\0");
    head.extend(RATE_HZ.to_le_bytes());
    head.extend((RATE_HZ * FRAME_BYTES).to_le_bytes());
    head.extend(*b"\x08\0\x20\0data\xff\xff\xff\xff");
    head
}

/// A second of a square wave at 50 Hz, 20 dB below full scale.
fn second() -> Vec<u8> {
    let sample =
        |frame: u32| if (frame / (RATE_HZ / 100)).is_multiple_of(2) { 0.1_f32 } else { -0.1 };
    (0..RATE_HZ).flat_map(|frame| [sample(frame).to_le_bytes(); 2].concat()).collect()
}

/// Feeds a head and so many seconds of sound, from a thread of its own.
fn feed(child: &mut Child, seconds: u64) -> thread::JoinHandle<()> {
    let mut input = child.stdin.take().expect("standard input is piped");
    thread::spawn(move || {
        let second = second();
        let mut fed = input.write_all(&head());
        for _ in 0..seconds {
            fed = fed.and_then(|()| input.write_all(&second));
        }
        // A program that closes its input has its reason, and is asked for it by its end.
        let _ = fed;
    })
}

fn piped(scratch: &Scratch, line: &str, seconds: u64) -> Result<Row, String> {
    let mut command = scratch.command(line);
    command.stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut child = command.spawn().map_err(|e| format!("{line}: {e}"))?;
    let mut output = child.stdout.take().ok_or("no standard output")?;
    let feeding = feed(&mut child, seconds);
    let watching = watch(child.id());
    let (mut bytes, mut block) = (0, vec![0; 1 << 20]);
    loop {
        match output.read(&mut block).map_err(|e| e.to_string())? {
            0 => break,
            read => bytes += read as u64,
        }
    }
    let ended = child.wait().map_err(|e| e.to_string())?;
    feeding.join().map_err(|_| "the feeding thread fell over")?;
    let peak_kib = watching.join().map_err(|_| "the watching thread fell over")?;
    let mut wrong = Vec::new();
    let frames = seconds * u64::from(RATE_HZ);
    if line.starts_with("render") && bytes < frames * u64::from(FRAME_BYTES) {
        wrong.push(format!("{bytes} bytes for {frames} frames"));
    }
    if !ended.success() || !(LEAST_MIB * 1024..=LIMIT_MIB * 1024).contains(&peak_kib) {
        wrong.push(format!("{ended}, {peak_kib} KiB"));
    }
    let what = format!("{:.2} h through `{line}`", seconds as f64 / 3600.0);
    let what = format!("{what}: {:.1} MiB at most", peak_kib as f64 / 1024.0);
    Ok(Row::new(what, 1, "all of it, in at most 64 MiB", wrong))
}

/// The most that a process held, in KiB, asked again and again while it lives.
fn watch(process: u32) -> thread::JoinHandle<u64> {
    thread::spawn(move || {
        let mut most = 0;
        while let Some(kib) = most_kib(process) {
            most = most.max(kib);
            thread::sleep(WATCHED_EVERY);
        }
        most
    })
}

/// The largest resident size of a living process, proc(5).
fn most_kib(process: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// Writes more than RIFF can count, reads it back: RF64 by EBU Tech 3306.
fn large(scratch: &Scratch) -> Result<Row, String> {
    const SECONDS: u64 = 11_500;
    let mut child = scratch
        .command("render - large.wav --set bypass=on --force")
        .stdin(Stdio::piped())
        .spawn()
        .map_err(|e| e.to_string())?;
    let feeding = feed(&mut child, SECONDS);
    let ended = child.wait().map_err(|e| e.to_string())?;
    feeding.join().map_err(|_| "the feeding thread fell over")?;
    let bytes = fs::metadata(scratch.path("large.wav")).map_err(|e| e.to_string())?.len();
    let mut first = [0; 4];
    let file = fs::File::open(scratch.path("large.wav"));
    file.and_then(|mut f| f.read_exact(&mut first)).map_err(|e| e.to_string())?;
    let told = scratch.run("measure large.wav")?;
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    scratch.remove(&["large.wav"])?;
    let mut wrong = Vec::new();
    if !ended.success() || bytes <= u64::from(u32::MAX) || &first != b"RF64" {
        wrong.push(format!("{ended}, {bytes} bytes, begins {first:?}"));
    }
    if !told.contains(&format!("{SECONDS}.000")) {
        wrong.push(format!("its length is not told: {}", told.lines().next().unwrap_or("")));
    }
    Ok(Row::new("a WAV of more than 4 GiB", 1, "RF64, and read back in full length", wrong))
}
