//! Closed and vented boxes, excursion, and the nearest one band, against closed forms and tables
//! computed apart from the program.

use underpin::planning::closed_box::{Alignment, Driver, loudest, piston_db};
use underpin::planning::nearest_band::NearestBand;
use underpin::planning::vented_box::VentedBox;

/// The quality of a maximally flat second-order filter.
const FLAT: f64 = std::f64::consts::FRAC_1_SQRT_2;

#[track_caller]
fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found}, not {expected}");
}

#[test]
fn a_driver_in_a_box_has_the_handbook_alignment() {
    // Small 1972 (from memory), computed with numpy: fs, Qts, Vas, Vb -> fc, Qtc, f3, peak.
    let rows = [
        ([25.0, 0.40, 100.0, 40.0], [46.7707, 0.748331, 44.3356, 0.0501]),
        ([28.0, 0.45, 80.0, 28.3], [54.7746, 0.880306, 46.0330, 0.584]),
        ([22.0, 0.5, 120.0, 60.0], [38.1051, 0.866025, 32.3503, 0.5115]),
    ];
    for ([fs, qts, vas, vb], [fc, qtc, f3, peak]) in rows {
        let found = Alignment::of_box(fs, qts, vas, vb);
        near("fc", found.hz, fc, 1e-4);
        near("Qtc", found.q, qtc, 1e-6);
        near("f3", found.f3_hz(), f3, 2e-4);
        near("peak", found.peak().expect("a peak").1, peak, 1e-3);
    }
    near("peak at", Alignment::of_box(28.0, 0.45, 80.0, 28.3).peak().unwrap().0, 91.95, 0.01);
    near("peak at", Alignment::of_box(22.0, 0.5, 120.0, 60.0).peak().unwrap().0, 66.0, 0.01);
}

#[test]
fn f3_follows_the_quality() {
    // sqrt{[(1/Q²-2) + sqrt((1/Q²-2)² + 4)]/2}, computed with numpy.
    let table = [
        (0.5, 1.55377),
        (0.577_350, 1.27202),
        (0.6, 1.20907),
        (FLAT, 1.0),
        (0.8, 0.89716),
        (0.9, 0.82947),
        (1.0, 0.78615),
        (1.2, 0.73582),
        (1.5, 0.69935),
    ];
    for (q, ratio) in table {
        let found = Alignment { hz: 100.0, q };
        near("f3", found.f3_hz() / 100.0, ratio, 1e-5);
        near("3 dB down", found.response_db(found.f3_hz()), -3.0103, 1e-4);
    }
}

#[test]
fn the_equaliser_has_the_values_of_the_bilinear_transform() {
    // scipy.signal.bilinear at 48 kHz, then freqz: 10, 20, 40, 80 and 200 Hz; gain at 0 Hz.
    let rows = [
        ([55.0, 1.21, 19.0, 0.5], 18.46436, [16.1521, 11.2468, 1.4229, -2.6884, -0.5061]),
        ([45.0, 0.9, 25.0, FLAT], 10.21090, [9.9448, 8.2032, 1.5133, -0.7067, -0.1611]),
        ([60.0, FLAT, 30.0, FLAT], 12.04120, [11.9913, 11.3116, 6.6326, 1.1088, 0.0328]),
    ];
    for ([f0, q0, fp, qp], dc, wanted) in rows {
        let (from, to) = (Alignment { hz: f0, q: q0 }, Alignment { hz: fp, q: qp });
        near("at 0 Hz", from.dc_gain_to_db(&to), dc, 1e-5);
        for (hz, db) in [10.0, 20.0, 40.0, 80.0, 200.0].into_iter().zip(wanted) {
            // The digital filter is warped by less than 1e-3 dB below 200 Hz.
            near("gain", from.gain_to_db(&to, hz), db, 1e-3);
        }
    }
}

