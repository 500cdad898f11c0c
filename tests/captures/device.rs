//! Devices with planted settings, identified through the whole chain.

use underpin::planning::clip_light::ClipLight;
use underpin::planning::identify::{Device, identify, identify_without};
use underpin::planning::take_reading::Purpose;
use underpin::report::{self, Sheet};
use underpin::signal::track::comb::lines;
use underpin::signal::track::layout::{Content, Form, LADDER_HZ};

use crate::filters::Cascade;
use crate::random::Random;
use crate::reading::first;
use crate::room::{Recorder, Stereo, played};
use crate::table::{Table, long};

const RATE: f64 = 12_000.0;

/// A device of the simulation. Its octave part is ideal: each line and each rung of the ladder
/// from 40 to 150 Hz is halved exactly.
struct Planted {
    octave_db: f64,
    centre_hz: f64,
    width_oct: f64,
    gain_db: f64,
    order: usize,
    high_pass_hz: f64,
    clip: f64,
    inverts: bool,
}

fn draw(random: &mut Random) -> Planted {
    let gain_db = random.between(2.0, 12.0) * if random.unit() < 0.3 { -1.0 } else { 1.0 };
    let order = [0, 2, 4][random.next() as usize % 3];
    let clip = if gain_db > 6.0 { random.between(0.6, 0.9) } else { random.between(0.35, 0.8) };
    Planted {
        octave_db: random.between(-18.0, 3.0),
        centre_hz: random.hz(25.0, 125.0),
        width_oct: random.between(0.4, 2.5),
        gain_db,
        order,
        high_pass_hz: random.hz(15.0, 30.0),
        clip,
        inverts: random.unit() < 0.5,
    }
}

/// The halves of everything the track plays in 40 to 150 Hz, at the level of their sources.
fn halves(channel: usize) -> Vec<f64> {
    let mut out = vec![0.0; (Form::Long.seconds() * RATE) as usize];
    let mut add = |from_s: f64, seconds: f64, hz: f64, peak: f64, turns: f64| {
        let from = (from_s * RATE).round() as usize;
        for n in 0..(seconds * RATE) as usize {
            let t = n as f64 / RATE;
            let edge = (t.min(seconds - t) / 0.05).min(1.0);
            let phase = std::f64::consts::TAU * (hz / 2.0 * t + turns / 2.0);
            out[from + n] += peak * (0.5 - 0.5 * (std::f64::consts::PI * edge).cos()) * phase.sin();
        }
    };
    for section in Form::Long.sections() {
        match section.content {
            Content::Comb { peak_dbfs } => {
                let peak = 10f64.powf(peak_dbfs / 20.0);
                for l in
                    lines().iter().filter(|l| l.is_in(channel) && (40.0..150.0).contains(&l.hz))
                {
                    add(section.start_s, section.seconds, l.hz, peak * l.amplitude, l.phase_turns);
                }
            }
            Content::Tone { hz, peak_dbfs } if (40.0..150.0).contains(&hz) => {
                add(section.start_s, section.seconds, hz, 10f64.powf(peak_dbfs / 20.0), 0.0);
            }
            _ => {}
        }
    }
    out
}

fn through(planted: &Planted, sound: &Stereo, halves: &[f64]) -> Vec<f64> {
    let level = 10f64.powf(planted.octave_db / 20.0);
    let mut out: Vec<f64> = sound[0].iter().zip(halves).map(|(x, h)| x + level * h).collect();
    let mut filter = Cascade::bell(planted.gain_db, planted.width_oct, planted.centre_hz, RATE);
    if planted.order > 0 {
        filter = filter.then(Cascade::high_pass(planted.order, planted.high_pass_hz, RATE));
    }
    filter.run(&mut out);
    let sign = if planted.inverts { -1.0 } else { 1.0 };
    out.iter().map(|x| sign * x.clamp(-planted.clip, planted.clip)).collect()
}

struct Errors {
    centre: f64,
    width: f64,
    gain: f64,
    octave: f64,
    clip: f64,
    order_right: bool,
    polarity_wrong: bool,
}

fn errors(found: &Device, planted: &Planted) -> Errors {
    let (centre, width, gain) = found.low_band.unwrap_or((1.0, 1.0, 0.0));
    Errors {
        centre: (centre / planted.centre_hz).log2().abs(),
        width: (width / planted.width_oct).log2().abs(),
        gain: (gain - planted.gain_db).abs(),
        octave: (found.octave_db.unwrap_or(-99.0) - planted.octave_db).abs(),
        clip: (found.clip_dbfs.unwrap_or(0.0) - 20.0 * planted.clip.log10()).abs(),
        order_right: found.high_pass.map_or(0, |h| usize::from(h.0)) == planted.order,
        polarity_wrong: found.inverts.is_some_and(|i| i != planted.inverts),
    }
}

