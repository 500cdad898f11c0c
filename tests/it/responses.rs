//! Every linear stage against its textbook formula, and against what a tone
//! through the path really does.

use crate::line::{amplitude_db, noise, render, settings, sine};
use underpin::dsp::chain;
use underpin::settings::Settings;

/// A parametric band after the Audio EQ Cookbook (W3C Working Group Note, 8 June
/// 2021, ed. R. Toy): the biquad's response evaluated on the unit circle.
fn cookbook_band_db(hz: f64, centre_hz: f64, width_oct: f64, gain_db: f64, rate_hz: f64) -> f64 {
    let w0 = std::f64::consts::TAU * centre_hz / rate_hz;
    let a = 10f64.powf(gain_db / 40.0);
    let alpha = w0.sin() * (0.5 * std::f64::consts::LN_2 * width_oct * w0 / w0.sin()).sinh();
    let b = [1.0 + alpha * a, -2.0 * w0.cos(), 1.0 - alpha * a];
    let c = [1.0 + alpha / a, -2.0 * w0.cos(), 1.0 - alpha / a];
    let w = std::f64::consts::TAU * hz / rate_hz;
    let magnitude = |p: [f64; 3]| {
        let re = p[0] + p[1] * w.cos() + p[2] * (2.0 * w).cos();
        let im = p[1] * w.sin() + p[2] * (2.0 * w).sin();
        re.hypot(im)
    };
    20.0 * (magnitude(b) / magnitude(c)).log10()
}

/// Width in octaves of a band of quality `q`: 2·asinh(1/2q)/ln 2 (Audio EQ Cookbook).
fn width_of(q: f64) -> f64 {
    2.0 * (0.5 / q).asinh() / std::f64::consts::LN_2
}

#[track_caller]
fn check(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found}, not {expected}");
}

fn band(centre: f64, width: f64, gain: f64) -> Settings {
    settings(&[
        ("octave.level_db", "off"),
        ("low_band.centre_hz", &centre.to_string()),
        ("low_band.width_oct", &width.to_string()),
        ("low_band.gain_db", &gain.to_string()),
    ])
}

#[test]
fn the_low_band_is_the_cookbook_band() {
    // 0.001 dB: the accuracy asked of a filter here; the two forms are equal in theory.
    for rate_hz in [8_000.0, 44_100.0, 48_000.0, 192_000.0, 768_000.0] {
        for (centre, width, gain) in [(45.0, 1.0, 6.0), (20.0, 0.2, 18.0), (160.0, 4.0, -18.0)] {
            let set = band(centre, width, gain);
            for hz in [10.0, 16.0, 31.5, 45.0, 100.0, 400.0] {
                let width = f64::from(set.low_band_width_oct);
                let expected = cookbook_band_db(hz, centre, width, gain, rate_hz);
                check("band", chain::response_db(&set, hz, rate_hz), expected, 1e-3);
            }
        }
    }
}

#[test]
fn the_low_band_has_the_published_values() {
    // 40 Hz, Q 1, +6 dB at 48 kHz, computed with scipy 1.17 from the cookbook's coefficients.
    let set = band(40.0, width_of(1.0), 6.0);
    for (hz, db) in
        [(40.0, 6.0), (24.721_394, 3.0), (64.721_120, 3.0), (20.0, 1.883_837), (63.0, 3.178_113)]
    {
        check("band", chain::response_db(&set, hz, 48_000.0), db, 1e-4);
    }
}

/// Gain in dB of a biquad with b0 b1 b2 / 1 a1 a2.
fn biquad_db(b: [f64; 3], a: [f64; 2], hz: f64, rate_hz: f64) -> f64 {
    let w = std::f64::consts::TAU * hz / rate_hz;
    let power = |p: [f64; 3]| {
        let re = p[0] + p[1] * w.cos() + p[2] * (2.0 * w).cos();
        let im = p[1] * w.sin() + p[2] * (2.0 * w).sin();
        re * re + im * im
    };
    10.0 * (power(b) / power([1.0, a[0], a[1]])).log10()
}

