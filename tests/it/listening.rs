//! Listening for the track: what is told while it plays, what is kept, and that the findings are those of
//! the program on the kept files.
//!
//! The radio here is a second-order high-pass by Bristow-Johnson's cookbook formulas and noise of a linear
//! congruential generator: nothing of it is shared with the code under test.

use crate::program::Bench;
use std::fs::File;
use std::path::PathBuf;
use underpin::planning::take_reading::Purpose;
use underpin::report::{json, text};
use underpin::signal::track::layout::{Content, Form};
use underpin::takes::{
    Advice, InputMeter, Listening, Outcome, Shelf, Watch, device_sheet, diagnosed, identified,
    next_take, open, read_files,
};

const RATE_HZ: f64 = 48_000.0;
/// Frames that arrive at once: no divisor of anything in the track.
const BLOCK: usize = 479;

/// Takes as `step-1.wav` and so on in a folder.
struct Folder(PathBuf, usize);

impl Shelf for Folder {
    fn place(&mut self) -> Result<(PathBuf, File), String> {
        self.1 += 1;
        let path = self.0.join(format!("step-{}.wav", self.1));
        File::create_new(&path).map(|file| (path, file)).map_err(|why| why.to_string())
    }
}

/// Whoever waits for nothing.
struct Nobody;

impl Watch for Nobody {
    fn begin(&mut self, _: Option<u64>) {}
    fn advance(&mut self, _: usize) -> bool {
        true
    }
    fn remark(&mut self, _: &str) {}
}

/// White noise, uniform, of a peak.
struct Noise(u64, f64);

impl Noise {
    fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        self.1 * ((self.0 >> 33) as f64 / (1u64 << 30) as f64 - 1.0)
    }
}

/// A Butterworth high-pass of second order (R. Bristow-Johnson, Audio EQ Cookbook), direct form 1.
fn high_pass(samples: &[f32], hz: f64) -> Vec<f64> {
    let w = std::f64::consts::TAU * hz / RATE_HZ;
    let alpha = w.sin() / 2f64.sqrt();
    let b = [(1.0 + w.cos()) / 2.0, -(1.0 + w.cos()), (1.0 + w.cos()) / 2.0];
    let a = [1.0 + alpha, -2.0 * w.cos(), 1.0 - alpha];
    let (mut x, mut y) = ([0.0; 2], [0.0; 2]);
    let step = |s: &f32| {
        let now = f64::from(*s);
        let out = (b[0] * now + b[1] * x[0] + b[2] * x[1] - a[1] * y[0] - a[2] * y[1]) / a[0];
        (x, y) = ([now, x[0]], [out, y[0]]);
        out
    };
    samples.iter().map(step).collect()
}

/// The left and right channel of a file.
fn samples(bench: &Bench, name: &str) -> [Vec<f32>; 2] {
    let mut reader = open(&bench.path().join(name)).expect("a file of sound");
    let mut block = reader.block();
    let mut all = [Vec::new(), Vec::new()];
    while reader.read(&mut block, 4096).expect("sound") > 0 {
        all.iter_mut().zip(&block).for_each(|(all, block)| all.extend_from_slice(block));
    }
    all
}

/// The short track as the program writes it.
fn track(bench: &Bench) -> [Vec<f32>; 2] {
    assert_eq!(bench.run("signal track -o track.wav").code, 0);
    samples(bench, "track.wav")
}

/// What the radio gives of the track at a gain, with silence before and after, both over a noise.
fn played(track: &[Vec<f32>; 2], gain: f64, noise: f64, still_s: f64) -> [Vec<f32>; 2] {
    let still = vec![0f32; (still_s * RATE_HZ) as usize];
    [0, 1].map(|side| {
        let mut noise = Noise(side as u64 + 7, noise);
        let whole = [&still[..], &track[side], &still].concat();
        high_pass(&whole, 60.0).into_iter().map(|x| (gain * x + noise.next()) as f32).collect()
    })
}

