//! Exported figures are those of `measure`, and a spreadsheet can read them.

use underpin::analysis::window::Window;
use underpin::measure::{Ask, Measure};
use underpin::report::{Run, Sheet, csv};

#[cfg(feature = "cli")]
use crate::program::Bench;
use crate::sheets::{absurd, noise, ordinary, spectrum, tone};

const RATE_HZ: f64 = 48_000.0;

/// The cells of a column, by the name in its head.
#[track_caller]
fn column<'a>(text: &'a str, name: &str) -> Vec<&'a str> {
    let mut rows = text.lines().map(|row| row.split(',').collect::<Vec<_>>());
    let head = rows.next().expect("a head");
    let at = head.iter().position(|cell| *cell == name).expect(name);
    rows.map(|row| row[at]).collect()
}

/// Every row has as many cells as the head, and each is empty or a number.
#[track_caller]
fn check_table(text: &str) {
    let width = text.lines().next().expect("a head").split(',').count();
    for row in text.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        assert_eq!(cells.len(), width, "{row}");
        let is_number =
            |cell: &&str| cell.is_empty() || cell.parse::<f64>().is_ok_and(f64::is_finite);
        assert!(cells.iter().all(is_number), "{row}");
    }
}

#[test]
fn every_table_is_a_table_of_numbers() {
    let mut sheets = absurd();
    sheets.push(ordinary());
    let mut tone_only = ordinary();
    tone_only.runs = vec![tone(60.0, 34.0)];
    sheets.push(tone_only);
    for sheet in &sheets {
        let tables =
            [csv::spectrum(sheet), csv::bands(sheet), csv::partials(sheet), csv::scope(sheet)];
        tables.iter().flatten().for_each(|table| check_table(table));
    }
    assert!(csv::bands(&Sheet::default()).is_none());
}

#[test]
fn layers_add_up_from_what_arrives_to_what_comes_out() {
    // Without high-pass and output gain the layers are all there is between both ends.
    let mut sheet = ordinary();
    sheet.runs = vec![noise()];
    let table = csv::bands(&sheet).expect("a table");
    let of = |name: &str| -> Vec<f64> {
        column(&table, name).iter().map(|cell| cell.parse().unwrap_or(f64::NAN)).collect()
    };
    let (given, octave, low, out) = (
        of("radio_gives_db_re_200_1000_hz"),
        of("octave_part_adds_db"),
        of("low_band_adds_db"),
        of("comes_out_db_re_200_1000_hz"),
    );
    let at = of("nominal_hz").iter().position(|hz| *hz == 100.0).expect("100 Hz");
    let sum = given[at] + octave[at] + low[at];
    // The high-pass of the scenario takes 0.01 dB at 100 Hz (2nd order at 20 Hz: 10·log(1 + 0.2⁴)).
    assert!((sum - out[at]).abs() < 0.02, "{sum} where {} comes out", out[at]);
}

#[test]
fn each_layer_stands_in_its_own_column() {
    // The stages as plain gains: power times 4, then times 2: 6.02 and 3.01 dB.
    let mut run = noise();
    let pink = |times: f64| spectrum(move |hz| times * 1e-4 / hz);
    run.readings.before.spectrum = pink(1.0);
    let strata = run.readings.strata.as_mut().expect("layers");
    (strata.dry, strata.blend, strata.low_band) = (pink(1.0), pink(4.0), pink(8.0));
    run.readings.after.as_mut().expect("an output").spectrum = pink(16.0);
    let mut sheet = ordinary();
    sheet.runs = vec![run];
    for table in [csv::bands(&sheet), csv::spectrum(&sheet)].into_iter().flatten() {
        for (name, want) in [
            ("radio_gives_db_re_200_1000_hz", 0.0),
            ("octave_part_adds_db", 6.0206),
            ("low_band_adds_db", 3.0103),
            ("comes_out_db_re_200_1000_hz", 12.0412),
        ] {
            // Bins of 0.5 Hz hold pink noise to 0.03 dB at the lowest band; they end at 2 kHz.
            let first = table.split(',').next().expect("a head");
            let hz = column(&table, first).into_iter().map(|hz| hz.parse::<f64>().expect("Hz"));
            let cells = column(&table, name).into_iter().zip(hz);
            let levels: Vec<f64> = cells
                .filter(|(_, hz)| *hz <= 1000.0)
                .map(|(cell, _)| cell.parse().expect("a level"))
                .collect();
            assert!(levels.len() > 15);
            assert!(levels.iter().all(|db| (db - want).abs() < 0.05), "{name}: {levels:?}");
        }
    }
}

