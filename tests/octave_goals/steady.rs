//! Held tones: how exact, how pure (G1, G2), and a plucked string (G11).

use super::figure::{Figure, at_least, at_most, shown};
use super::fit::{blackman_harris, db, least_squares, strongest_line, tones};
use super::signals::{Random, pair, plucked, sampled, tone};
use super::{ANALYSIS_HZ, RATE_HZ, decimated, render};
use std::f64::consts::TAU;
use underpin::settings::{Response, Settings};

/// The tones of G1, in Hz.
pub(crate) const TONES: [f64; 8] = [40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 120.0, 150.0];
/// The pairs of G2, in Hz.
pub(crate) const PAIRS: [[f64; 2]; 5] =
    [[50.0, 80.0], [60.0, 90.0], [80.0, 100.0], [41.2, 82.4], [55.0, 65.0]];

/// Level error of the half and strongest other line below 1 kHz, both in dB, of one tone.
pub(crate) fn one_tone(settings: &Settings, amplitude: f64, hz: f64, rate_hz: f64) -> [f64; 2] {
    let y = render(settings, rate_hz, &tone(amplitude, hz, 7.0, rate_hz));
    let last = &y[(3.0 * rate_hz) as usize..];
    let window = blackman_harris(last.len());
    let fit = tones(last, rate_hz, &[0.5 * hz], &window);
    let other = strongest_line(&fit.rest, &window, rate_hz, 1000.0);
    [db(fit.amplitudes[0] / amplitude), db(other / fit.amplitudes[0])]
}

/// Worst level error of the two halves and everything else re both, in dB, of two tones.
pub(crate) fn two_tones(settings: &Settings, hz: [f64; 2], amplitudes: [f64; 2]) -> [f64; 2] {
    let y = decimated(&render(settings, RATE_HZ, &pair(hz, amplitudes, 11.0)));
    let last = &y[(3.0 * ANALYSIS_HZ) as usize..];
    let fit = tones(last, ANALYSIS_HZ, &hz.map(|hz| 0.5 * hz), &blackman_harris(last.len()));
    let error = |i: usize| db(fit.amplitudes[i] / amplitudes[i]).abs();
    [error(0).max(error(1)), fit.rest_db]
}

/// 24 pairs that nobody chose: 35..110 Hz, 10..45 Hz apart, the second 0..12 dB weaker.
pub(crate) fn random_pairs(settings: &Settings, seed: u64) -> Vec<f64> {
    let mut random = Random(seed);
    let mut rest_db = Vec::new();
    while rest_db.len() < 24 {
        let low = random.between(35.0, 100.0);
        let high = low + random.between(10.0, 45.0);
        let second = 0.25 * 10f64.powf(-random.between(0.0, 12.0) / 20.0);
        if high < 110.0 {
            rest_db.push(two_tones(settings, [low, high], [0.25, second])[1]);
        }
    }
    rest_db.sort_by(f64::total_cmp);
    rest_db
}

/// Level errors in dB of the halves of 55 Hz and 110 Hz of a plucked string, .1 to 1.2 s.
pub(crate) fn plucked_string(settings: &Settings) -> [f64; 2] {
    let y = decimated(&render(settings, RATE_HZ, &sampled(1.3, RATE_HZ, plucked)));
    let from = (0.1 * ANALYSIS_HZ) as usize;
    let last = &y[from..(1.2 * ANALYSIS_HZ) as usize];
    let wave = |n: f64, shift: f64| -> Vec<f64> {
        let at = |i: usize| (i + from) as f64 / ANALYSIS_HZ;
        let value = |t: f64| 0.3 / n * (-2.3 * n * t).exp() * (TAU * 27.5 * n * t + shift).cos();
        (0..last.len()).map(|i| value(at(i))).collect()
    };
    let basis: Vec<_> =
        [1.0, 2.0, 3.0].iter().flat_map(|&n| [wave(n, 0.0), wave(n, TAU / 4.0)]).collect();
    let (weights, _) = least_squares(&basis, last);
    [db(weights[0].hypot(weights[1])), db(weights[2].hypot(weights[3]))]
}

/// The largest of one of two values.
fn worst(values: &[[f64; 2]], i: usize) -> f64 {
    let value = |v: &[f64; 2]| if i == 0 { v[0].abs() } else { v[1] };
    values.iter().map(value).fold(-999.0, f64::max)
}

/// G1.
pub(crate) fn tone_figures(settings: &Settings) -> Vec<Figure> {
    let all = |settings: &Settings| TONES.map(|hz| one_tone(settings, 0.5, hz, RATE_HZ));
    let single = all(settings);
    let fast = all(&Settings { octave_response: Response::Fast, ..*settings });
    vec![
        at_most("G1 tones, level error, dB", worst(&single, 0), 0.1),
        at_most("G1 tones, worst other line, dB", worst(&single, 1), -120.0).stretch(-140.0),
        at_most("G1 tones, fast, worst other line, dB", worst(&fast, 1), -55.0),
    ]
}

/// G2.
pub(crate) fn pair_figures(settings: &Settings) -> Vec<Figure> {
    let pairs = PAIRS.map(|hz| two_tones(settings, hz, [0.25; 2]));
    let close = two_tones(settings, [60.0, 66.0], [0.25; 2]);
    let weak = two_tones(settings, [60.0, 66.0], [0.25, 0.25 * 10f64.powf(-0.5)]);
    let random = random_pairs(settings, 1);
    vec![
        at_most("G2 five pairs, level error, dB", worst(&pairs, 0), 1.0),
        at_most("G2 five pairs, worst rest, dB", worst(&pairs, 1), -120.0).stretch(-140.0),
        at_most("G2 24 random pairs, worst rest, dB", random[23], -120.0).stretch(-140.0),
        at_most("G2 24 random pairs, median rest, dB", random[12], -120.0).stretch(-140.0),
        at_most("G2 60 + 66 Hz, rest, dB", close[1], -60.0).stretch(-120.0),
        shown("G2 60 + 66 Hz, the second 10 dB weaker, rest, dB", weak[1]).stretch(-60.0),
    ]
}

/// G11.
pub(crate) fn string_figures(settings: &Settings) -> Vec<Figure> {
    let string = plucked_string(settings);
    vec![
        at_most("G11 plucked, half of 55 Hz, level error, dB", string[0].abs(), 0.5),
        at_least("G11 plucked, half of 110 Hz, level, dB", string[1], -2.5).stretch(-1.0),
    ]
}

/// G1, G2 and G11.
pub(crate) fn figures(settings: &Settings) -> Vec<Figure> {
    [tone_figures, pair_figures, string_figures].iter().flat_map(|all| all(settings)).collect()
}