fn p90(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    // Of three draws the worst, of forty all but four.
    values[(values.len() * 9).div_ceil(10) - 1]
}

#[test]
fn devices_are_identified() {
    let count = if long() { 40 } else { 3 };
    let sound = played(Form::Long, RATE);
    let halves = halves(0);
    let mut random = Random::new(11);
    let (mut all, mut laws) = (Vec::new(), Vec::new());
    for seed in 0..count {
        let planted = draw(&mut random);
        let heard = through(&planted, &sound, &halves);
        let recorder = Recorder {
            rate: RATE,
            noise_dbfs: random.between(-95.0, -75.0),
            clips: false,
            seed,
            ..Recorder::default()
        };
        let reading = first(&recorder.record(&[heard.clone(), heard])[..1], RATE, Purpose::Device);
        let found = identify(&reading).expect("a device");
        // The rungs that are halved from 40 to 150 Hz, each in proportion to its tone.
        assert_eq!(found.source_hz, Some((40.0, 128.0)));
        laws.extend(found.level_law);
        let (centre, told) = (found.settings.low_band_centre_hz, found.low_band.expect("a band").0);
        assert!((f64::from(centre) - told).abs() <= 0.051, "{centre} for {told}: not a tenth");
        all.push(errors(&found, &planted));
    }
    // A device that clips early leaves one clean level of the ladder and no law.
    assert!(!laws.is_empty(), "no device told its law");
    assert!(laws.iter().all(|law| (law - 1.0).abs() < 0.05), "{laws:?} dB per dB");
    let mut table = Table::new("devices", &["quantity", "90 % of the errors below", "goal"]);
    let mut check = |name: &str, value: fn(&Errors) -> f64, goal: f64| {
        let got = p90(all.iter().map(value));
        table.row(&[name.into(), format!("{got:.3}"), goal.to_string()]);
        assert!(got <= goal, "{name}: {got}");
    };
    check("centre, octaves", |e| e.centre, 0.05);
    check("width, octaves of its value", |e| e.width, 0.1);
    check("gain, dB", |e| e.gain, 0.2);
    check("octave level, dB", |e| e.octave, 0.2);
    check("clip point, dB", |e| e.clip, 0.3);
    assert!(all.iter().filter(|e| !e.order_right).count() * 10 <= all.len());
    assert!(all.iter().all(|e| !e.polarity_wrong));
}

#[test]
fn a_cut_is_told_as_a_cut() {
    let planted = Planted {
        octave_db: -300.0,
        centre_hz: 50.0,
        width_oct: 1.0,
        gain_db: -6.0,
        order: 0,
        high_pass_hz: 20.0,
        clip: 10.0,
        inverts: false,
    };
    let sound = played(Form::Long, RATE);
    let heard = through(&planted, &sound, &vec![0.0; sound[0].len()]);
    let recorder = Recorder { rate: RATE, clips: false, ..Recorder::default() };
    let take = first(&recorder.record(&[heard.clone(), heard])[..1], RATE, Purpose::Device);
    let found = identify(&take).expect("a device");
    let (centre_hz, _, gain_db) = found.low_band.expect("a band");
    assert!((gain_db + 6.0).abs() < 0.2 && (centre_hz - 50.0).abs() < 2.0, "{gain_db} {centre_hz}");
}

#[test]
fn the_ladder_doubles_so_that_each_half_is_known() {
    // The direct gain at 20, 25.5, 32, 40, 51, 64 and 80 Hz serves the halves of the rungs above.
    for hz in [40.0, 51.0, 64.0, 80.0, 102.0, 128.0, 160.0] {
        assert!(LADDER_HZ.contains(&(hz / 2.0)), "{hz}");
    }
}

