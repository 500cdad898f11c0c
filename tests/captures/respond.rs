//! Responses against the truth, through the whole chain: track, radio, recorder, analysis.

use underpin::planning::channels::Hears;
use underpin::planning::take_reading::{Purpose, TakeReading};
use underpin::signal::track::layout::Form;

use crate::filters::Cascade;
use crate::reading::{Count, band_error, count, first, through};
use crate::room::{Recorder, Stereo, delayed, played};
use crate::table::{Table, long};

/// Rate of most simulations: a capture of 24 kHz is a capture like any other.
pub(crate) const RATE: f64 = 24_000.0;

/// The radio of these tests: a Butterworth high-pass of 4th order at 80 Hz (−48 dB at 20 Hz).
fn radio(rate: f64) -> Cascade {
    Cascade::high_pass(4, 80.0, rate)
}

fn sum_of(sound: &Stereo) -> Stereo {
    let sum: Vec<f64> = sound[0].iter().zip(&sound[1]).map(|(l, r)| (l + r) / 2.0).collect();
    [sum.clone(), sum]
}

#[test]
fn shown_bands_are_right() {
    let plain = Recorder { rate: RATE, ..Recorder::default() };
    let mut rows = vec![
        ("clean", plain.clone(), 0.1),
        (
            "−40 dB, −300 ppm, hum",
            Recorder { gain_db: -40.0, ppm: -300.0, hum: Some((50.1, -90.0)), ..plain.clone() },
            0.4,
        ),
        ("driven to full scale", Recorder { gain_db: 7.0, ..plain.clone() }, 2.0),
    ];
    if long() {
        rows.extend([
            ("noise −75 dBFS", Recorder { noise_dbfs: -75.0, ..plain.clone() }, 0.4),
            (
                "44.1 kHz, +300 ppm, 60 s lead",
                Recorder { rate: 44_100.0, ppm: 300.0, lead_s: 60.0, ..plain.clone() },
                0.1,
            ),
            (
                "hum −50 dBFS at 50.1 Hz",
                Recorder { hum: Some((50.1, -50.0)), ..plain.clone() },
                0.4,
            ),
            ("DC 0.1", Recorder { dc: 0.1, ..plain.clone() }, 0.2),
            ("overdriven by 13 dB", Recorder { gain_db: 13.0, ..plain.clone() }, 4.0),
        ]);
    }
    let mut table = Table::new(
        "responses",
        &[
            "capture",
            "bands shown",
            "not shown",
            "outside max(0.3 dB, 3 sd)",
            "worst error, SNR > 20 dB",
        ],
    );
    let mut total = Count::default();
    for (name, recorder, most) in rows {
        let filter = radio(recorder.rate);
        let sound = through(played(Form::Short, recorder.rate), &filter);
        let reading = first(&recorder.record(&sound), recorder.rate, Purpose::Radio);
        let mut one = Count::default();
        count(&reading, &filter, recorder.rate, &mut one);
        table.row(&[
            name.into(),
            one.shown.to_string(),
            one.hidden.to_string(),
            one.outside.to_string(),
            format!("{:.2} dB", one.worst),
        ]);
        assert_eq!(reading.channels[0].hears, Hears::Left, "{name}");
        assert_eq!(reading.channels[1].hears, Hears::Right, "{name}");
        assert!(one.worst < most, "{name}: {:.3} dB", one.worst);
        total.shown += one.shown;
        total.outside += one.outside;
    }
    assert!(total.outside * 100 <= total.shown, "{} of {} outside", total.outside, total.shown);
}

#[test]
fn sixteen_bits_are_no_codec() {
    let recorder =
        Recorder { rate: 12_000.0, noise_dbfs: -400.0, gain_db: -12.0, ..Recorder::default() };
    let mut capture = recorder.record(&played(Form::Short, 12_000.0));
    // No dither: digital silence between the sections, rounding noise within.
    capture.iter_mut().flatten().for_each(|x| *x = (*x * 32_768.0).round() / 32_768.0);
    let reading = first(&capture, 12_000.0, Purpose::Radio);
    for level in &reading.channels[0].levels {
        assert_eq!(level.floor_db, 0.0, "at {} dBFS", level.peak_dbfs);
    }
}

#[test]
fn channels_are_told_apart_and_sums_known() {
    let recorder = Recorder { rate: 12_000.0, noise_dbfs: -80.0, ..Recorder::default() };
    let sound = played(Form::Short, 12_000.0);
    let swapped = [sound[1].clone(), sound[0].clone()];
    let reading = first(&recorder.record(&swapped), 12_000.0, Purpose::Radio);
    assert_eq!([reading.channels[0].hears, reading.channels[1].hears], [Hears::Right, Hears::Left]);

    let reading = first(&recorder.record(&sum_of(&sound))[..1], 12_000.0, Purpose::Radio);
    assert_eq!(reading.channels[0].hears, Hears::Sum);
    let (_, response) = reading.channels[0].loudest().unwrap();
    assert!(response.gain_db.abs() < 0.05, "{}", response.gain_db);
    for band in response.bands() {
        assert!(band.db.abs() < 0.1, "{band:?}");
    }

    // A millisecond between the channels makes a comb filter of their sum.
    let late = [sound[0].clone(), delayed(&sound[1], 12.0)];
    let reading = first(&recorder.record(&sum_of(&late))[..1], 12_000.0, Purpose::Radio);
    assert_eq!(reading.channels[0].hears, Hears::Unadding);
    for band in reading.channels[0].loudest().unwrap().1.bands() {
        assert!(band.db.abs() < 0.2, "the lines of one channel alone are flat: {band:?}");
    }
}

