//! The measurement as a whole: taps, tones, pairs, and that nothing depends on how the
//! samples arrive.

use underpin::analysis::spectrum::Spectrum;
use underpin::analysis::window::Window;
use underpin::measure::{Ask, Measure, Readings};
use underpin::path::{Listen, Path, Tap};
use underpin::units::power_to_db;

use crate::line::settings;
use crate::tones::{Noise, close, sine, sum};

const RATE: f64 = 8_000.0;

/// The readings of one mono signal.
fn of(signal: &[f64], ask: &Ask) -> Readings {
    let mut measure = Measure::new(RATE, 1, ask);
    measure.push(&[signal]);
    measure.reading()
}

/// Clipping is told in seconds from the very start, skipped or not.
#[test]
fn times_are_told_from_the_start() {
    let mut x = sine(50.0, 0.5, 0.0, RATE, 5.0);
    for sample in &mut x[32_000..32_100] {
        *sample = 1.0;
    }
    let clipping = of(&x, &Ask { skip_s: 2.0, ..Ask::default() }).before.clipping;
    assert_eq!(clipping.digital_runs, 1);
    close(clipping.first_s.unwrap(), 4.0, 0.001);
}

/// A tone and its half through the line's taps: the trace spans whole periods of the half.
#[test]
fn the_scope_is_locked_to_the_half() {
    let (dry, half) = (sine(50.0, 0.4, 0.0, RATE, 6.0), sine(25.0, 0.2, 0.0, RATE, 6.0));
    let out = sum(&[dry.clone(), half.clone()]);
    let mut measure = Measure::new(RATE, 1, &Ask { strata: true, ..Ask::default() });
    for start in (0..dry.len()).step_by(128) {
        let end = dry.len().min(start + 128);
        let taps = [Tap::Before, Tap::Dry, Tap::Octave, Tap::Blend, Tap::LowBand, Tap::After];
        for (tap, signal) in taps.iter().zip([&dry, &dry, &half, &out, &out, &out]) {
            measure.hear(*tap, &[&signal[start..end]]);
        }
    }
    let readings = measure.reading();
    let scope = readings.scope.unwrap();
    assert!(scope.locked_to_octave);
    close(scope.period_s, 0.04, 1e-9);
    for ((dry, octave), out) in scope.dry.iter().zip(&scope.octave).zip(&scope.out) {
        close(dry + octave, *out, 1e-4);
    }
    close(readings.after.unwrap().partials.unwrap().below[0].re_tone_db, -6.0206, 1e-3);
}

/// Runs a signal through a path with several stages at work and listens.
fn heard(signal: &[f64], block: usize, ask: &Ask) -> (Readings, Vec<f64>) {
    let mut path = Path::new(RATE, 1);
    path.set(&settings(&[("low_band.gain_db", "6"), ("octave.level_db", "0")]));
    let mut measure = Measure::new(RATE, 1, ask);
    let mut out = Vec::new();
    for block in signal.chunks(block) {
        let mut block: Vec<f32> = block.iter().map(|x| *x as f32).collect();
        path.process(&mut [&mut block], &mut measure);
        out.extend(block.iter().map(|x| f64::from(*x)));
    }
    (measure.reading(), out)
}

/// What is known about a sine: AES17 levels, its band, its place in the spectrum.
#[test]
fn one_signal_is_read_everywhere_alike() {
    let readings = of(&sine(50.0, 0.5, 0.0, RATE, 6.0), &Ask::default());
    let side = &readings.before;
    assert_eq!((readings.channels, readings.seconds, readings.sample_rate_hz), (1, 6.0, RATE));
    close(side.level.rms_dbfs, -6.0206, 1e-4);
    close(side.level.peak_dbfs, -6.0206, 1e-4);
    close(side.spectrum.line_dbfs(50.0), -6.0206, 1e-4);
    let band = side.bands.iter().find(|band| band.nominal_hz == 50.0).unwrap();
    close(band.level_db, -6.0206, 1e-4);
    assert!(readings.after.is_none() && readings.strata.is_none() && readings.transfer.is_none());
}

