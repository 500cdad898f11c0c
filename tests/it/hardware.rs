//! Settings for bought hardware against a general-purpose reference library.
//!
//! The constants were computed with scipy 1.17.1:
//! ```text
//! def bilin(b, a, fs):
//!     B, A = signal.bilinear(b, a, fs); return B/A[0], A[1:]/A[0]
//! w0 = 2*pi*40/fs; q = 0.5/sinh(ln2/2*1.5*w0/sin(w0)); A = 10**(6/40); W = 2*fs*tan(pi*40/fs)
//! band = bilin([1, W*A/q, W*W], [1, W/(A*q), W*W], fs)
//! w, p = 2*pi*45, 2*pi*25
//! box = bilin([1, w/0.875, w*w], [1, p/0.75, p*p], fs)
//! sos = signal.butter(4, 20, 'highpass', fs=fs, output='sos')
//! dB = 20*log10(abs(signal.sosfreqz([band, box, *sos], [10, 20, 45, 120], fs=fs)[1]))
//! ```

use crate::line::settings;
use underpin::planning::hardware::{
    Qualities, Section, Typed, error_db, in_single_precision, response_db, sections, width_oct,
};
use underpin::settings::Settings;

/// Sample rate; b0, b1, b2, a1, a2 of band and box; a1, a2 of both high-pass sections; the whole in dB.
type Row = (f64, [[f64; 5]; 2], [[f64; 2]; 2], [f64; 4]);

const SCIPY: [Row; 3] = [
    (
        44_100.0,
        [
            [
                1.002178024462289,
                -1.995590807420446,
                0.993445190785528,
                -1.995590807420446,
                0.995623215247817,
            ],
            [
                1.001293097372494,
                -1.995235237597571,
                0.993983148939889,
                -1.995249413449605,
                0.995262070460349,
            ],
        ],
        [[-1.994740512409116, 0.994748610831624], [-1.997813341671618, 0.997821452569468]],
        [-13.491330157, 7.822019999, 6.749753723, 0.578436117],
    ),
    (
        48_000.0,
        [
            [
                1.002001415691053,
                -1.995950753815563,
                0.993976698498641,
                -1.995950753815563,
                0.995978114189694,
            ],
            [
                1.001187733307279,
                -1.995623533039825,
                0.994470421933898,
                -1.995635501208194,
                0.995646187072809,
            ],
        ],
        [[-1.995167418322513, 0.995174255672988], [-1.997991434939058, 0.997998281967313]],
        [-13.491327830, 7.822019517, 6.749757809, 0.578439172],
    ),
    (
        96_000.0,
        [
            [
                1.001001714737894,
                -1.997980186734309,
                0.996985318986123,
                -1.997980186734309,
                0.997987033724017,
            ],
            [
                1.000593017292351,
                -1.997815047431704,
                0.997230695138499,
                -1.997818042740051,
                0.997820717122503,
            ],
        ],
        [[-1.997582499874065, 0.997584211277113], [-1.998996926401189, 0.998998639016028]],
        [-13.491318377, 7.822017563, 6.749774399, 0.578451581],
    ),
];

/// Values that are exact in 32 bits.
fn planted() -> Settings {
    settings(&[
        ("low_band.gain_db", "6"),
        ("low_band.centre_hz", "40"),
        ("low_band.width_oct", "1.5"),
        ("closed_box.on", "on"),
        ("closed_box.from_hz", "45"),
        ("closed_box.from_q", "0.875"),
        ("closed_box.to_hz", "25"),
        ("closed_box.to_q", "0.75"),
        ("high_pass.order", "4"),
        ("high_pass.hz", "20"),
    ])
}

#[track_caller]
fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found}, not {expected}");
}

fn numbers(section: &Section) -> Vec<f64> {
    section.b.into_iter().chain(section.a).collect()
}

#[test]
fn the_coefficients_are_those_of_scipy() {
    for (rate_hz, curves, high_pass, levels_db) in SCIPY {
        let found = sections(&planted(), rate_hz);
        let stages: Vec<&str> = found.iter().map(|section| section.stage).collect();
        assert_eq!(stages, ["low band", "closed box", "high-pass", "high-pass"]);
        for (section, wanted) in found.iter().zip(curves) {
            for (found, wanted) in numbers(section).into_iter().zip(wanted) {
                near(section.stage, found, wanted, 1e-9);
            }
        }
        // Which of two sections comes first is nobody's business.
        let mut poles: Vec<[f64; 2]> = found[2..].iter().map(|section| section.a).collect();
        poles.sort_by(|a, b| a[1].total_cmp(&b[1]));
        for (found, wanted) in poles.iter().zip(high_pass) {
            near("a1", found[0], wanted[0], 1e-9);
            near("a2", found[1], wanted[1], 1e-9);
        }
        for (hz, db) in [10.0, 20.0, 45.0, 120.0].into_iter().zip(levels_db) {
            near("response", response_db(&found, hz, rate_hz), db, 1e-6);
        }
    }
}

