//! Verdicts on takes with echoes, unequal parts, damage, scatter and codecs.

use super::*;

/// Both channels with an echo.
fn echoing(sound: &Stereo, later_s: f64, gain: f64) -> Stereo {
    sound.clone().map(|c| {
        let echo = delayed(&c, later_s * RATE);
        c.iter().zip(&echo).map(|(x, e)| 0.5 * (x + gain * e)).collect()
    })
}

#[test]
fn the_direct_sound_counts_and_not_its_echo() {
    let sound = played(Form::Short, RATE);
    for (later_ms, gain) in [(3.0, 0.8), (8.0, 1.0), (20.0, 1.05)] {
        let recorder = Recorder { rate: RATE, ..Recorder::default() };
        let capture = recorder.record(&echoing(&sound, later_ms / 1000.0, gain));
        let take = first(&capture[..1], RATE, Purpose::Radio);
        let off_ms = 1000.0 * (take.start_s - recorder.lead_s);
        assert!(off_ms.abs() < 0.2, "{later_ms} ms, {gain}: the take starts {off_ms} ms late");
    }
}

#[test]
fn a_sum_of_unequal_parts_is_still_flat() {
    // Three quarters of the left and a quarter of the right: the lines of one channel alone are
    // heard at their own share, and a flat radio stays flat.
    let sound = played(Form::Short, RATE);
    let mixed: Vec<f64> =
        sound[0].iter().zip(&sound[1]).map(|(l, r)| 0.75 * l + 0.25 * r).collect();
    let recorder = Recorder { rate: RATE, noise_dbfs: -90.0, ..Recorder::default() };
    let take = first(&recorder.record(&[mixed.clone(), mixed])[..1], RATE, Purpose::Radio);
    let (_, response) = take.channels[0].loudest().expect("a response");
    assert!(response.gain_db.abs() < 0.05, "{}", response.gain_db);
    for line in &response.lines {
        let db = 20.0 * line.gain.norm().log10();
        assert!(db.abs() < 0.2, "{} Hz: {db} dB", line.hz);
    }
}

#[test]
fn a_damaged_block_takes_its_neighbour_with_it() {
    // A halved component cancels in pairs of blocks only: the comb turns over from one to the next.
    let recorder = Recorder { rate: RATE, ..Recorder::default() };
    let averages = |damage: bool| {
        let mut sound = played(Form::Short, RATE);
        if damage {
            // 36.3 s lies in a block of the loudest comb that has neighbours on both sides.
            let at = (36.3 * RATE) as usize;
            sound.iter_mut().for_each(|c| c[at..at + 24].fill(0.0));
        }
        let take = first(&recorder.record(&sound)[..1], RATE, Purpose::Radio);
        take.channels[0].loudest().expect("a response").1.averages
    };
    let whole = averages(false);
    assert_eq!(whole % 2, 0);
    assert_eq!(averages(true), whole - 2);
}

#[test]
fn scatter_larger_than_claimed_names_no_cause() {
    // Bands that jump by 3 dB from reading to reading, each said to be known to 0.1 dB: neither
    // volume nor level explains them.
    let jumps = [0.0, 3.0, -2.5, 2.0, -3.0, 1.5, 3.0, -1.0, 2.5, -3.0, 0.5, -2.0];
    let steps = grid(&[-24.0, -16.0, -8.0, 0.0]);
    let wild: Vec<BassReading> = readings(&steps, 0.1, |_, _| 0.0)
        .into_iter()
        .zip(jumps)
        .map(|(mut reading, jump)| {
            reading.bands.iter_mut().enumerate().for_each(|(i, band)| {
                band.1 += jump * if i % 2 == 0 { 1.0 } else { -0.7 };
            });
            reading
        })
        .collect();
    let told = explain(&wild).dependence;
    assert!(
        matches!(told, Dependence::Undecided | Dependence::VolumeCauseUndecided),
        "{told:?} from jumps"
    );
}