#[test]
fn a_piston_moves_as_far_as_its_level_asks() {
    // p = rho·w²·Sd·x/(sqrt2·2·pi·r), rho 1.2041: peak mm for 90, 100 and 110 dB SPL at 1 m, half space.
    let rows = [
        (220.0, 20.0, [13.43, 42.48, 134.3]),
        (330.0, 30.0, [3.98, 12.59, 39.8]),
        (500.0, 20.0, [5.91, 18.69, 59.1]),
        (500.0, 40.0, [1.48, 4.67, 14.8]),
        (830.0, 60.0, [0.40, 1.25, 3.96]),
    ];
    for (sd, hz, wanted) in rows {
        let driver = Driver { sd_cm2: Some(sd), ..Driver::default() };
        for (level, mm) in [90.0, 100.0, 110.0].into_iter().zip(wanted) {
            let found = driver.excursion_mm(level, hz).expect("an area is given");
            // The table has two places, or three digits.
            near("excursion", found, mm, 0.0051 + 2e-3 * mm);
        }
    }
    // One litre of peak volume at 20 Hz.
    near("one litre", piston_db(1000.0, 10.0, 20.0), 100.587, 1e-3);
}

#[test]
fn efficiency_is_the_textbook_one() {
    // 9.64e-10·fs³·Vas/Qes (fs in Hz, Vas in litres; from memory, speed of sound 345 m/s) is 0.335 %
    // here; 0 dB of efficiency is 112.1 dB SPL at 1 m for 1 W in half space (from memory).
    let driver =
        Driver { fs_hz: Some(25.0), vas_l: Some(100.0), qes: Some(0.45), ..Driver::default() };
    let expected = 112.1 + 10.0 * (9.64e-10 * 25f64.powi(3) * 100.0 / 0.45).log10();
    near("1 W", driver.one_watt_db().unwrap(), expected, 0.15);
    assert_eq!(Driver { qes: None, ..driver }.one_watt_db(), None);
}

#[test]
fn below_the_resonance_the_excursion_of_a_steady_voltage_is_constant() {
    // The response falls by 40 dB a decade there and the excursion that a level asks rises by as much:
    // their product, the excursion of one voltage, must not move (Small 1972, from memory).
    let from = Alignment { hz: 60.0, q: 0.8 };
    let driver = Driver { sd_cm2: Some(500.0), ..Driver::default() };
    let at = |hz: f64| driver.excursion_mm(90.0 + from.response_db(hz), hz).unwrap();
    near("excursion", at(4.0) / at(2.0), 1.0, 0.01);
}

#[test]
fn what_ends_the_level_is_the_lower_limit() {
    let from = Alignment { hz: 45.0, q: 0.9 };
    let to = Alignment { hz: 25.0, q: FLAT };
    let driver = Driver {
        fs_hz: Some(25.0),
        vas_l: Some(100.0),
        qes: Some(0.45),
        sd_cm2: Some(500.0),
        xmax_mm: Some(8.0),
        power_w: Some(300.0),
    };
    let found = loudest(&driver, &from, &to, 20.0).expect("limits are given");
    // By hand at 20 Hz: 8 mm of 500 cm² give 92.63 dB (table of the piston), the response asked there is
    // -10·lg(1 + (25/20)⁴) = -5.367 dB.
    near("level", found.level_db, 92.63 + 5.367, 0.01);
    assert!(found.by_excursion && (found.hz - 20.0).abs() < 1e-9);
    let strong = Driver { xmax_mm: Some(800.0), ..driver };
    let by_power = loudest(&strong, &from, &to, 20.0).expect("limits are given");
    assert!(!by_power.by_excursion);
    assert_eq!(loudest(&Driver::default(), &from, &to, 20.0), None);
}