#[test]
fn the_low_band_has_the_coefficients_of_other_libraries() {
    // Computed with scipy 1.17 from the cookbook's formulas; the set at 192 kHz also with the
    // general-purpose crate biquad 0.6.0. Frequency, quality, gain, rate, b0 b1 b2, a1 a2.
    type Set = (f64, f64, f64, f64, [f64; 3], [f64; 2]);
    let sets: [Set; 5] = [
        (
            40.0,
            1.0,
            6.0,
            48_000.0,
            [1.001841196033308, -1.996272714084899, 0.994458882839135],
            [-1.996272714084899, 0.996300078872442],
        ),
        (
            40.0,
            1.0,
            6.0,
            44_100.0,
            [1.002003693397439, -1.995941123575669, 0.993969843694636],
            [-1.995941123575669, 0.995973537092075],
        ),
        (
            31.5,
            0.7,
            12.0,
            48_000.0,
            [1.004393915952849, -1.99703514642, 0.992658207318999],
            [-1.99703514642, 0.997052123271848],
        ),
        (
            20.0,
            1.0,
            6.0,
            192_000.0,
            [1.00023052369138, -1.999536329653171, 0.999306234230803],
            [-1.999536329653171, 0.999536757922183],
        ),
        (
            100.0,
            2.0,
            -6.0,
            48_000.0,
            [0.997704903526384, -1.990627207222688, 0.993092860170381],
            [-1.990627207222688, 0.990797763696765],
        ),
    ];
    for (hz, q, gain_db, rate_hz, b, a) in sets {
        let set = band(hz, width_of(q), gain_db);
        for at in [10.0, 16.0, 20.0, 31.5, 40.0, 63.0, 80.0, 100.0, 200.0, 400.0] {
            // 15 printed digits next to the unit circle leave 1e-5 dB; a width is kept in f32.
            let told = chain::response_db(&set, at, rate_hz);
            check("other library", told, biquad_db(b, a, at, rate_hz), 1e-4);
        }
    }
    // 31.5 Hz, Q 0.7, +12 dB reads +8.096427 dB at 20 Hz.
    let told = chain::response_db(&band(31.5, width_of(0.7), 12.0), 20.0, 48_000.0);
    check("at 20 Hz", told, 8.096_427, 1e-4);
}

#[test]
fn a_width_is_the_quality_of_the_tables() {
    // Analogue closed form: width in octaves between the half-gain points, and quality. The
    // analogue band of that quality is (s² + s·A/Q + 1)/(s² + s/(A·Q) + 1).
    for (width, q) in [
        (1.0 / 3.0, 4.318_473),
        (0.5, 2.871_000),
        (2.0 / 3.0, 2.144_908),
        (1.0, std::f64::consts::SQRT_2),
        (1.5, 0.919_803),
        (2.0, 0.666_667),
        (3.0, 0.404_061),
    ] {
        let set = band(45.0, width, 12.0);
        for hz in [16.0, 30.0, 45.0, 70.0, 160.0] {
            let x: f64 = hz / 45.0;
            let a = 10f64.powf(12.0 / 40.0);
            let power = |damping: f64| (1.0 - x * x).powi(2) + (damping * x).powi(2);
            let want = 10.0 * (power(a / q) / power(1.0 / (a * q))).log10();
            // At 768 kHz nothing of the bilinear transform's warping is left at 160 Hz.
            check("analogue", chain::response_db(&set, hz, 768_000.0), want, 2e-4);
        }
    }
}

#[test]
fn a_low_band_at_a_high_rate_keeps_its_accuracy() {
    // 20 Hz at 192 kHz, where a direct form in f32 is 27 dB off. The reference is the cookbook's
    // biquad in f64, direct form 1, whose own error is below −220 dB (scipy against mpmath); f32
    // samples leave −150 dB.
    let rate_hz = 192_000.0;
    let set = band(20.0, width_of(1.0), 6.0);
    let mut input = sine(0.2, 37.0, rate_hz, 1.0);
    let hiss = noise(0.1, input.len(), 3);
    input.iter_mut().zip(hiss).for_each(|(x, n)| *x += n);
    let out = render(&set, rate_hz, &input);
    let w0 = std::f64::consts::TAU * 20.0 / rate_hz;
    let a = 10f64.powf(6.0 / 40.0);
    let width = f64::from(set.low_band_width_oct);
    let alpha = w0.sin() * (0.5 * std::f64::consts::LN_2 * width * w0 / w0.sin()).sinh();
    let a0 = 1.0 + alpha / a;
    let (mut x1, mut x2, mut y1, mut y2) = (0.0, 0.0, 0.0, 0.0);
    let (mut error, mut power) = (0.0, 0.0);
    for (x, told) in input.iter().zip(&out) {
        let x = f64::from(*x);
        let y = ((1.0 + alpha * a) * x - 2.0 * w0.cos() * x1
            + (1.0 - alpha * a) * x2
            + 2.0 * w0.cos() * y1
            - (1.0 - alpha / a) * y2)
            / a0;
        (x2, x1, y2, y1) = (x1, x, y1, y);
        error += (f64::from(*told) - y).powi(2);
        power += y * y;
    }
    let error_db = 10.0 * f64::log10(error / power);
    assert!(error_db < -140.0, "{error_db} dB");
}

#[test]
fn width_lies_between_the_half_gain_points() {
    // Q of 1.5 and of two octaves: 0.919803 and 0.666667 (analogue closed form).
    for width in [0.2, 1.0, 2.0, 4.0] {
        let set = band(45.0, width, 12.0);
        let edges = [0.5, -0.5].map(|half| 45.0 * (half * width).exp2());
        for edge in edges {
            // Above 0.01 octave of cramping nothing is left at 45 Hz and 48 kHz.
            check("half gain", chain::response_db(&set, edge, 48_000.0), 6.0, 2e-3);
        }
    }
    check("width of Q 0.919803", width_of(0.919_803), 1.5, 1e-6);
    check("width of Q 0.666667", width_of(0.666_667), 2.0, 1e-6);
}

