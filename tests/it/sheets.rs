//! Sheets to write: an ordinary one by closed forms, an empty one, absurd ones.
//!
//! The car is invented. Its radio is a 4th-order Butterworth high-pass at
//! 80 Hz; the octave part is pink noise shifted down by one octave.

use underpin::analysis::bands::Band;
use underpin::analysis::clipping::Clipping;
use underpin::analysis::level::Level;
use underpin::analysis::partials::{Line, Partials};
use underpin::analysis::scope::Scope;
use underpin::analysis::spectrum::Spectrum;
use underpin::analysis::window::Window;
use underpin::curve::Curve;
use underpin::measure::{Readings, Side, Strata};
use underpin::plot::Cause;
use underpin::plot::responses::{Drawn, Responses, Stretch, Verdict};
use underpin::report::{Input, Limit, Proof, Run, Sheet, Table};
use underpin::settings::Settings;

/// Distance of two bins in Hz.
const DF_HZ: f64 = 0.5;

/// Magnitude squared of an n-th order Butterworth high-pass.
pub(crate) fn high_pass(hz: f64, corner_hz: f64, order: i32) -> f64 {
    1.0 / (1.0 + (corner_hz / hz).powi(2 * order))
}

/// Power gain of a peaking band: bandwidth in octaves between half-gain points
/// (R. Bristow-Johnson's cookbook, analogue prototype).
pub(crate) fn peak(hz: f64, centre_hz: f64, gain_db: f64, octaves: f64) -> f64 {
    let a = 10f64.powf(gain_db / 40.0);
    let alpha = (std::f64::consts::LN_2 / 2.0 * octaves).sinh();
    let x = hz / centre_hz;
    let s = 1.0 - x * x;
    let (up, down) = (2.0 * alpha * a * x, 2.0 * alpha / a * x);
    (s * s + up * up) / (s * s + down * down)
}

/// A spectrum from a power density in power per hertz.
pub(crate) fn spectrum(density: impl Fn(f64) -> f64) -> Spectrum {
    let power = (0..4001).map(|i| match i {
        0 => 0.0,
        i => density(f64::from(i) * DF_HZ) * DF_HZ,
    });
    Spectrum { df_hz: DF_HZ, power: power.collect(), window: Window::Hann, averages: 120.0 }
}

/// The one-third-octave bands 12.5 Hz to 1 kHz of a density (IEC 61260-1, base 10).
fn bands(density: impl Fn(f64) -> f64) -> Vec<Band> {
    let nominal = [
        12.5, 16.0, 20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0,
        315.0, 400.0, 500.0, 630.0, 800.0, 1000.0,
    ];
    let band = |(i, nominal_hz): (usize, &f64)| {
        let centre_hz = 10f64.powf((i as f64 + 11.0) / 10.0);
        let edge = 10f64.powf(0.05);
        let (from_hz, to_hz) = (centre_hz / edge, centre_hz * edge);
        let level_db = 10.0 * (density(centre_hz) * (to_hz - from_hz)).log10();
        let sd_db = 4.343 / ((to_hz - from_hz) * 128.0).sqrt();
        Band { nominal_hz: *nominal_hz, centre_hz, from_hz, to_hz, level_db, sd_db }
    };
    nominal.iter().enumerate().map(band).collect()
}

fn level(rms_dbfs: f64, peak_dbfs: f64) -> Level {
    let true_peak_dbtp = peak_dbfs + 0.1;
    Level { peak_dbfs, rms_dbfs, true_peak_dbtp, loudness_lufs: Some(rms_dbfs - 3.0), dc: 0.0 }
}

pub(crate) fn side(density: impl Fn(f64) -> f64 + Copy, level: Level) -> Side {
    Side {
        level,
        spectrum: spectrum(density),
        bands: bands(density),
        clipping: Clipping::default(),
        partials: None,
    }
}

