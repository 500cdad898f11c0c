//! Volts and decibels against closed forms and the trade's tables.

use underpin::planning::gains::{
    AVERAGING_NOISE_DB, AVERAGING_SQUARE_DB, Chain, Overlap, Reading, dbu, dbv, target_volts,
};

#[track_caller]
fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found}, not {expected}");
}

#[test]
fn target_voltages_are_those_of_the_table() {
    // sqrt(P·R) in 4, 2 and 1 ohm, computed with numpy (common practice).
    let table = [
        (100.0, [20.000, 14.142, 10.000]),
        (250.0, [31.623, 22.361, 15.811]),
        (300.0, [34.641, 24.495, 17.321]),
        (500.0, [44.721, 31.623, 22.361]),
        (750.0, [54.772, 38.730, 27.386]),
        (1000.0, [63.246, 44.721, 31.623]),
        (1500.0, [77.460, 54.772, 38.730]),
    ];
    for (watts, volts) in table {
        for (ohm, volts) in [4.0, 2.0, 1.0].into_iter().zip(volts) {
            near("target", target_volts(watts, ohm), volts, 5e-4);
        }
    }
}

#[test]
fn volts_are_the_decibels_of_the_trade() {
    // 0 dBV = 1 V, 0 dBu = sqrt(0.6) V; V -> dBV, dBu.
    let table = [
        (0.5, -6.0206, -3.8021),
        (1.0, 0.0, 2.2185),
        (2.0, 6.0206, 8.2391),
        (4.0, 12.0412, 14.2597),
        (5.0, 13.9794, 16.1979),
        (8.0, 18.0618, 20.2803),
    ];
    for (volts, in_dbv, in_dbu) in table {
        near("dBV", dbv(volts), in_dbv, 5e-5);
        near("dBu", dbu(volts), in_dbu, 5e-5);
    }
    near("+4 dBu", dbu(1.227_653), 4.0, 1e-5);
    near("-10 dBV", dbu(0.316_228), -7.781_513, 1e-5);
}

#[test]
fn one_reading_gives_every_level_its_volts() {
    // 20·lg 10 = 20: a tone of -20 dBFS that reads 0.4 V is 4 V at full scale.
    let reading = Reading { volts: 0.4, tone_dbfs: -20.0 };
    near("full scale", reading.volts_at(0.0), 4.0, 1e-12);
    near("-6.0206 dBFS", reading.volts_at(-6.020_600), 2.0, 1e-6);
}

#[test]
fn a_margin_is_what_is_left_before_the_clipping() {
    let chain = Chain {
        radio_volts: 4.0,
        device_in_volts: Some(8.0),
        device_out_volts: Some(4.0),
        device_gain_db: 6.020_599_913,
        amplifier_in_volts: Some(8.0),
    };
    let margins: Vec<f64> = chain.stages().iter().map(|stage| stage.margin_db()).collect();
    for (found, wanted) in margins.into_iter().zip([6.0206, -6.0206, 0.0]) {
        near("margin", found, wanted, 1e-4);
    }
    assert!(Chain::default().stages().is_empty());
}

#[test]
fn an_averaging_meter_reads_noise_low_and_squares_high() {
    // Form factors (rms over mean of the magnitude): sine pi/(2 sqrt2) = 1.11072, Gaussian noise
    // sqrt(pi/2) = 1.25331, square 1.
    near("noise", AVERAGING_NOISE_DB, 20.0 * (1.110_72f64 / 1.253_31).log10(), 1e-3);
    near("square", AVERAGING_SQUARE_DB, 20.0 * 1.110_72f64.log10(), 1e-3);
}

#[test]
fn an_overlap_buys_power_with_clipping() {
    near("10 dB", Overlap { db: 10.0 }.power_factor(), 10.0, 1e-12);
    // Beyond 3 sigma lie 0.26998 % of Gaussian noise, beyond 1 sigma 31.7311 % (tables of the normal
    // distribution): crest factors of 9.5424 and 0 dB.
    near("3 sigma", Overlap { db: 0.0 }.clipped_share(9.542_425), 0.002_699_8, 1e-6);
    near("1 sigma", Overlap { db: 5.0 }.clipped_share(5.0), 0.317_311, 1e-6);
}