#[test]
fn a_boost_and_its_cut_are_a_wire() {
    for hz in [10.0, 45.0, 200.0] {
        let sum = chain::response_db(&band(45.0, 1.3, 9.0), hz, 48_000.0)
            + chain::response_db(&band(45.0, 1.3, -9.0), hz, 48_000.0);
        check("boost and cut", sum, 0.0, 1e-9);
    }
}

#[test]
fn the_high_pass_is_butterworth() {
    // -10·lg(1 + (fc/f)^2n), analogue; at 20 Hz and 48 kHz the bilinear warp is below 1e-3 dB.
    for (order, n) in [("2", 2), ("4", 4)] {
        let set = settings(&[("high_pass.order", order), ("high_pass.hz", "20")]);
        for hz in [5.0, 10.0, 20.0, 40.0, 80.0] {
            let expected = -10.0 * (1.0 + (20.0f64 / hz).powi(2 * n)).log10();
            check("high-pass", chain::response_db(&set, hz, 48_000.0), expected, 2e-3);
        }
    }
    // Table values of the same formula at fc/f = 1, 2 and 4.
    let second = settings(&[("high_pass.order", "2"), ("high_pass.hz", "40")]);
    for (hz, db) in [(40.0, -3.010), (20.0, -12.305), (10.0, -24.099)] {
        check("second order", chain::response_db(&second, hz, 48_000.0), db, 5e-3);
    }
}

/// A closed box as a second-order high-pass, analogue: x²/sqrt((1-x²)² + (x/Q)²), x = f/f0.
fn box_db(hz: f64, resonance_hz: f64, q: f64) -> f64 {
    let x = hz / resonance_hz;
    20.0 * (x * x / (1.0 - x * x).hypot(x / q)).log10()
}

#[test]
fn the_closed_box_has_the_values_of_the_bilinear_transform() {
    // scipy.signal.bilinear and freqz at 48 kHz: 10, 20, 40, 80 and 200 Hz.
    let rows = [
        (["55", "1.21", "19", "0.5"], [16.1521, 11.2468, 1.4229, -2.6884, -0.5061]),
        (["45", "0.9", "25", "0.70710678"], [9.9448, 8.2032, 1.5133, -0.7067, -0.1611]),
        (["60", "0.70710678", "30", "0.70710678"], [11.9913, 11.3116, 6.6326, 1.1088, 0.0328]),
    ];
    for (corners, wanted) in rows {
        let set = boxed(corners);
        for (hz, db) in [10.0, 20.0, 40.0, 80.0, 200.0].into_iter().zip(wanted) {
            check("closed box", chain::response_db(&set, hz, 48_000.0), db, 1e-4);
        }
    }
}

fn boxed([from_hz, from_q, to_hz, to_q]: [&str; 4]) -> Settings {
    settings(&[
        ("octave.level_db", "off"),
        ("closed_box.on", "on"),
        ("closed_box.from_hz", from_hz),
        ("closed_box.from_q", from_q),
        ("closed_box.to_hz", to_hz),
        ("closed_box.to_q", to_q),
    ])
}

#[test]
fn a_box_behind_the_line_becomes_the_box_that_was_asked_for() {
    // A box of 45 Hz, Q 0.9 is planted behind the line as closed form; what the path's measured gain
    // and the box make together is held against the box of 25 Hz, Q 0.75 that was asked for.
    let set = boxed(["45", "0.9", "25", "0.75"]);
    for rate_hz in [44_100.0, 48_000.0, 192_000.0] {
        for hz in [10.0, 16.0, 25.0, 45.0, 80.0, 200.0] {
            let input = sine(0.05, hz, rate_hz, 5.0);
            let settled = render(&set, rate_hz, &input).split_off(3 * rate_hz as usize);
            let gain = amplitude_db(&settled, hz, rate_hz) - amplitude_db(&input, hz, rate_hz);
            let together = gain + box_db(hz, 45.0, 0.9);
            check("box", together, box_db(hz, 25.0, 0.75), 2e-3);
        }
    }
}

#[test]
fn a_tone_through_the_path_gets_the_response() {
    for order in ["off", "2", "4"] {
        check_path(order);
    }
}

fn check_path(order: &str) {
    let set = settings(&[
        ("octave.level_db", "off"),
        ("low_band.gain_db", "9"),
        ("low_band.centre_hz", "31.5"),
        ("low_band.width_oct", "0.7"),
        ("closed_box.on", "on"),
        ("closed_box.from_hz", "50"),
        ("closed_box.from_q", "1.1"),
        ("high_pass.order", order),
        ("high_pass.hz", "18"),
        ("output.gain_db", "-4"),
    ]);
    for rate_hz in [44_100.0, 48_000.0, 192_000.0] {
        for hz in [12.0, 20.0, 31.0, 50.0, 125.0, 400.0] {
            let input = sine(0.1, hz, rate_hz, 5.0);
            let settled = render(&set, rate_hz, &input).split_off(3 * rate_hz as usize);
            let gain = amplitude_db(&settled, hz, rate_hz) - amplitude_db(&input, hz, rate_hz);
            // f32 samples limit the reading to about 1e-5 dB; two seconds hold whole periods.
            check("path", gain, chain::response_db(&set, hz, rate_hz), 1e-3);
        }
    }
}