/// Pink noise through the invented radio and the line.
pub(crate) fn noise() -> Run {
    let pink = |hz: f64| 1e-4 / hz;
    let given = move |hz: f64| pink(hz) * high_pass(hz, 80.0, 4);
    // Everything between 50 and 125 Hz lands an octave below.
    let source = |hz: f64| high_pass(hz, 50.0, 3) * (1.0 - high_pass(hz, 125.0, 3));
    let octave = move |hz: f64| 2.0 * given(2.0 * hz) * source(2.0 * hz);
    let blend = move |hz: f64| given(hz) + octave(hz);
    let low_band = move |hz: f64| blend(hz) * peak(hz, 38.0, 6.0, 1.2);
    let out = move |hz: f64| low_band(hz) * high_pass(hz, 20.0, 2);
    let readings = Readings {
        sample_rate_hz: 48000.0,
        channels: 2,
        seconds: 128.0,
        before: side(given, level(-23.4, -9.8)),
        after: Some(side(out, level(-18.1, -3.3))),
        strata: Some(Strata {
            dry: spectrum(given),
            octave: spectrum(octave),
            blend: spectrum(blend),
            low_band: spectrum(low_band),
        }),
        scope: None,
        transfer: None,
    };
    Run::new("pink noise", readings)
}

fn line(tone_hz: f64, order: f64, re_tone_db: f64) -> Line {
    Line {
        hz: tone_hz * order,
        order,
        re_tone_db,
        dbfs: re_tone_db - 12.0,
        phase_deg: 0.0,
        near_mains: false,
    }
}

/// A tone with its half and a few harmonics; `harmonics_db` is added to all of them.
pub(crate) fn tone(tone_hz: f64, harmonics_db: f64) -> Run {
    let above: Vec<Line> = [-76.0, -61.0, -88.0, -71.0, -79.0, -86.0, -91.0]
        .iter()
        .enumerate()
        .map(|(i, db)| line(tone_hz, i as f64 + 2.0, db + harmonics_db))
        .collect();
    let thd = above.iter().map(|l| 10f64.powf(l.re_tone_db / 10.0)).sum::<f64>().sqrt();
    let partials = Partials {
        tone_hz,
        tone_dbfs: -12.0,
        below: vec![line(tone_hz, 0.5, -2.9), line(tone_hz, 0.25, -74.0)],
        above,
        odd_halves: vec![line(tone_hz, 1.5, -82.0)],
        below_ratio: 0.716,
        thd_f: thd,
        thd_orders: 8,
        thd_to_hz: 8.0 * tone_hz,
        noise_dbfs: -104.0,
        dc: 0.0,
    };
    let count = (48000.0 * 4.0 / tone_hz) as usize;
    let wave = |amplitude: f64, hz: f64, phase: f64| -> Vec<f64> {
        let turn = |i| std::f64::consts::TAU * hz * f64::from(i) / 48000.0 + phase;
        (0..count as i32).map(|i| amplitude * turn(i).sin()).collect()
    };
    let (dry, octave) = (wave(0.25, tone_hz, 0.0), wave(0.18, tone_hz / 2.0, 0.3));
    let out = dry.iter().zip(&octave).map(|(a, b)| a + b).collect();
    let (span_s, period_s) = (4.0 / tone_hz, 2.0 / tone_hz);
    let quiet = |hz: f64| 1e-12 / hz;
    let mut out_side = side(quiet, level(-10.2, -7.5));
    out_side.partials = Some(partials);
    let readings = Readings {
        sample_rate_hz: 48000.0,
        channels: 1,
        seconds: 8.0,
        before: side(quiet, level(-12.0, -12.0)),
        after: Some(out_side),
        strata: None,
        scope: Some(Scope { span_s, period_s, locked_to_octave: true, dry, octave, out }),
        transfer: None,
    };
    Run::new(format!("tone {tone_hz} Hz"), readings)
}

/// The settings of the invented car.
pub(crate) fn settings() -> Settings {
    let words = [
        ("octave.level_db", "0"),
        ("octave.from_hz", "50"),
        ("octave.to_hz", "125"),
        ("octave.floor_hz", "22"),
        ("low_band.gain_db", "6"),
        ("low_band.centre_hz", "38"),
        ("low_band.width_oct", "1.2"),
        ("high_pass.order", "2"),
    ];
    let set = |settings: Settings, (key, value): (&str, &str)| settings.with(key, value);
    words.into_iter().try_fold(Settings::default(), set).expect("the table of settings has them")
}

