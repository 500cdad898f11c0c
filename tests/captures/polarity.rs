//! The absolute polarity of a radio, through its own high-pass and any delay.

use underpin::planning::diagnose::diagnose;
use underpin::planning::take_reading::Purpose;
use underpin::signal::track::layout::Form;

use crate::filters::Cascade;
use crate::random::Random;
use crate::reading::first;
use crate::room::{Recorder, delayed, played};
use crate::table::{Table, long};

const RATE: f64 = 12_000.0;

/// A radio with this filter and delay, turned over or not; what the diagnosis says of it.
fn told(filter: &Cascade, turned: bool, random: &mut Random) -> Option<bool> {
    let sign = if turned { -1.0 } else { 1.0 };
    let later = random.between(0.0, 60.0);
    let sound = played(Form::Short, RATE).map(|mut channel| {
        filter.run(&mut channel);
        channel.iter_mut().for_each(|x| *x *= sign);
        delayed(&channel, later)
    });
    let recorder = Recorder {
        rate: RATE,
        gain_db: random.between(-20.0, 0.0),
        noise_dbfs: random.between(-90.0, -60.0),
        ppm: random.between(-300.0, 300.0),
        seed: random.next(),
        ..Recorder::default()
    };
    let take = first(&recorder.record(&sound)[..1], RATE, Purpose::Radio);
    diagnose(&[take], None)?.channels.first()?.inverts
}

#[test]
fn polarity_is_told_or_left_open_and_never_wrong() {
    let draws = if long() { 25 } else { 2 };
    let mut table = Table::new("polarity", &["radio", "of", "right", "left open", "wrong"]);
    // Above a high-pass of order n and corner f0 the phase is a sum of a/f terms (Butterworth
    // polynomial for f ≫ f0): the first is what the fit knows, the next decides how low a
    // corner it serves.
    for (name, order, hz) in [
        ("no high-pass", 0, 0.0),
        ("order 2, 20 to 60 Hz", 2, 40.0),
        ("order 4, 30 to 100 Hz", 4, 55.0),
        ("order 6, 40 to 100 Hz", 6, 63.0),
    ] {
        let mut random = Random::new(order as u64 + 1);
        let (mut right, mut open, mut wrong) = (0, 0, 0);
        for i in 0..draws {
            let filter = match order {
                0 => Cascade::default(),
                n => Cascade::high_pass(n, hz * 2f64.powf(random.between(-0.7, 0.7)), RATE),
            };
            let turned = i % 2 == 1;
            match told(&filter, turned, &mut random) {
                Some(said) if said == turned => right += 1,
                Some(_) => wrong += 1,
                None => open += 1,
            }
        }
        let row = [draws, right, open, wrong].map(|n| n.to_string());
        table.row(&[&[name.to_string()][..], &row].concat());
        assert_eq!(wrong, 0, "{name}");
        assert!(2 * right > draws, "{name}: {right} of {draws} told");
    }
}

#[test]
fn an_all_pass_in_the_mid_band_leaves_the_sign_open() {
    // An all-pass of first order turns from 180° to 0 around its corner and leaves no trace in the
    // level (Bode's relation holds for minimum phase alone): which side is right is no one's to say.
    let mut random = Random::new(5);
    for hz in [250.0, 400.0, 700.0] {
        let said = told(&Cascade::all_pass(hz, RATE), false, &mut random);
        assert_eq!(said, None, "all-pass at {hz} Hz");
    }
}