#[test]
fn the_waves_of_a_tone_run_over_its_span() {
    // A trace of two periods of 30 Hz, evenly spaced: 66.667 ms, the first row at 0.
    let mut sheet = ordinary();
    sheet.runs = vec![tone(60.0, 0.0)];
    let table = csv::scope(&sheet).expect("a table");
    let times: Vec<f64> =
        column(&table, "time_ms").iter().map(|cell| cell.parse().expect("a time")).collect();
    let step = times[1] - times[0];
    assert_eq!(times[0], 0.0);
    assert!((times[times.len() - 1] + step - 1000.0 * 4.0 / 60.0).abs() < 0.01, "{times:?}");
    // The dry part is a sine of 60 Hz and the octave part one of 30 Hz: zero after half a period.
    let at = |name: &str, ms: f64| -> f64 {
        let row = (ms / step).round() as usize;
        column(&table, name)[row].parse().expect("a value")
    };
    assert!(at("dry", 1000.0 / 120.0).abs() < 0.01);
    assert!((at("dry", 1000.0 / 240.0) - 0.25).abs() < 0.001);
    assert!((at("octave_part", 0.0) - 0.18 * 0.3f64.sin()).abs() < 0.001);
    assert!((at("comes_out", 0.0) - 0.18 * 0.3f64.sin()).abs() < 0.001);
}

#[test]
fn a_line_is_told_re_its_tone_and_re_full_scale() {
    // The half lies 2.9 dB below a tone of −12 dBFS.
    let mut sheet = ordinary();
    sheet.runs = vec![tone(60.0, 0.0)];
    let table = csv::partials(&sheet).expect("a table");
    let row = column(&table, "order").iter().position(|order| *order == "0.5000").expect("a half");
    for (name, want) in [("frequency_hz", 30.0), ("db_re_tone", -2.9), ("dbfs", -14.9)] {
        let told: f64 = column(&table, name)[row].parse().expect("a figure");
        assert!((told - want).abs() < 1e-3, "{name}: {told}");
    }
}

#[test]
fn bands_have_nominal_and_exact_frequencies() {
    let table = csv::bands(&ordinary()).expect("a table");
    let nominal = column(&table, "nominal_hz");
    let exact = column(&table, "exact_hz");
    let at = nominal.iter().position(|hz| *hz == "31.5").expect("31.5 Hz");
    // IEC 61260-1: band -15 of base 10 lies at 1000·10^(-1.5) = 31.6228 Hz.
    assert_eq!(exact[at], "31.6228");
}

#[cfg(feature = "cli")]
#[test]
fn the_figures_are_those_of_the_program_on_the_same_samples() {
    let fraction = |n: usize| ((n * n) as f64 * 0.618_033_988_749_895) % 1.0;
    let samples: Vec<f32> = (0..96_000).map(|n| (0.4 * (fraction(n) - 0.5)) as f32).collect();
    let bench = Bench::new();
    bench.write_wav("noise.wav", 1, &samples);
    let json = bench.does("measure noise.wav --json").json();
    let told = json["runs"][0]["before"]["bands"].as_array().expect("bands");

    let mut measure = Measure::new(RATE_HZ, 1, &Ask::default());
    let lane: Vec<f64> = samples.iter().map(|x| f64::from(*x)).collect();
    measure.push(&[&lane]);
    let mut sheet = Sheet::new("noise");
    sheet.runs = vec![Run::new("noise", measure.reading())];
    assert_eq!(sheet.runs[0].readings.before.spectrum.window, Window::Hann);
    let table = csv::bands(&sheet).expect("a table");
    let levels = column(&table, "radio_gives_dbfs");
    assert_eq!(levels.len(), told.len());
    for (level, told) in levels.iter().zip(told) {
        let told = told["dbfs"].as_f64().expect("a level");
        let level: f64 = level.parse().expect("a level");
        // Written to a thousandth.
        assert!((level - told).abs() <= 0.000_5 + 1e-9, "{level} where the program says {told}");
    }
}
