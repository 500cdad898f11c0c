//! Axes, reduction, cutting and words, held against closed forms and standards.

use underpin::figures;
use underpin::plot::axis::{FrequencyAxis, LevelAxis};
use underpin::plot::columns::{Pick, cut, reduce};
use underpin::plot::scene::Role;

/// ISO 266, preferred frequencies R10, 16 Hz to 1 kHz.
const ISO_266_HZ: [f64; 19] = [
    16.0, 20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0,
    400.0, 500.0, 630.0, 800.0, 1000.0,
];

#[track_caller]
fn near(found: f64, wanted: f64, tolerance: f64) {
    assert!((found - wanted).abs() <= tolerance, "{found}, not {wanted}");
}

#[test]
fn a_frequency_lies_where_its_logarithm_lies() {
    // Closed form: ln(f/16) / ln(1000/16). Tolerance: rounding of f64.
    for hz in [16.0, 20.0, 31.5, 126.491, 440.0, 1000.0] {
        let wanted = (hz / 16.0f64).ln() / (1000.0f64 / 16.0).ln();
        near(FrequencyAxis::LOW_END.share(hz), wanted, 1e-12);
        near(FrequencyAxis::LOW_END.hz(wanted), hz, 1e-9);
    }
}

#[test]
fn every_octave_is_equally_wide() {
    let axis = FrequencyAxis::WHOLE;
    let octave = axis.share(32.0) - axis.share(16.0);
    for hz in [20.0, 100.0, 1234.5, 10000.0] {
        near(axis.share(2.0 * hz) - axis.share(hz), octave, 1e-12);
    }
}

#[test]
fn the_ticks_are_those_of_iso_266() {
    let ticks = FrequencyAxis::LOW_END.ticks(650.0);
    let found: Vec<f64> = ticks.iter().map(|tick| tick.value).collect();
    assert_eq!(found.len(), ISO_266_HZ.len());
    for (found, wanted) in found.iter().zip(ISO_266_HZ) {
        near(*found, wanted, 1e-9);
    }
    let words: Vec<&str> = ticks.iter().map(|tick| tick.words.as_str()).collect();
    assert_eq!(words[..6], ["16", "20", "25", "31.5", "40", "50"]);
    assert_eq!(words[18], "1k");
}

#[test]
fn narrow_axes_thin_to_one_two_five() {
    let ticks = FrequencyAxis::LOW_END.ticks(320.0);
    let words: Vec<String> =
        ticks.into_iter().map(|tick| tick.words).filter(|words| !words.is_empty()).collect();
    assert_eq!(words, ["20", "50", "100", "200", "500", "1k"]);
}

#[test]
fn neighbouring_frequencies_never_touch_at_any_width() {
    for axis in [FrequencyAxis::LOW_END, FrequencyAxis::WHOLE] {
        for width in 120..1400 {
            let width = f64::from(width);
            let ticks = axis.ticks(width);
            let shown = ticks.iter().filter(|tick| !tick.words.is_empty());
            let spans: Vec<(f64, f64)> = shown
                .map(|tick| {
                    let half = Role::Strong.width(&tick.words) / 2.0;
                    let x = width * axis.share(tick.value);
                    (x - half, x + half)
                })
                .collect();
            assert!(spans.len() > 1, "nothing left at {width}");
            let apart = spans.windows(2).all(|pair| pair[0].1 < pair[1].0);
            assert!(apart, "labels touch at {width} px");
        }
    }
}

#[test]
fn level_ticks_are_whole_steps_through_zero_and_keep_apart() {
    for (bottom_db, top_db) in [(-45.0, 9.0), (-105.0, 4.0), (-20.0, 12.0), (-45.0, 60.0)] {
        for height in [60.0, 150.0, 290.0, 900.0] {
            let axis = LevelAxis { bottom_db, top_db };
            let values: Vec<f64> = axis.ticks(height, 28.0).iter().map(|t| t.value).collect();
            assert!(values.contains(&0.0), "0 dB is missing");
            for pair in values.windows(2) {
                let pixels = (pair[1] - pair[0]) / (top_db - bottom_db) * height;
                assert!(pixels >= 28.0, "{pixels} px apart");
                near((pair[1] - pair[0]).fract(), 0.0, 0.0);
            }
        }
    }
}

