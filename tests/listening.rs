//! Listening for an hour costs little memory: in a test program of its own, as it asks the system how much
//! this process ever held.

use std::fs::{self, File};
use std::path::PathBuf;
use underpin::signal::track::Track;
use underpin::signal::track::layout::Form;
use underpin::takes::{Listening, Outcome, Shelf};

const RATE_HZ: usize = 48_000;

/// Most that an hour may add, in MiB.
const MOST_MIB: f64 = 64.0;

struct Folder(PathBuf);

impl Shelf for Folder {
    fn place(&mut self) -> Result<(PathBuf, File), String> {
        let path = self.0.join("take.wav");
        File::create(&path).map(|file| (path, file)).map_err(|why| why.to_string())
    }
}

/// A figure of this process by its name in `/proc/self/status`, in MiB.
#[cfg(target_os = "linux")]
fn held_mib(name: &str) -> f64 {
    let status = fs::read_to_string("/proc/self/status").expect("Linux");
    let line = status.lines().find(|line| line.starts_with(name)).expect("a figure");
    line.split_whitespace().nth(1).and_then(|kib| kib.parse::<f64>().ok()).expect("kB") / 1024.0
}

#[test]
#[cfg(target_os = "linux")]
fn an_hour_of_listening_with_a_long_take_and_a_broken_one_stays_below_64_mib() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut folder = Folder(folder.path().into());
    fs::create_dir_all(&folder.0).expect("a folder");
    // The generator's own memory is held before the count begins.
    let track = Track::new(Form::Long, 0, RATE_HZ as f64);
    let length = track.samples();
    let mut block = [vec![0f32; RATE_HZ], vec![0f32; RATE_HZ]];
    let before = held_mib("VmRSS");
    let mut listening = Listening::new(RATE_HZ as f64, 2).expect("a rate");
    let (mut kept, mut refused, mut state) = (0, 0, 1u64);
    for second in 0..3600usize {
        let [left, right] = &mut block;
        for (n, (left, right)) in left.iter_mut().zip(right).enumerate() {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let noise = ((state >> 33) as f64 / (1u64 << 30) as f64 - 1.0) * 1e-3;
            // A whole take from the minute 5 on, and the first 30 s of one from minute 30 on.
            let at = (second * RATE_HZ + n).checked_sub(300 * RATE_HZ);
            let whole = at.filter(|at| *at < length);
            let cut = (second * RATE_HZ + n).checked_sub(1800 * RATE_HZ);
            let cut = cut.filter(|at| *at < 30 * RATE_HZ);
            let played = whole.or(cut).map_or([0.0; 2], |at| track.frame(at));
            *left = (0.3 * played[0] + noise) as f32;
            *right = (0.3 * played[1] - noise) as f32;
        }
        listening.push(&[&block[0], &block[1]], &mut folder, |outcome| match outcome {
            Outcome::Kept(_) => kept += 1,
            Outcome::Refused(_) => refused += 1,
        });
    }
    assert_eq!((kept, refused), (1, 1));
    let more = held_mib("VmHWM") - before;
    println!("an hour of listening held {more:.1} MiB more");
    assert!(more < MOST_MIB, "{more:.1} MiB more");
}