/// Peak of a sine over a hard limit of 1 at which all its harmonics make 1 %, in dB: by
/// quadrature of the clipped sine's Fourier integral (THD_F from the total power, Parseval).
fn one_percent_over_db() -> f64 {
    const POINTS: usize = 20_000;
    let thd = |over_db: f64| {
        let peak = 10f64.powf(over_db / 20.0);
        let turn = |n: usize| std::f64::consts::TAU * n as f64 / POINTS as f64;
        let clipped = |n: usize| (peak * turn(n).sin()).clamp(-1.0, 1.0);
        let power = (0..POINTS).map(|n| clipped(n).powi(2)).sum::<f64>() / POINTS as f64;
        let first =
            (0..POINTS).map(|n| clipped(n) * turn(n).sin()).sum::<f64>() * 2.0 / POINTS as f64;
        (power / (first * first / 2.0) - 1.0).max(0.0).sqrt()
    };
    let (mut low, mut high) = (0.0, 3.0);
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if thd(middle) < 0.01 { low = middle } else { high = middle }
    }
    low
}

#[test]
fn a_clip_light_is_held_against_one_percent() {
    let sound = played(Form::Long, RATE);
    let clip_dbfs = -5.6;
    let clip = 10f64.powf(clip_dbfs / 20.0);
    let heard = sound.clone().map(|c| c.iter().map(|x| x.clamp(-clip, clip)).collect::<Vec<_>>());
    let recorder = Recorder { rate: RATE, clips: false, lead_s: 3.0, ..Recorder::default() };
    let take = first(&recorder.record(&heard)[..1], RATE, Purpose::Device);
    let ramp = |dbfs: f64| {
        let sections = Form::Long.sections();
        let tone = |s: &&underpin::signal::track::layout::Section| {
            s.content == Content::Tone { hz: 997.0, peak_dbfs: dbfs }
        };
        3.0 + sections.iter().rfind(tone).expect("a step").start_s
    };
    for (dbfs, seen_s) in [(-8.0, ramp(-8.0) + 0.4), (-3.0, ramp(-3.0) + 0.7)] {
        let light = ClipLight::new(&take, seen_s).expect("a step sounds");
        assert_eq!(light.lit_dbfs, dbfs);
        let want = clip_dbfs + one_percent_over_db();
        let told = light.one_percent_dbfs.expect("1 % is reached");
        // Steps of 1 dB, and distortion that rises steeply between two of them.
        assert!((told - want).abs() < 0.6, "1 % at {told}, planted at {want}");
        assert!((light.early_db().unwrap() - (want - dbfs)).abs() < 0.6);
    }
    for seen_s in [0.0, 20.0, 1e9, f64::NAN] {
        let why = ClipLight::new(&take, seen_s).expect_err("nothing sounds");
        assert!(why.contains("no step") && !why.contains('\n'), "{why}");
    }
}

#[test]
fn a_loop_back_takes_the_recorder_out_of_a_device() {
    let sound = played(Form::Long, RATE);
    // A recorder that turns over, takes 2 dB and has a high-pass of its own.
    let own = |mut sound: Stereo| {
        let filter = Cascade::high_pass(2, 30.0, RATE);
        let gain = -(10f64.powf(-2.0 / 20.0));
        sound.iter_mut().for_each(|channel| {
            filter.clone().run(channel);
            channel.iter_mut().for_each(|x| *x *= gain);
        });
        sound
    };
    // The device halves the level, turns over, and has its high-pass at 60 Hz.
    let mut device = sound.clone();
    for channel in &mut device {
        Cascade::high_pass(2, 60.0, RATE).run(channel);
        channel.iter_mut().for_each(|x| *x *= -0.5);
    }
    let recorder = Recorder { rate: RATE, clips: false, lead_s: 3.0, ..Recorder::default() };
    let take = |sound| first(&recorder.record(&own(sound))[..1], RATE, Purpose::Device);
    let (cable, heard) = (take(sound), take(device));
    let found = identify_without(&heard, Some(&cable)).expect("a device");
    assert!(found.without_recorder && found.inverts == Some(true));
    // 20 log10(0.5), and the corner that was planted.
    assert!((found.gain_db + 6.02).abs() < 0.1, "{} dB", found.gain_db);
    let (order, hz) = found.high_pass.expect("a high-pass");
    assert!(order == 2 && (hz / 60.0 - 1.0).abs() < 0.02, "order {order} at {hz} Hz");
    // Without it both stand in the figures: 2 dB less, and turned over twice.
    let both = identify(&heard).expect("a device");
    assert!((both.gain_db + 8.02).abs() < 0.2 && both.inverts == Some(false), "{both:?}");
    let mut sheet = Sheet::new("planted");
    report::device(&mut sheet, &found, None);
    assert!(report::text(&sheet).contains("taken out of gain, response and polarity"));
}