/// The cookbook band by its biquad at 48 kHz (Audio EQ Cookbook, W3C Note 2021).
fn cookbook_db(gain_db: f64, centre_hz: f64, width_oct: f64, hz: f64) -> f64 {
    let w0 = std::f64::consts::TAU * centre_hz / 48_000.0;
    let a = 10f64.powf(gain_db / 40.0);
    let alpha = w0.sin() * (0.5 * std::f64::consts::LN_2 * width_oct * w0 / w0.sin()).sinh();
    let w = std::f64::consts::TAU * hz / 48_000.0;
    let magnitude = |alpha: f64| {
        let p = [1.0 + alpha, -2.0 * w0.cos(), 1.0 - alpha];
        let re = p[0] + p[1] * w.cos() + p[2] * (2.0 * w).cos();
        (re, p[1] * w.sin() + p[2] * (2.0 * w).sin())
    };
    let (up, down) = (magnitude(alpha * a), magnitude(alpha / a));
    20.0 * (up.0.hypot(up.1) / down.0.hypot(down.1)).log10()
}

#[test]
fn a_band_is_found_again() {
    let found = NearestBand::find(16.0, 200.0, |hz| cookbook_db(7.5, 41.0, 1.3, hz));
    near("gain", found.gain_db, 7.5, 0.01);
    near("centre", found.centre_hz, 41.0, 0.05);
    near("width", found.width_oct, 1.3, 0.01);
    assert!(found.worst_db.abs() < 0.01 && found.is_enough());
}

#[test]
fn one_band_is_enough_for_a_little_and_not_for_much() {
    // The error is held against the cookbook's own band, not against the finder's.
    let from = Alignment { hz: 45.0, q: 0.8 };
    let worst = |to: Alignment, band: &NearestBand| {
        (0..=200).fold(0.0f64, |worst, i| {
            let hz = 20.0 * 10f64.powf(f64::from(i) / 200.0);
            let band = cookbook_db(band.gain_db, band.centre_hz, band.width_oct, hz);
            worst.max((band - from.gain_to_db(&to, hz)).abs())
        })
    };
    let little = Alignment { hz: 38.0, q: 0.7 };
    let much = Alignment { hz: 18.0, q: 0.5 };
    let small = NearestBand::find(20.0, 200.0, |hz| from.gain_to_db(&little, hz));
    let large = NearestBand::find(20.0, 200.0, |hz| from.gain_to_db(&much, hz));
    // Between two steps of a sixth of an octave the error can be a little larger.
    near("error", worst(little, &small), small.worst_db.abs(), 0.05);
    near("error", worst(much, &large), large.worst_db.abs(), 0.2);
    println!("little {small:?}, much {large:?}");
    assert!(small.is_enough());
    assert!(!large.is_enough());
}

#[test]
fn a_maximally_flat_vented_box_is_a_fourth_order_butterworth_filter() {
    // -10·lg(1 + (fb/f)^8): 0.5/1/2/4 -> -0.017/-3.010/-24.099/-48.165 dB.
    let found = VentedBox::maximally_flat(35.0);
    for (ratio, db) in [(0.5, -0.017), (1.0, -3.010), (2.0, -24.099), (4.0, -48.165)] {
        near("response", found.response_db(35.0 / ratio), db, 2e-3);
    }
}

#[test]
fn a_vented_cone_stands_still_at_the_tuning_and_runs_below_it() {
    let found = VentedBox::maximally_flat(35.0);
    // Without leakage the port alone plays at the tuning.
    assert!(found.excursion_db(35.0) < -100.0);
    // Far below, the suspension alone holds the cone, as for a steady voltage.
    near("far below", found.excursion_db(1.0), 0.0, 0.05);
    // One octave below, a hand calculation: x = 0.5, numerator (1-x²)² = 0.5625,
    // |D|² = 1 + x^8 = 1.00390625, so -2.515 dB.
    near("one octave below", found.excursion_db(17.5), -2.515, 0.002);
    let hz = found.unloads_below_hz();
    assert!((20.0..35.0).contains(&hz), "{hz}");
    // A fourth-order Butterworth high-pass at 0.8 of the tuning holds it.
    let protected = |hz: f64| -10.0 * (1.0 + (28.0 / hz).powi(8)).log10();
    assert!(found.unloading_db(17.5, |_| 0.0) > 5.0);
    assert!(found.unloading_db(17.5, protected) < 0.0);
}
