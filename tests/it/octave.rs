//! The octave part as anyone may rely on it: exactly an octave, one source for
//! both channels, silence in silence out, the same at every block size and rate.

use crate::octave_goals::fit::{blackman_harris, db, tones};
use crate::octave_goals::signals::{pair, pink, sampled, tone};
use crate::octave_goals::{RATE_HZ, render, render_stereo};
use std::f64::consts::TAU;
use underpin::dsp::octave::Octave;
use underpin::settings::{Method, Response, Settings};

const METHODS: [Method; 3] = [Method::Tracked, Method::Halved, Method::Divided];

fn with(method: Method) -> Settings {
    Settings { octave_method: method, octave_floor_hz: 0.0, ..Settings::default() }
}

/// Amplitude of `hz` over the last two seconds of `y`.
fn amplitude(y: &[f64], rate_hz: f64, hz: f64) -> f64 {
    let last = &y[y.len() - (2.0 * rate_hz) as usize..];
    tones(last, rate_hz, &[hz], &blackman_harris(last.len())).amplitudes[0]
}

#[track_caller]
fn check_level(y: &[f64], rate_hz: f64, hz: f64, expected: f64, tolerance_db: f64) {
    let level = db(amplitude(y, rate_hz, hz) / expected);
    assert!(level.abs() <= tolerance_db, "{hz} Hz is {level:+.2} dB off at {rate_hz} Hz");
}

#[test]
fn sixty_hertz_become_thirty() {
    for method in METHODS {
        let y = render(&with(method), RATE_HZ, &tone(0.5, 60.0, 4.0, RATE_HZ));
        // The filters around a divider take a tenth of a dB, and it has no make-up.
        check_level(&y, RATE_HZ, 30.0, 0.5, 0.15);
        // Exactly 30 Hz: a tone 0.1 Hz off would turn by 72° in two seconds,
        // and fitting 30 Hz would leave over a third of it.
        let last = &y[y.len() / 2..];
        let multiples: Vec<f64> = (1..=33).map(|m| 30.0 * f64::from(m)).collect();
        let rest_db = tones(last, RATE_HZ, &multiples, &blackman_harris(last.len())).rest_db;
        assert!(rest_db < -60.0, "{method:?} leaves {rest_db:.1} dB beside the multiples of 30 Hz");
        assert!(db(amplitude(&y, RATE_HZ, 60.0) / 0.5) < -70.0, "{method:?} lets 60 Hz through");
    }
}

#[test]
fn the_divider_has_the_lines_of_its_fourier_series() {
    // sin(θ)·sgn(sin(θ/2)) has lines (8/π)/|m² - 4| at m·f/2, m odd; here before
    // a second-order Butterworth low-pass at 90·to/160 Hz, which takes
    // 10·lg(1 + (f/fc)⁴) from each. 0.3 dB: the way back to the host's rate takes 0.15 dB at 150 Hz.
    let settings = Settings { octave_to_hz: 200.0, ..with(Method::Divided) };
    let y = render(&settings, RATE_HZ, &tone(0.5, 60.0, 4.0, RATE_HZ));
    let line = |m: f64| 8.0 / std::f64::consts::PI / (m * m - 4.0).abs();
    for m in [3.0, 5.0] {
        let low_pass_db = -10.0 * (1.0 + (m * 30.0 / 112.5f64).powi(4)).log10();
        let expected_db = db(line(m) / line(1.0)) + low_pass_db;
        let measured_db = db(amplitude(&y, RATE_HZ, m * 30.0) / amplitude(&y, RATE_HZ, 30.0));
        assert!(
            (measured_db - expected_db).abs() < 0.3,
            "line {m}: {measured_db:.2} dB, the series says {expected_db:.2} dB"
        );
    }
}