/// Feeds sound block by block; `each` sees the listening after each block and the seconds heard.
fn feed(
    listening: &mut Listening,
    folder: &mut Folder,
    sound: &[Vec<f32>; 2],
    mut each: impl FnMut(&Listening, f64),
) -> Vec<Outcome> {
    let mut outcomes = Vec::new();
    let frames = sound[0].len();
    for from in (0..frames).step_by(BLOCK) {
        let to = frames.min(from + BLOCK);
        let block = [&sound[0][from..to], &sound[1][from..to]];
        listening.push(&block, folder, |outcome| outcomes.push(outcome));
        each(listening, to as f64 / RATE_HZ);
    }
    outcomes
}

/// The lines of a report as JSON but that of the next command: it names the command line's own paths.
fn but_next(json: &str) -> Vec<&str> {
    json.lines().filter(|line| !line.starts_with("  \"next\":")).collect()
}

#[test]
fn live_findings_are_those_of_the_program_on_the_kept_takes_byte_for_byte() {
    let bench = Bench::new();
    let track = track(&bench);
    let mut listening = Listening::new(RATE_HZ, 2).expect("a rate");
    let mut folder = Folder(bench.path().into(), 0);
    let mut kept = Vec::new();
    for gain in [0.1, 0.3] {
        let sound = played(&track, gain, 1e-4, 6.0);
        for outcome in feed(&mut listening, &mut folder, &sound, |_, _| {}) {
            match outcome {
                Outcome::Kept(path) => kept.push(path),
                Outcome::Refused(why) => panic!("{why}"),
            }
        }
    }
    assert_eq!(kept.len(), 2);
    let read = read_files(&bench.path().join("track.wav"), &kept, Purpose::Radio, &mut Nobody);
    let (found, sheet) = diagnosed(&read.expect("takes")).expect("findings");
    let live = format!("{:#}\n", json(&sheet));
    let program = bench.run("diagnose --json track.wav step-1.wav step-2.wav");
    assert_eq!(program.code, 0, "{}", program.said);
    assert_eq!(but_next(&live), but_next(program.text()));
    assert!(but_next(&live).len() > 100, "the findings are all there");
    // Not only alike but right: the planted corner, within 2 %.
    let told = text(&sheet);
    assert!(told.contains("12 dB per octave"), "{told}");
    let corner = found.channels[0].roll_off.fall_hz[0].as_ref().expect("a corner").value;
    assert!((corner / 60.0 - 1.0).abs() < 0.02, "{corner} Hz");
}

#[test]
fn while_it_plays_form_section_time_and_channels_are_told() {
    let bench = Bench::new();
    let track = track(&bench);
    let sound = played(&track, 0.2, 1e-5, 5.0);
    let mut listening = Listening::new(RATE_HZ, 2).expect("a rate");
    let mut told = Vec::new();
    // Times of the short form, from the track's table in docs/captures.md: in the middle of each.
    let moments = [(5.0 + 12.0, -26.0), (5.0 + 24.0, -16.0), (5.0 + 36.0, -6.0)];
    let mut waiting = moments.iter().peekable();
    feed(&mut listening, &mut Folder(bench.path().into(), 0), &sound, |listening, now_s| {
        if waiting.peek().is_some_and(|(at, _)| now_s >= *at) {
            told.push((
                listening.playing().expect("it plays"),
                now_s,
                waiting.next().expect("one").1,
            ));
        }
        assert!(now_s > 6.0 || listening.playing().is_none(), "nothing before its marker");
    });
    assert_eq!(told.len(), 3);
    for (playing, now_s, peak) in told {
        assert_eq!(playing.hearing.label.form, Form::Short);
        let section = playing.section.expect("a section");
        assert_eq!(section.content, Content::Comb { peak_dbfs: peak });
        // 50.7 s in all; a marker is placed within a sample of 12 kHz.
        assert!((playing.left_s - (5.0 + 50.7 - now_s)).abs() < 1e-3, "{}", playing.left_s);
        assert_eq!(playing.hearing.channels, 0b11);
    }
    assert!(listening.playing().is_none(), "it is over");
}