#[test]
fn bass_that_rises_with_the_level_is_no_limiter_s() {
    let rise = |volume: f64, level: f64| -0.5 * (volume + level + 26.0).max(0.0);
    let told = explain(&readings(&grid(&[-15.0, -10.0, -5.0, 0.0]), 0.1, rise)).dependence;
    assert!(!matches!(told, Dependence::Limiter | Dependence::Both), "{told:?}");
}

#[test]
fn noise_has_its_level_and_its_scatter_in_each_band() {
    // White noise of −60 dBFS over 0 to 6 kHz, 30 s: a band of width B holds B/6000 of it. By
    // itself it is known to 4.343/√(B·T) dB (Bendat & Piersol, Random Data), with its neighbours
    // a little better.
    let mut random = Random::new(9);
    let sd = 10f64.powf(-60.0 / 20.0) / 2f64.sqrt();
    let seconds = 30.0;
    let samples: Vec<f32> =
        (0..(seconds * RATE) as usize).map(|_| (sd * random.normal()) as f32).collect();
    let bands = Silence::new(&samples).noise;
    assert_eq!(bands.len(), 20);
    let mut squares = 0.0;
    for band in &bands {
        let width = band.hz * (10f64.powf(0.05) - 10f64.powf(-0.05));
        let off = band.dbfs - (-60.0 + 10.0 * (width / 6000.0).log10());
        let alone = 4.343 / (width * seconds).sqrt();
        assert!((0.3 * alone..1.6 * alone).contains(&band.sd_db), "{band:?}: alone {alone} dB");
        squares += (off / band.sd_db).powi(2);
    }
    // Twenty bands whose errors are about one deviation each.
    assert!(squares / 20.0 < 3.0, "{squares}");
}

#[test]
fn ninety_five_per_cent_of_the_readings_lie_in_their_intervals() {
    let (mut inside, mut all) = (0, 0);
    for seed in 0..8 {
        let recorder = Recorder { rate: RATE, noise_dbfs: -45.0, seed, ..Recorder::default() };
        let take = first(&recorder.record(&played(Form::Short, RATE))[..1], RATE, Purpose::Radio);
        // A flat radio: every band stands at 0 dB re the mid band.
        for level in &take.channels[0].levels {
            for band in level.bands().iter().filter(|b| b.is_shown() && b.hz < 230.0) {
                all += 1;
                inside += usize::from(band.db.abs() <= band.half_95_db);
            }
        }
    }
    assert!(all > 150 && inside * 100 >= 90 * all, "{inside} of {all}");
}

#[test]
fn a_codec_is_known_by_the_noise_that_comes_with_the_signal() {
    // The continuous µ-law of ITU-T G.711 in 8 bits: noise in proportion to the signal, none in
    // silence.
    let coded = |x: f32| {
        const MU: f64 = 255.0;
        let x = f64::from(x).clamp(-1.0, 1.0);
        let code = (127.0 * x.signum() * (MU * x.abs()).ln_1p() / MU.ln_1p()).round() / 127.0;
        (code.signum() * (code.abs() * MU.ln_1p()).exp_m1() / MU) as f32
    };
    // Another clock and a little noise: without them the error repeats with the comb.
    let recorder = Recorder {
        rate: RATE,
        ppm: 120.0,
        noise_dbfs: -100.0,
        gain_db: -9.0,
        ..Recorder::default()
    };
    let capture = recorder.record(&played(Form::Short, RATE));
    let through: Vec<Vec<f32>> =
        capture.iter().map(|c| c.iter().map(|x| coded(*x)).collect()).collect();
    let take = first(&through[..1], RATE, Purpose::Radio);
    for level in &take.channels[0].levels {
        assert!(level.floor_db > 0.0, "at {} dBFS", level.peak_dbfs);
        assert!(level.noise.iter().filter(|band| band.with_signal).count() > 10);
        for band in level.bands() {
            assert!(band.half_95_db >= 0.6, "finer than a codec allows: {band:?}");
        }
    }
    let plain = first(&capture[..1], RATE, Purpose::Radio);
    assert!(plain.channels[0].levels.iter().all(|level| level.floor_db == 0.0));
}