#[test]
fn block_size_does_not_change_one_sample() {
    for method in METHODS {
        let x: Vec<f64> = pink(0.1, 30_000, 1)
            .iter()
            .zip(pair([50.0, 80.0], [0.2; 2], 1.0))
            .map(|(a, b)| a + b)
            .collect();
        let whole = render(&with(method), RATE_HZ, &x);
        for sizes in [&[1usize][..], &[7, 64, 3], &[997], &[128]] {
            let mut octave = Octave::new(RATE_HZ);
            octave.set(&with(method));
            let mut y = vec![0.0; x.len()];
            let (mut at, mut sizes) = (0, sizes.iter().cycle());
            while at < x.len() {
                let end = x.len().min(at + sizes.next().unwrap());
                octave.process(&x[at..end], &x[at..end], &mut y[at..end]);
                at = end;
            }
            assert!(y == whole, "{method:?} depends on the block size");
        }
    }
}

#[test]
fn silence_in_is_exact_silence_out_after_the_tail() {
    for method in METHODS {
        for response in [Response::Clean, Response::Fast] {
            let settings = Settings { octave_response: response, ..with(method) };
            let mut x = pair([50.0, 80.0], [0.4; 2], 1.0);
            x.resize(6 * RATE_HZ as usize, 0.0);
            let y = render(&settings, RATE_HZ, &x);
            assert!(y[5 * RATE_HZ as usize..].iter().all(|&y| y == 0.0), "{method:?} rings on");
            assert!(y.iter().all(|y| *y == 0.0 || y.abs() > 1e-300), "{method:?} makes subnormals");
        }
        assert!(render(&with(method), RATE_HZ, &[0.0; 9000]).iter().all(|&y| y == 0.0));
    }
}

#[test]
fn after_a_reset_nothing_remains() {
    let x = pink(0.2, 20_000, 2);
    for method in METHODS {
        let mut octave = Octave::new(RATE_HZ);
        octave.set(&with(method));
        let mut runs = [vec![0.0; x.len()], vec![0.0; x.len()]];
        for run in &mut runs {
            octave.process(&x, &x, run);
            octave.reset();
        }
        assert!(runs[0] == runs[1], "{method:?} remembers");
    }
}

#[test]
fn opposite_channels_are_not_lost() {
    // The mid of two tones φ apart is cos(φ/2): 0, -0.69 and -3.01 dB to 90°, where the side, at
    // sin(φ/2), takes over. 0.15 dB for the filters around a divider, which has no make-up.
    for (degrees, least_db) in
        [(0.0, -0.15), (45.0, -0.85), (90.0, -3.2), (120.0, -3.2), (180.0, -3.0)]
    {
        for method in METHODS {
            let left = tone(0.5, 60.0, 4.0, RATE_HZ);
            let right =
                sampled(4.0, RATE_HZ, |t| 0.5 * (TAU * 60.0 * t + f64::to_radians(degrees)).cos());
            let y = render_stereo(&with(method), RATE_HZ, &left, &right);
            let level_db = db(amplitude(&y, RATE_HZ, 30.0) / 0.5);
            assert!(level_db > least_db, "{method:?} at {degrees}°: {level_db:.2} dB");
        }
    }
}

#[test]
fn it_is_an_octave_at_every_rate() {
    for rate_hz in [1234.5678, 8000.0, 11_025.0, 44_100.0, 88_200.0, 96_000.0, 192_000.0, 768_000.0]
    {
        for method in METHODS {
            let y = render(&with(method), rate_hz, &tone(0.5, 60.0, 4.0, rate_hz));
            check_level(&y, rate_hz, 30.0, 0.5, 0.2);
        }
    }
}

