//! Weightings against the table of IEC 61672-1:2013.

use underpin::analysis::spectrum::Spectrum;
use underpin::analysis::weighting::Weighting;
use underpin::analysis::window::Window;

use crate::tones::{close, sine};

/// IEC 61672-1:2013 table 3 (as transcribed in PyOctaveBand 2.0.0 and acoustic-toolbox 0.2.2):
/// exponent of the exact frequency 10^(n/10), A and C in dB.
const TABLE: [(i32, f64, f64); 22] = [
    (10, -70.4, -14.3),
    (11, -63.4, -11.2),
    (12, -56.7, -8.5),
    (13, -50.5, -6.2),
    (14, -44.7, -4.4),
    (15, -39.4, -3.0),
    (16, -34.6, -2.0),
    (17, -30.2, -1.3),
    (18, -26.2, -0.8),
    (19, -22.5, -0.5),
    (20, -19.1, -0.3),
    (21, -16.1, -0.2),
    (22, -13.4, -0.1),
    (23, -10.9, 0.0),
    (24, -8.6, 0.0),
    (27, -3.2, 0.0),
    (30, 0.0, 0.0),
    (33, 1.2, -0.2),
    (36, 1.0, -0.8),
    (39, -1.1, -3.0),
    (41, -4.3, -6.2),
    (43, -9.3, -11.2),
];

/// The table is rounded to 0.1 dB, and prints 16 kHz and 20 kHz among the last rows.
#[test]
fn weightings_follow_the_table_at_the_exact_frequencies() {
    for (tenth, a, c) in TABLE {
        let hz = 10f64.powf(f64::from(tenth) / 10.0);
        close(Weighting::A.response_db(hz), a, 0.0501);
        close(Weighting::C.response_db(hz), c, 0.0501);
        assert_eq!(Weighting::Z.response_db(hz), 0.0);
    }
}

/// Annex E in closed form, evaluated with numpy to 1e-4 dB.
#[test]
fn weightings_follow_the_formula() {
    for (tenth, a, c) in [
        (11, -63.3711, -11.2486),
        (13, -50.4522, -6.2401),
        (15, -39.4400, -3.0103),
        (18, -26.1943, -0.8180),
        (24, -8.6303, 0.0000),
    ] {
        let hz = 10f64.powf(f64::from(tenth) / 10.0);
        close(Weighting::A.response_db(hz), a, 1e-4);
        close(Weighting::C.response_db(hz), c, 1e-4);
    }
}

#[test]
fn a_weighted_level_is_the_level_plus_the_response() {
    let x = sine(31.5, 0.5, 0.0, 4_000.0, 4.0);
    let spectrum = Spectrum::of(&[&x], 4_000.0, Window::Hann);
    close(Weighting::Z.level_dbfs(&spectrum), -6.0206, 1e-4);
    // The lobe is 1.5 bins wide on a slope of 0.4 dB a bin: 0.01 dB.
    close(Weighting::A.level_dbfs(&spectrum), -6.0206 + Weighting::A.response_db(31.5), 0.02);
    close(Weighting::C.level_dbfs(&spectrum), -6.0206 + Weighting::C.response_db(31.5), 0.02);
    assert!(Weighting::A.response_db(0.0) <= -400.0);
}
