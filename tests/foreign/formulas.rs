//! The gear's own formulas, held against scipy 1.17: `signal.butter`, `cheby1`, `cheby2`, `ellip`,
//! `bessel` as digital high-passes of second-order sections at 24 kHz.

use crate::elliptic::elliptic;
use crate::filter::{Roots, bessel, butterworth, chebyshev, inverse_chebyshev};

/// dB at 20, 40, 70, 100 and 400 Hz.
fn holds(roots: &Roots, hz: f64, truth: [f64; 5]) {
    let filter = roots.turned().at(hz, 24_000.0, 11_900.0);
    for (hz, truth) in [20.0, 40.0, 70.0, 100.0, 400.0].into_iter().zip(truth) {
        let db = filter.db(hz);
        // scipy's figures are rounded to 0.0001; its zeros at 1 are not exact.
        assert!((db - truth).abs() < 0.002, "{hz} Hz: {db} for {truth}");
    }
}

#[test]
fn foreign_filters_are_those_of_the_handbooks() {
    holds(&butterworth(8), 70.0, [-87.0527, -38.888, -3.0103, -0.0144, 0.0]);
    holds(&chebyshev(5, 1.0), 80.0, [-77.7266, -45.3074, -11.4266, -0.9948, -0.7362]);
    holds(&inverse_chebyshev(5, 40.0), 50.0, [-41.0723, -40.0251, -8.9548, -0.3192, 0.0]);
    holds(&bessel(3), 80.0, [-27.846, -12.0008, -4.0269, -1.8538, -0.1074]);
}

#[test]
fn elliptic_poles_are_those_of_scipy() {
    // signal.ellip(4, 0.5, 40, 1, analog=True, output='zpk') and signal.ellip(3, 1, 30, ...); scipy
    // solves the degree equation to about 2e-6.
    let found = elliptic(4, 0.5, 40.0);
    for (re, im) in [(-0.453_528_56, 0.492_009_88), (-0.135_958_72, 1.021_219_51)] {
        assert!(found.poles.iter().any(|p| (p.re - re).hypot(p.im.abs() - im) < 1e-5), "{found:?}");
    }
    for im in [3.861_380_23, 1.734_663_42] {
        assert!(found.zeros.iter().any(|z| (z.im - im).abs() < 1e-5), "{found:?}");
    }
    let odd = elliptic(3, 1.0, 30.0);
    assert!(odd.poles.iter().any(|p| (p.re + 0.559_559_8).abs() < 1e-5 && p.im == 0.0), "{odd:?}");
}