#[test]
fn no_octave_note_below_the_floor() {
    // -60 dB is common practice for "none"; 0.2 dB: the source band is not perfectly flat.
    for method in [Method::Tracked, Method::Halved] {
        let at = |source_hz: f64, floor: f32| {
            let settings = Settings { octave_floor_hz: floor, ..with(method) };
            let y = render(&settings, RATE_HZ, &tone(0.5, source_hz, 4.0, RATE_HZ));
            db(amplitude(&y, RATE_HZ, 0.5 * source_hz) / 0.5)
        };
        assert!(at(50.0, 26.0) < -60.0, "{method:?}: 25 Hz sound under a floor of 26 Hz");
        assert!(at(60.0, 26.0) > -0.2, "{method:?}: 30 Hz suffer from a floor of 26 Hz");
        assert!(at(50.0, 0.0) > -0.2, "{method:?}: without a floor 25 Hz are whole");
    }
}

#[test]
fn half_a_turn_of_phase_is_the_other_polarity() {
    for method in METHODS {
        let x = tone(0.5, 60.0, 2.0, RATE_HZ);
        let y = render(&with(method), RATE_HZ, &x);
        let turned = Settings { octave_phase_deg: 180.0, ..with(method) };
        let sum: f64 = render(&turned, RATE_HZ, &x)
            .iter()
            .zip(&y)
            .map(|(a, b)| (a + b).abs())
            .fold(0.0, f64::max);
        assert!(sum < 1e-9, "{method:?}: {sum}");
    }
}

#[test]
fn changing_settings_does_not_click() {
    // A click is a step from one sample to the next: the steepest slope of a 30 Hz note at 0.5
    // is 0.5·2π·30/48000; the cross-fades may treble it for a moment.
    let x = tone(0.5, 60.0, 6.0, RATE_HZ);
    let steepest = 3.0 * 0.5 * TAU * 30.0 / RATE_HZ;
    let mut octave = Octave::new(RATE_HZ);
    let mut y = vec![0.0; x.len()];
    for (i, (x, y)) in x.chunks(4801).zip(y.chunks_mut(4801)).enumerate() {
        let mut settings = with(METHODS[i % 3]);
        settings.octave_phase_deg = [0.0, 180.0, -90.0, -180.0][i % 4];
        settings.octave_to_hz = [160.0, 100.0][i % 2];
        settings.octave_from_hz = [30.0, 50.0, 25.0][i % 3];
        settings.octave_response = [Response::Clean, Response::Fast][i / 2 % 2];
        settings.octave_floor_hz = [0.0, 18.0, 40.0, 10.0][i % 4];
        octave.set(&settings);
        octave.process(x, x, y);
    }
    let step = y.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f64::max);
    assert!(step < steepest, "a step of {step} where {steepest} is steep");
}

#[test]
fn silence_before_the_sound_changes_nothing() {
    // In whole rounds of the engine's slow work, 128 samples: what a host lets run before the
    // music starts must not be heard in it.
    let x = pink(0.1, 24_000, 4);
    for octave_method in [Method::Tracked, Method::Halved, Method::Divided] {
        for octave_floor_hz in [0.0, 18.0] {
            let settings = Settings { octave_method, octave_floor_hz, ..Settings::default() };
            let fresh = render(&settings, RATE_HZ, &x);
            for before in [128, 1_024, 12_800] {
                let late = render(&settings, RATE_HZ, &[vec![0.0; before], x.clone()].concat());
                assert!(late[before..] == fresh[..], "{octave_method:?} after {before} samples");
            }
        }
    }
}

#[test]
fn the_lowest_sources_are_halved_as_purely_as_others() {
    // A quarter turn that holds from 20 Hz up leaves of the mirrored frequency what lies 77 dB
    // down; it would stand at 3/2 of the tone. 70 dB: the two chains' own scatter over phases.
    for hz in [21.0, 23.0, 26.0] {
        let settings = Settings { octave_from_hz: 25.0, ..with(Method::Halved) };
        let y = render(&settings, RATE_HZ, &tone(0.5, hz, 8.0, RATE_HZ));
        let half = amplitude(&y, RATE_HZ, hz / 2.0);
        let mirrored = db(amplitude(&y, RATE_HZ, 1.5 * hz) / half);
        assert!(mirrored < -70.0, "{hz} Hz: {mirrored} dB at three halves");
    }
}