#[track_caller]
fn check_relation(sound: Stereo, inverted: Option<bool>, delay_ms: Option<f64>) -> Vec<(f64, f64)> {
    let recorder = Recorder { rate: 12_000.0, noise_dbfs: -70.0, ppm: 40.0, ..Recorder::default() };
    let reading = first(&recorder.record(&sound), 12_000.0, Purpose::Radio);
    let relation = reading.relations.first().expect("two channels").1.clone();
    assert_eq!(relation.inverted, inverted, "{relation:?}");
    match (relation.delay_ms, delay_ms) {
        (Some(told), Some(true_ms)) => assert!((told - true_ms).abs() < 0.01, "{told} ms"),
        (told, wanted) => assert_eq!(told, wanted),
    }
    relation.sum_loss_db
}

#[test]
fn the_second_channel_is_held_against_the_first() {
    let sound = played(Form::Short, 12_000.0);
    let with = |right: Vec<f64>| [sound[0].clone(), right];
    let inverted = |c: &[f64]| c.iter().map(|x| -x).collect::<Vec<_>>();
    let same = check_relation(sound.clone(), Some(false), Some(0.0));
    assert!(same.iter().all(|l| l.1.abs() < 0.01), "{same:?}");
    let lost = check_relation(with(inverted(&sound[1])), Some(true), Some(0.0));
    assert!(lost.iter().all(|l| l.1 < -40.0), "{lost:?}");
    check_relation(with(delayed(&sound[1], 12.0)), Some(false), Some(1.0));
    check_relation(with(inverted(&delayed(&sound[1], 51.6))), Some(true), Some(4.3));
    let mut passed = sound[1].clone();
    Cascade::all_pass(80.0, 12_000.0).run(&mut passed);
    let loss = check_relation(with(passed), None, None);
    assert!(loss.iter().any(|l| l.1 < -2.0), "{loss:?}");
}

fn damaged(damage: impl Fn(&mut Vec<f64>, usize)) -> TakeReading {
    let rate = 12_000.0;
    let mut sound = played(Form::Short, rate);
    // In the middle of the loudest comb.
    sound.iter_mut().for_each(|c| damage(c, (36.3 * rate) as usize));
    first(&Recorder { rate, ..Recorder::default() }.record(&sound), rate, Purpose::Radio)
}

#[test]
fn drop_outs_and_lost_samples_are_said() {
    use underpin::planning::blocks::Alarm;
    let says = |reading: &TakeReading, want: fn(&Alarm) -> bool| {
        reading.channels[0].levels[2].alarms.iter().any(want)
    };
    let clean = damaged(|_, _| ());
    assert!(clean.channels.iter().all(|c| c.levels.iter().all(|l| l.alarms.is_empty())));
    let zeros = damaged(|c, at| c[at..at + 24].fill(0.0));
    assert!(says(&zeros, |a| matches!(a, Alarm::DropOut(_))));
    for band in zeros.channels[0].levels[2].bands() {
        assert!(band.db.abs() < 0.05, "the pair with the drop-out is left out: {band:?}");
    }
    let cut = damaged(|c, at| drop(c.drain(at..at + 24)));
    assert!(
        says(&cut, |a| matches!(a, Alarm::LostSamples(_))),
        "{:?}",
        cut.channels[0].levels[2].alarms
    );
    let faded = damaged(|c, at| c[at..].iter_mut().for_each(|x| *x *= 0.9));
    assert!(says(&faded, |a| matches!(a, Alarm::GainMoves(_))));
}

#[test]
fn a_notch_between_the_lines_widens_its_band() {
    // 40 dB down and steep: between two lines of the comb the notch can be anywhere.
    let recorder = Recorder { rate: RATE, noise_dbfs: -110.0, ..Recorder::default() };
    for i in 0..6 {
        let hz = 32.2 + 0.45 * f64::from(i);
        let filter = Cascade::high_pass(4, 75.0, RATE).then(Cascade::notch(1.5, hz, RATE));
        let sound = through(played(Form::Short, RATE), &filter);
        let reading = first(&recorder.record(&sound), RATE, Purpose::Radio);
        for channel in &reading.channels {
            let (level, _) = channel.loudest().expect("a level");
            for band in level.bands().iter().filter(|b| b.is_shown() && b.hz < 210.0) {
                let error = band_error(band, &filter, RATE).abs();
                // Twice a 95 % interval: what is outside of that is sure and wrong.
                assert!(
                    error < 2.0 * band.half_95_db.max(0.1),
                    "notch at {hz:.2} Hz: {:.0} Hz told {:.1} ± {:.1} dB, {error:.1} dB off",
                    band.hz,
                    band.db,
                    band.half_95_db
                );
            }
        }
    }
}