#[test]
fn the_published_extensions_are_met() {
    // scipy.signal.bilinear at 48 kHz: f0, Q0, fp, Qp -> b0, b1, b2, a1, a2. The settings are 32-bit
    // floats: 0.9 and 1.21 are 3e-8 off there, which moves b0 by 1e-10.
    let rows = [
        (
            ["55", "1.21", "19", "0.5"],
            [1.000498071069, -1.995009222785, 0.994562855601, -1.995031989587, 0.995038159869],
        ),
        (
            ["45", "0.9", "25", "0.70710678"],
            [1.000962258728, -1.995360042713, 0.994432401615, -1.995372009301, 0.995382693755],
        ),
        (
            ["60", "0.70710678", "30", "0.70710678"],
            [1.002780635784, -1.994423349937, 0.991704228131, -1.994446417679, 0.994461796173],
        ),
    ];
    for ([f0, q0, fp, qp], wanted) in rows {
        let set = settings(&[
            ("closed_box.on", "on"),
            ("closed_box.from_hz", f0),
            ("closed_box.from_q", q0),
            ("closed_box.to_hz", fp),
            ("closed_box.to_q", qp),
        ]);
        let found = &sections(&set, 48_000.0)[0];
        for (found, wanted) in numbers(found).into_iter().zip(wanted) {
            near("closed box", found, wanted, 2e-10);
        }
    }
}

#[test]
fn single_precision_is_told_to_be_worse_where_it_is() {
    // A band of 20 Hz, Q 1, +6 dB, its cookbook coefficients put through numpy.float32: the largest
    // difference of scipy.signal.freqz at 10·2^(i/24) Hz up to 400 Hz.
    let q_of_one = format!("{}", 2.0 * 0.5f64.asinh() / std::f64::consts::LN_2);
    let set = settings(&[
        ("low_band.gain_db", "6"),
        ("low_band.centre_hz", "20"),
        ("low_band.width_oct", &q_of_one),
    ]);
    for (rate_hz, wanted) in [(48_000.0, 0.040_161), (192_000.0, 0.489_561)] {
        let all = sections(&set, rate_hz);
        assert!(error_db(&all, &set, rate_hz) < 1e-6);
        let single = error_db(&in_single_precision(&all), &set, rate_hz);
        near("single precision", single, wanted, 1e-5);
    }
}

/// The analogue band: (u² + A²/Q²)/(u² + 1/(A·Q)²), u = f/f0 - f0/f (Audio EQ Cookbook).
fn analogue_db(gain_db: f64, q: f64, ratio: f64) -> f64 {
    let a = 10f64.powf(gain_db / 40.0);
    let u = (ratio - 1.0 / ratio).powi(2);
    10.0 * ((u + (a / q).powi(2)) / (u + (1.0 / (a * q)).powi(2))).log10()
}

#[test]
fn three_definitions_name_one_band() {
    for gain in [9.0, -9.0] {
        let q = Qualities::new(gain, 1.0);
        // One octave between the half-gain points is a quality of 1.414214 (analogue closed form).
        near("half gain", q.half_gain, std::f64::consts::SQRT_2, 1e-6);
        near("poles", q.poles, std::f64::consts::SQRT_2 * 10f64.powf(9.0 / 40.0), 1e-6);
        // At the edges of each width the band must have the level that its definition names.
        let edge = |q: f64| (0.5 * width_oct(q)).exp2();
        near("half gain", analogue_db(gain, q.half_gain, edge(q.half_gain)), gain / 2.0, 1e-6);
        let off = gain - 3.010_299_957 * gain.signum();
        near("3 dB", analogue_db(gain, q.half_gain, edge(q.three_db.unwrap())), off, 1e-6);
    }
    assert_eq!(Qualities::new(3.0, 1.0).three_db, None);
    near("width", width_oct(0.919_803), 1.5, 1e-5);
}

#[test]
fn what_is_typed_in_is_rounded_and_says_how_far_off_it_is() {
    let set = settings(&[
        ("low_band.gain_db", "6.04"),
        ("low_band.centre_hz", "40.4"),
        ("low_band.width_oct", "1"),
    ]);
    let typed = Typed::new(&set);
    assert_eq!((typed.centre_hz, typed.q), (40.0, 1.41));
    near("gain", typed.gain_db, 6.0, 1e-9);
    // By the analogue band from 10 to 400 Hz.
    let off = (0..=400).fold(0.0f64, |most, i| {
        let hz = 10.0 * 40f64.powf(f64::from(i) / 400.0);
        let exact = analogue_db(
            f64::from(set.low_band_gain_db),
            std::f64::consts::SQRT_2,
            hz / f64::from(set.low_band_centre_hz),
        );
        most.max((analogue_db(6.0, 1.41, hz / 40.0) - exact).abs())
    });
    near("error", typed.error_db, off, 0.01);
}