#[test]
fn one_channel_alone_is_told() {
    let bench = Bench::new();
    let track = track(&bench);
    let mut sound = played(&track, 0.2, 1e-5, 1.0);
    let mut noise = Noise(3, 1e-5);
    sound[0].iter_mut().for_each(|x| *x = noise.next() as f32);
    let mut listening = Listening::new(RATE_HZ, 2).expect("a rate");
    let mut channels = 0;
    feed(&mut listening, &mut Folder(bench.path().into(), 0), &sound, |listening, _| {
        channels |= listening.playing().map_or(0, |playing| playing.hearing.channels);
    });
    assert_eq!(channels, 0b10, "the right input alone");
}

#[test]
fn a_take_that_is_cut_is_refused_with_one_reason_and_leaves_no_file() {
    let bench = Bench::new();
    let track = track(&bench);
    let half = track.clone().map(|channel| channel[..(20.0 * RATE_HZ) as usize].to_vec());
    let mut listening = Listening::new(RATE_HZ, 2).expect("a rate");
    let mut folder = Folder(bench.path().into(), 0);
    let first = feed(&mut listening, &mut folder, &played(&half, 0.2, 1e-5, 1.0), |_, _| {});
    assert_eq!(first, [], "it may go on yet");
    // 50.7 s and the time for a late marker later there is no hope left.
    let mut still = [Noise(1, 1e-5), Noise(2, 1e-5)];
    let still = [0, 1].map(|side: usize| {
        (0..(45.0 * RATE_HZ) as usize).map(|_| still[side].next() as f32).collect::<Vec<_>>()
    });
    let outcomes = feed(&mut listening, &mut folder, &still, |_, _| {});
    let [Outcome::Refused(why)] = &outcomes[..] else { panic!("{outcomes:?}") };
    assert!(why.contains("end marker") && why.ends_with('.'), "{why}");
    assert!(!bench.path().join("step-1.wav").exists(), "a take that is none leaves nothing");
    // The next one is whole, and good.
    let outcomes = feed(&mut listening, &mut folder, &played(&track, 0.2, 1e-5, 6.0), |_, _| {});
    assert!(matches!(&outcomes[..], [Outcome::Kept(_)]), "{outcomes:?}");
}

#[test]
fn sound_that_was_lost_refuses_the_take_at_once() {
    let bench = Bench::new();
    let track = track(&bench);
    let half = track.clone().map(|channel| channel[..(20.0 * RATE_HZ) as usize].to_vec());
    let mut listening = Listening::new(RATE_HZ, 2).expect("a rate");
    feed(
        &mut listening,
        &mut Folder(bench.path().into(), 0),
        &played(&half, 0.2, 1e-5, 1.0),
        |_, _| {},
    );
    let mut outcomes = Vec::new();
    listening.lost(|outcome| outcomes.push(outcome));
    assert!(
        matches!(&outcomes[..], [Outcome::Refused(why)] if why.contains("lost")),
        "{outcomes:?}"
    );
    assert!(listening.playing().is_none());
    assert!(!bench.path().join("step-1.wav").exists());
}

#[test]
fn the_input_is_told_too_low_and_clipped() {
    let bench = Bench::new();
    let track = track(&bench);
    for (gain, noise, wanted) in [(0.002, 1e-4, "too low"), (4.0, 1e-5, "clipped"), (0.2, 1e-5, "")]
    {
        let mut sound = played(&track, gain, noise, 1.0);
        sound.iter_mut().flatten().for_each(|x| *x = x.clamp(-1.0, 1.0));
        let mut listening = Listening::new(RATE_HZ, 2).expect("a rate");
        let mut advice = Vec::new();
        let folder = Folder(bench.path().join("none"), 0);
        feed(&mut listening, &mut { folder }, &sound, |listening, now_s| {
            if (31.0..42.0).contains(&now_s) {
                advice.push(listening.advice());
            }
        });
        assert!(!advice.is_empty());
        for advice in advice {
            let words = advice.to_string();
            assert!(
                if wanted.is_empty() { advice == Advice::Good } else { words.contains(wanted) },
                "{gain}: {words}"
            );
        }
    }
}

