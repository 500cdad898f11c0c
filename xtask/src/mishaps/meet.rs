//! Two that meet: an input that is cut while it is read, an output that two runs write.

use std::fs;
use std::process::Stdio;
use std::thread;
use std::time::Duration;

use super::Row;
use super::scratch::{Scratch, chosen, said};

pub(super) fn rows(scratch: &Scratch, turns: usize) -> Result<Vec<Row>, String> {
    Ok(vec![cut(scratch, turns)?, two_writers(scratch, turns)?])
}

/// The input loses its second half while it is read.
fn cut(scratch: &Scratch, turns: usize) -> Result<Row, String> {
    let song = scratch.bytes("song.wav").ok_or("no song")?;
    let mut wrong = Vec::new();
    for turn in 0..turns {
        fs::write(scratch.path("cut.wav"), &song).map_err(|e| e.to_string())?;
        scratch.remove(&["a.wav"])?;
        let mut command = scratch.command("render cut.wav a.wav");
        let child = command.stderr(Stdio::piped()).spawn().map_err(|e| e.to_string())?;
        thread::sleep(Duration::from_millis(2 * turn as u64));
        let file = fs::OpenOptions::new().write(true).open(scratch.path("cut.wav"));
        file.and_then(|f| f.set_len(song.len() as u64 / 2)).map_err(|e| e.to_string())?;
        let ran = child.wait_with_output().map_err(|e| e.to_string())?;
        let whole = scratch.bytes("a.wav").is_some_and(|made| made.len() >= song.len());
        let told = said(&ran).lines().count() == 1;
        if !chosen(&ran) || !(whole || told) {
            wrong.push(format!("after {} ms: {}, said {:?}", 2 * turn, ran.status, said(&ran)));
        }
    }
    scratch.remove(&["a.wav", "cut.wav"])?;
    let must = "the whole file, or one sentence";
    Ok(Row::new("an input is cut while it is read", turns, must, wrong))
}

/// Two runs replace one output at the same time.
fn two_writers(scratch: &Scratch, turns: usize) -> Result<Row, String> {
    let lines = ["render song.wav a.wav --force", "signal pink --seconds 60 -o a.wav --force"];
    let mut wholes = Vec::new();
    for line in lines {
        scratch.does(line)?;
        wholes.push(scratch.bytes("a.wav"));
    }
    let mut wrong = Vec::new();
    for turn in 0..turns {
        let mut first = scratch.command(lines[turn % 2]).spawn().map_err(|e| e.to_string())?;
        thread::sleep(Duration::from_millis(turn as u64));
        scratch.does(lines[1 - turn % 2])?;
        let ended = first.wait().map_err(|e| e.to_string())?;
        if !ended.success() || !wholes.contains(&scratch.bytes("a.wav")) {
            wrong.push(format!("turn {turn}: {ended}"));
        }
    }
    scratch.remove(&["a.wav"])?;
    let must = "the whole output of one of them";
    Ok(Row::new("two runs write one output", turns, must, wrong))
}