#[test]
fn a_tone_is_found_and_noise_is_not_called_one() {
    let tone = sum(&[sine(40.0, 0.5, 0.0, RATE, 6.0), sine(20.0, 0.05, 0.0, RATE, 6.0)]);
    let partials = of(&tone, &Ask::default()).before.partials.unwrap();
    close(partials.tone_hz, 40.0, 1e-6);
    close(partials.below[0].re_tone_db, -20.0, 1e-3);
    let noise = of(&Noise(1).take(48_000), &Ask::default());
    assert!(noise.before.partials.is_none());
    let silence = of(&[0.0; 48_000], &Ask::default());
    assert!(silence.before.partials.is_none());
}

/// A line of 80 % of the power is no tone by itself, but may be named.
#[test]
fn a_named_tone_is_believed() {
    let signal = sum(&[sine(40.0, 0.5, 0.0, RATE, 6.0), sine(170.0, 0.25, 0.0, RATE, 6.0)]);
    assert!(of(&signal, &Ask::default()).before.partials.is_none());
    let ask = Ask { tone_hz: Some(40.0), ..Ask::default() };
    close(of(&signal, &ask).before.partials.unwrap().tone_dbfs, -6.0206, 1e-3);
    let ask = Ask { tone_hz: Some(90.0), ..Ask::default() };
    assert!(of(&signal, &ask).before.partials.is_none(), "there is no such tone");
}

/// Each tap gets a sine of its own level: each must come back from its own place. The blend is the
/// sum of dry and octave part, by what it is.
#[test]
fn every_post_is_read_from_its_own_place() {
    let mut measure = Measure::new(RATE, 2, &Ask { strata: true, ..Ask::default() });
    let taps = [Tap::Before, Tap::Dry, Tap::Octave, Tap::Blend, Tap::LowBand, Tap::After];
    let amplitudes = [1.0, 0.5, 0.25, 0.75, 0.1, 0.05];
    let signals = amplitudes.map(|amplitude| sine(50.0, amplitude, 0.0, RATE, 6.0));
    for start in (0..signals[0].len()).step_by(100) {
        for (tap, signal) in taps.iter().zip(&signals) {
            let slice = &signal[start..start + 100];
            measure.hear(*tap, &[slice, slice]);
        }
    }
    let readings = measure.reading();
    let strata = readings.strata.unwrap();
    let after = readings.after.unwrap();
    let spectra = [
        &readings.before.spectrum,
        &strata.dry,
        &strata.octave,
        &strata.blend,
        &strata.low_band,
        &after.spectrum,
    ];
    for (amplitude, spectrum) in amplitudes.iter().zip(spectra) {
        close(spectrum.line_dbfs(50.0), 20.0 * amplitude.log10(), 1e-3);
        assert_eq!((spectrum.df_hz, spectrum.averages), (0.5, spectra[0].averages));
    }
    close(after.level.rms_dbfs, 20.0 * 0.05f64.log10(), 1e-3);
}

/// Keeps what it hears: tap, channel, sample.
#[derive(Default)]
struct Kept([[Vec<f64>; 2]; 6]);

impl Listen for Kept {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        for (kept, channel) in self.0[tap as usize].iter_mut().zip(channels) {
            kept.extend_from_slice(channel);
        }
    }
}