/// An ordinary sheet: noise, a tone, settings, target, proofs.
pub(crate) fn ordinary() -> Sheet {
    let target = Curve::new([(25.0, 0.5), (40.0, 1.7), (80.0, 2.0), (125.0, 1.0), (200.0, 0.0)]);
    let proof = |name: &str, figure, unit, limit| Proof::new(name, figure, unit, limit);
    let mut sheet = Sheet::new("invented car: 4th-order 80 Hz high-pass");
    sheet.preset = Some("Door speakers, sealed box".into());
    sheet.settings = Some(settings());
    sheet.runs = vec![noise(), tone(60.0, 0.0), tone(90.0, -10.0)];
    sheet.target = Some(target);
    sheet.original = Some(Curve::new([(16.0, 0.0), (1000.0, 0.0)]));
    sheet.harmonics_limit = Some(0.001);
    sheet.proofs = vec![
        proof("octave exactly at half", 30.0, "Hz", Limit::Within(29.99, 30.01)).decimals(2),
        proof("harmonics of the 60 Hz tone", 0.097, "%", Limit::AtMost(0.1)).decimals(3),
        proof("no sample clipped, true peak", -3.2, "dBTP", Limit::AtMost(-1.0)),
    ];
    sheet.provenance.seed = Some(7);
    sheet.provenance.inputs = vec![Input {
        name: "invented.wav".into(),
        sha256: "3f9a6c1e0b7d58249a1f3c5e7d9b0a2c4e6f8091a2b3c4d5e6f708192a3bc21e".into(),
    }];
    sheet
}

/// A sheet with a table of words only.
pub(crate) fn words_only() -> Sheet {
    let mut sheet = Sheet::new("invented car, found");
    sheet.finding = "The radio cuts below 80 Hz, the same at every volume step.".into();
    let words = |row: [&str; 3]| row.map(String::from).to_vec();
    let radio = |corner_hz: f64| {
        Curve::sampled(16.0, 1000.0, 60, |hz| 10.0 * high_pass(hz, corner_hz, 4).log10())
    };
    let drawn = |name: &str, curve| Drawn { name: name.into(), cause: Cause::Given, curve };
    let stretch = |verdict, from_hz, to_hz| Stretch { verdict, from_hz, to_hz };
    sheet.responses = Some(Responses {
        curves: vec![drawn("step 12", radio(80.0)), drawn("step 30", radio(84.0))],
        verdicts: vec![
            stretch(Verdict::Open, 16.0, 25.0),
            stretch(Verdict::MakeNew, 25.0, 45.0),
            stretch(Verdict::Lift, 45.0, 100.0),
            stretch(Verdict::Stands, 100.0, 1000.0),
        ],
    });
    sheet.tables = vec![Table {
        title: "Found".into(),
        note: "4 takes".into(),
        head: words(["", "evidence", "sure"]),
        rows: vec![
            words(["Roll-off", "24 dB per octave, −3 dB at 80 Hz", "yes"]),
            words(["Rear pair", "not measured: play the track on rear only", "open"]),
        ],
    }];
    sheet
}

/// Readings no instrument would give: empty, silent, not a number, far too loud.
pub(crate) fn absurd() -> Vec<Sheet> {
    let mut sheets = Vec::new();
    for wrong in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -400.0, 400.0, 0.0] {
        let mut sheet = ordinary();
        for run in &mut sheet.runs {
            run.readings.before.level = level(wrong, wrong);
            run.readings.seconds = wrong;
            let after = run.readings.after.as_mut().expect("the sheet has it");
            after.level = level(wrong, wrong);
            after.bands.iter_mut().for_each(|band| band.level_db = wrong);
            after.spectrum.power.iter_mut().step_by(3).for_each(|power| *power = wrong);
            if let Some(partials) = &mut after.partials {
                partials.thd_f = wrong;
                partials.below_ratio = wrong;
                partials.above.iter_mut().for_each(|line| line.re_tone_db = wrong);
                partials.below.iter_mut().for_each(|line| line.hz = wrong);
            }
            if let Some(scope) = &mut run.readings.scope {
                scope.out.iter_mut().step_by(5).for_each(|value| *value = wrong);
                scope.period_s = wrong;
            }
        }
        sheet.proofs[0].figure = Some(wrong);
        sheet.target = Some(Curve::new([(30.0, wrong), (0.0, 3.0)]));
        sheets.push(sheet);
    }
    let mut hollow = ordinary();
    for run in &mut hollow.runs {
        run.readings.before.spectrum.power.clear();
        run.readings.before.bands.clear();
        run.readings.strata = None;
        run.readings.after = None;
        if let Some(scope) = &mut run.readings.scope {
            scope.out.clear();
        }
    }
    sheets.push(hollow);
    sheets
}