#[test]
fn the_level_of_an_input_is_that_of_the_formula() {
    // A sine of peak 0.5 on one channel of two: mean square 0.25/2 on it, half of that over both;
    // AES17 adds 3.01 dB.
    let mut meter = InputMeter::new(RATE_HZ, 2);
    let silence = vec![0f32; 48_000];
    let tone: Vec<f32> = (0..96_000)
        .map(|n| (0.5 * (std::f64::consts::TAU * 100.0 * f64::from(n) / RATE_HZ).sin()) as f32)
        .collect();
    meter.push(&[&silence, &silence]);
    meter.push(&[&tone, &vec![0.0; 96_000]]);
    let level = meter.reading();
    let wanted = 10.0 * (2.0 * 0.25 / 2.0 / 2.0f64).log10();
    assert!((level.rms_dbfs - wanted).abs() < 0.001, "{} is not {wanted}", level.rms_dbfs);
    assert!((level.peak_dbfs + 6.0206).abs() < 0.001);
    assert_eq!(level.full_scale, 0);
    meter.push(&[&[1.0f32; 4800], &[0.0; 4800]]);
    assert_eq!(meter.reading().full_scale, 4800);
}

#[test]
fn what_comes_next_is_said_from_the_first_take_to_the_last() {
    assert!(next_take(None).starts_with("Play the track"));
    let bench = Bench::new();
    let track = track(&bench);
    let mut listening = Listening::new(RATE_HZ, 2).expect("a rate");
    let mut folder = Folder(bench.path().into(), 0);
    let mut said = Vec::new();
    for gain in [0.05, 0.1, 0.2, 0.4] {
        feed(&mut listening, &mut folder, &played(&track, gain, 1e-6, 6.0), |_, _| {});
        let kept: Vec<PathBuf> =
            (1..=folder.1).map(|n| bench.path().join(format!("step-{n}.wav"))).collect();
        let read = read_files(&bench.path().join("track.wav"), &kept, Purpose::Radio, &mut Nobody);
        said.push(next_take(Some(&diagnosed(&read.expect("takes")).expect("findings").0)));
    }
    assert_eq!(said[0], "Two steps louder than step-1, the same again.");
    // A high-pass that moves with nothing is a fixed one, and that is known after four steps.
    assert_eq!(said[3], "Enough: the cause is known.");
}

#[test]
fn a_device_is_identified_live_as_by_the_program_byte_for_byte_and_rightly() {
    let bench = Bench::new();
    assert_eq!(bench.run("signal track --form long -o long.wav").code, 0);
    let long = samples(&bench, "long.wav");
    let mut listening = Listening::new(RATE_HZ, 2).expect("a rate");
    let mut folder = Folder(bench.path().into(), 0);
    let still = [vec![0f32; 48_000 * 6], vec![0f32; 48_000 * 6]];
    feed(&mut listening, &mut folder, &still, |_, _| {});
    // Half of it, turned over, through the high-pass of 60 Hz above.
    let outcomes = feed(&mut listening, &mut folder, &played(&long, -0.5, 1e-5, 6.0), |_, _| {});
    let [Outcome::Kept(path)] = &outcomes[..] else { panic!("{outcomes:?}") };
    let track = bench.path().join("long.wav");
    let read = read_files(&track, &[path], Purpose::Device, &mut Nobody).expect("takes");
    let all = identified(&read).expect("a device");
    let live = format!("{:#}\n", json(&device_sheet(&read, &all, None)));
    let program = bench.run("identify --json long.wav step-1.wav");
    assert_eq!(program.code, 0, "{}", program.said);
    assert_eq!(but_next(&live), but_next(program.text()));
    let found = &all[0].1;
    // 20·log10(0.5); the corner within 2 %.
    assert!((found.gain_db + 6.02).abs() < 0.1, "{} dB", found.gain_db);
    assert_eq!(found.inverts, Some(true));
    let (order, hz) = found.high_pass.expect("a high-pass");
    assert!(order == 2 && (hz / 60.0 - 1.0).abs() < 0.02, "order {order} at {hz} Hz");
    assert_eq!(found.octave_db, None);
}