#[test]
fn a_long_line_keeps_one_point_a_column() {
    let points: Vec<(f64, f64)> =
        (0..32768).map(|i| (f64::from(i) * 800.0 / 32768.0, f64::from(i % 7))).collect();
    for pick in [Pick::Mean, Pick::Highest, Pick::Lowest] {
        let short = reduce(&points, pick);
        assert_eq!(short.len(), 800);
        let column = |i: usize| short[i].0.floor() as usize;
        assert!((0..short.len()).all(|i| column(i) == i), "a column has two points or none");
    }
    // Column 0 holds points 0 to 40: mean of 0..6 repeated, closed form below.
    let first: Vec<f64> = points.iter().take_while(|p| p.0 < 1.0).map(|p| p.1).collect();
    let mean = first.iter().sum::<f64>() / first.len() as f64;
    near(reduce(&points, Pick::Mean)[0].1, mean, 1e-12);
    near(reduce(&points, Pick::Highest)[0].1, 0.0, 0.0);
    near(reduce(&points, Pick::Lowest)[0].1, 6.0, 0.0);
}

#[test]
fn what_is_not_finite_is_left_out_of_a_line() {
    let points = [(0.0, 1.0), (1.5, f64::NAN), (f64::INFINITY, 2.0), (2.5, 3.0)];
    assert_eq!(reduce(&points, Pick::Mean), [(0.0, 1.0), (2.5, 3.0)]);
}

#[test]
fn a_line_is_cut_exactly_at_the_frame() {
    // y = 2x - 5 between x = 0 and 10 crosses y = 0 at 2.5 and y = 10 at 7.5.
    let pieces = cut(&[(0.0, -5.0), (10.0, 15.0)], 0.0, 10.0);
    assert_eq!(pieces, [vec![(2.5, 0.0), (7.5, 10.0)]]);
    // A line that leaves and returns falls in two.
    let pieces = cut(&[(0.0, 5.0), (10.0, 15.0), (20.0, 5.0)], 0.0, 10.0);
    assert_eq!(pieces, [vec![(0.0, 5.0), (5.0, 10.0)], vec![(15.0, 10.0), (20.0, 5.0)]]);
    assert!(cut(&[(0.0, 11.0), (10.0, 12.0)], 0.0, 10.0).is_empty());
    assert!(cut(&[(0.0, f64::NAN), (10.0, 5.0)], 0.0, 10.0).is_empty());
}

#[test]
fn figures_have_one_decimal_a_true_minus_and_a_sign_on_differences() {
    let cases = [(0.1, "+0.1"), (-3.6, "\u{2212}3.6"), (0.0, "0.0"), (-0.04, "0.0"), (0.04, "0.0")];
    for (value, wanted) in cases {
        assert_eq!(figures::difference(value), wanted);
    }
    assert_eq!(figures::level(-23.44, 1), "\u{2212}23.4");
    assert_eq!(figures::level(f64::NEG_INFINITY, 1), "\u{2013}");
    assert_eq!(figures::level(-400.0, 1), "\u{2013}");
    assert_eq!(figures::frequency(31.5), "31.5");
    assert_eq!(figures::frequency(12500.0), "12.5k");
    assert_eq!(figures::ascii("\u{2212}3.6"), "-3.6");
    assert_eq!(figures::true_minus("-3 dB, 2-3"), "\u{2212}3 dB, 2-3");
}

#[test]
fn shares_are_percentages_of_two_figures() {
    let cases = [
        (0.716, "72 %"),
        (0.00096, "0.096 %"),
        (0.0003, "0.030 %"),
        (0.045, "4.5 %"),
        (1.0, "100 %"),
        (0.0, "< 0.0001 %"),
        (0.000_001_6, "0.00016 %"),
        (1e-9, "< 0.0001 %"),
        (1e9, "> 9999 %"),
        (f64::NAN, "\u{2013}"),
    ];
    for (share, wanted) in cases {
        assert_eq!(figures::percent(share), wanted);
    }
}