/// Where a stage passes on what it got, where it does not, and where it begins to halfway, in two
/// channels that differ: at every post the spectrum is that of its samples, up to 24 kHz inside the line. Tolerance:
/// single-precision rounding of the samples, twice where two parts are added.
#[test]
fn a_post_has_the_spectrum_of_what_is_heard_there() {
    let rate = 50_000.0;
    let stages: [&[(&str, &str)]; 3] = [
        &[("octave.level_db", "-6")],
        &[("octave.level_db", "off")],
        &[
            ("input.trim_db", "-3"),
            ("octave.level_db", "0"),
            ("low_band.gain_db", "6"),
            ("output.gain_db", "-2"),
        ],
    ];
    for with in stages {
        let mut kept = Kept::default();
        let mut measure = Measure::new(rate, 2, &Ask { strata: true, ..Ask::default() });
        changing(rate, with, &mut kept);
        changing(rate, with, &mut measure);
        let readings = measure.reading();
        let strata = readings.strata.unwrap();
        let (before, after) = (readings.before.spectrum, readings.after.unwrap().spectrum);
        let read = [before, strata.dry, strata.octave, strata.blend, strata.low_band, after];
        for ((spectrum, [left, right]), tap) in read.iter().zip(&kept.0).zip(0..) {
            let own = Spectrum::of(&[left, right], rate, Window::Hann);
            let inside = (1..5).contains(&tap);
            assert_eq!(spectrum.top_hz(), if inside { 24_000.0 } else { 25_000.0 });
            let floor = 1e-13 * own.total_power().max(1e-3);
            for (a, b) in spectrum.power.iter().zip(&own.power) {
                assert!((a - b).abs() < 1e-6 * b + floor, "{with:?}, {tap}: {a} for {b}");
            }
        }
    }
}

/// 2.5 s through a line that leaves everything as it is, and 2.5 s through its stages.
fn changing(rate: f64, with: &[(&str, &str)], listener: &mut impl Listen) {
    let mut path = Path::new(rate, 2);
    let mut sound = stereo(rate);
    let half = sound[0].len() / 2;
    let [left, right] = sound.each_mut().map(|channel| channel.split_at_mut(half));
    path.set(&settings(&[("octave.level_db", "off")]));
    path.process(&mut [left.0, right.0], listener);
    path.set(&settings(with));
    path.process(&mut [left.1, right.1], listener);
}

/// Two tones and noise, another noise right.
fn stereo(rate: f64) -> [Vec<f32>; 2] {
    let tones = sum(&[sine(50.0, 0.2, 0.0, rate, 5.0), sine(70.0, 0.1, 0.0, rate, 5.0)]);
    let with = |seed| {
        let noise = Noise(seed).take(tones.len());
        tones.iter().zip(noise).map(|(x, n)| (x + 0.05 * n) as f32).collect()
    };
    [with(21), with(22)]
}

/// The line heard from inside and its two ends as plain signals: the same sides, the same
/// transfer function.
#[test]
fn listening_and_a_pair_of_signals_read_the_same() {
    let x: Vec<f64> = Noise(2).take(60_000).iter().map(|x| f64::from((0.1 * x) as f32)).collect();
    let ask = Ask { transfer: true, strata: true, ..Ask::default() };
    let (listened, out) = heard(&x, 1_000, &ask);
    let mut measure = Measure::new(RATE, 1, &ask);
    measure.push_pair(&[&x], &[&out]);
    let pair = measure.reading();
    assert!(listened.strata.is_some() && pair.strata.is_none());
    assert_eq!(listened.before, pair.before);
    assert_eq!(listened.after, pair.after);
    assert_eq!(listened.transfer, pair.transfer);
    assert!(pair.transfer.unwrap().points.len() > 100);
}

#[test]
fn the_size_of_the_blocks_changes_nothing_that_is_read() {
    let x = Noise(3).take(60_000);
    let ask = Ask { transfer: true, strata: true, skip_s: 0.3, ..Ask::default() };
    let (whole, _) = heard(&x, 60_000, &ask);
    let (pieces, _) = heard(&x, 77, &ask);
    assert_eq!(whole, pieces);
}

/// In between one may look, and start afresh.
#[test]
fn readings_in_between_and_a_reset_change_nothing() {
    let x = sine(50.0, 0.5, 10.0, RATE, 7.0);
    let ask = Ask { transfer: true, ..Ask::default() };
    let mut measure = Measure::new(RATE, 1, &ask);
    let mut run = |look: bool| {
        for piece in x.chunks(5_000) {
            measure.push_pair(&[piece], &[piece]);
            if look {
                measure.reading();
            }
        }
        let readings = measure.reading();
        measure.reset();
        readings
    };
    let quiet = run(false);
    assert_eq!(run(true), quiet);
}

#[test]
fn what_is_skipped_is_not_measured() {
    let mut x = Noise(4).take(RATE as usize * 2);
    x.extend(sine(50.0, 0.5, 0.0, RATE, 6.0));
    let readings = of(&x, &Ask { skip_s: 2.0, ..Ask::default() });
    assert_eq!(readings.seconds, 6.0);
    close(readings.before.level.rms_dbfs, -6.0206, 1e-4);
    close(power_to_db(readings.before.spectrum.total_power()), -6.0206, 1e-4);
    let nothing = of(&x, &Ask { skip_s: 60.0, ..Ask::default() });
    assert_eq!((nothing.seconds, nothing.before.level.rms_dbfs), (0.0, -400.0));
}

#[test]
fn a_late_capture_is_brought_into_step() {
    let x = Noise(5).take(60_000);
    let late: Vec<f64> = std::iter::repeat_n(0.0, 2_500).chain(x.iter().copied()).collect();
    let mut measure = Measure::new(RATE, 1, &Ask { transfer: true, ..Ask::default() });
    measure.push_pair(&[&x], &[&late[..60_000]]);
    let transfer = measure.reading().transfer.unwrap();
    close(transfer.delay_s, 0.3125, 1e-12);
    assert!(transfer.points.iter().all(|p| p.gain_db.abs() < 1e-4 && p.coherence > 0.9999));
}

/// Noise that repeats every 2 s has lines at every half hertz: with no scatter, they are all
/// as high as in the one period (computed here without a window).
#[test]
fn a_periodic_signal_is_read_without_scatter() {
    let period = Noise(6).take(16_000);
    let x: Vec<f64> = period.iter().cycle().take(16_000 * 8).copied().collect();
    let ask = Ask { periodic: true, skip_s: 2.0, ..Ask::default() };
    // Parseval: a line of one period has the power 4·|X|²/N² by AES17, twice its mean square.
    let plan = realfft::RealFftPlanner::<f64>::new().plan_fft_forward(period.len());
    let mut lines = plan.make_output_vec();
    plan.process(&mut period.clone(), &mut lines).expect("lengths fit");
    let power = |k: usize| 4.0 * lines[k].norm_sqr() / (period.len() as f64).powi(2);
    let exact = |from_hz: f64, to_hz: f64| -> f64 {
        let share = |k: usize| {
            let (low, high) = (0.5 * k as f64 - 0.25, 0.5 * k as f64 + 0.25);
            ((to_hz.min(high) - from_hz.max(low)) / 0.5).clamp(0.0, 1.0)
        };
        (1..lines.len() - 1).map(|k| share(k) * power(k)).sum()
    };
    let scatter = |readings: &Readings| {
        let bands = readings.before.bands.iter();
        let off = bands.map(|b| b.level_db - power_to_db(exact(b.from_hz, b.to_hz)));
        off.map(f64::abs).fold(0.0, f64::max)
    };
    // Hann spreads each line over its neighbours: what crosses a band's edges does not cancel
    // for random lines; a third at 12.5 Hz has six.
    let (periodic, plain) = (scatter(&of(&x, &ask)), scatter(&of(&x, &Ask::default())));
    assert!(periodic < 0.6 && periodic < plain, "{periodic} dB, {plain} dB");
}

/// Memory is bounded: a minute reads as ten seconds do, and an empty measurement reads too.
#[test]
fn nothing_heard_reads_as_silence() {
    let readings = Measure::new(RATE, 2, &Ask { transfer: true, ..Ask::default() }).reading();
    assert_eq!((readings.seconds, readings.before.level.peak_dbfs), (0.0, -400.0));
    assert_eq!(readings.before.level.loudness_lufs, None);
    assert!(readings.before.bands.iter().all(|band| band.level_db == -400.0));
}
