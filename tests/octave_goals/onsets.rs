//! How soon: bursts (G3), two tones starting together (G4), glides (G6).

use super::figure::{Figure, at_most};
use super::fit::{db, envelope, tones};
use super::signals::{glide, pair, sampled};
use super::{ANALYSIS_HZ, RATE_HZ, decimated, render};
use std::f64::consts::TAU;
use underpin::settings::{Response, Settings};

/// Rise to 90 % in ms, overshoot in dB, tail to -40 dB in ms, of half a second of `hz`.
pub(crate) fn burst(settings: &Settings, hz: f64) -> [f64; 3] {
    let x = sampled(3.0, RATE_HZ, |t| match t {
        1.0..1.5 => 0.5 * (TAU * hz * (t - 1.0)).sin(),
        _ => 0.0,
    });
    let shape = envelope(&decimated(&render(settings, RATE_HZ, &x)));
    let at = |t: f64| (t * ANALYSIS_HZ) as usize;
    let mut held: Vec<f64> = shape[at(1.35)..at(1.5)].to_vec();
    held.sort_by(f64::total_cmp);
    let steady = held[held.len() / 2];
    let ms = |samples: usize| 1e3 * samples as f64 / ANALYSIS_HZ;
    let rise = shape[at(1.0)..].iter().position(|&e| e >= 0.9 * steady).unwrap_or(at(2.0));
    let most = shape[at(1.0)..at(1.5)].iter().fold(0.0f64, |a, &b| a.max(b));
    let tail = shape[at(1.5)..].iter().rposition(|&e| e > 0.01 * steady).unwrap_or(0);
    [ms(rise), db(most / steady), ms(tail)]
}

/// What is not on the halves of two tones that start together, in dB re them, in windows of 120 ms
/// by their middle in ms.
pub(crate) fn rest_over_time(settings: &Settings, hz: [f64; 2]) -> Vec<(f64, f64)> {
    let y = decimated(&render(settings, RATE_HZ, &pair(hz, [0.25; 2], 2.0)));
    let length = (0.12 * ANALYSIS_HZ) as usize;
    let flat = vec![1.0; length];
    let step = (0.01 * ANALYSIS_HZ) as usize;
    let halves = hz.map(|hz| 0.5 * hz);
    let window = |i: usize| {
        let middle_ms = 1e3 * (i * step + length / 2) as f64 / ANALYSIS_HZ;
        (middle_ms, tones(&y[i * step..][..length], ANALYSIS_HZ, &halves, &flat).rest_db)
    };
    (0..(y.len() - length) / step).map(window).collect()
}

/// From when on those halves are alone, in ms: the rest stays below each of `limits_db`.
pub(crate) fn separation(settings: &Settings, hz: [f64; 2], limits_db: [f64; 2]) -> [f64; 2] {
    let rest = rest_over_time(settings, hz);
    limits_db.map(|limit| {
        let last_above = rest.iter().rposition(|&(_, rest_db)| rest_db > limit);
        rest.get(last_above.map_or(0, |i| i + 1)).map_or(9999.0, |&(ms, _)| ms)
    })
}

/// Lowest and highest envelope in dB re the source while it glides.
pub(crate) fn gliding(settings: &Settings, hz: [f64; 2], seconds: f64) -> [f64; 2] {
    let shape = envelope(&decimated(&render(settings, RATE_HZ, &glide(hz, seconds))));
    let at = |t: f64| (t * ANALYSIS_HZ) as usize;
    let levels = shape[at(0.7)..at(1.5 + seconds)].iter().map(|e| db(e / 0.5));
    levels.fold([99.0, -99.0], |[low, high], level| [low.min(level), high.max(level)])
}

/// G3.
pub(crate) fn burst_figures(settings: &Settings) -> Vec<Figure> {
    let mut figures = Vec::new();
    let fast = Settings { octave_response: Response::Fast, ..*settings };
    let rows = [
        (40.0, [26.0, 24.0], [120.0, 80.0], [25.0, 120.0]),
        (60.0, [17.5, 16.0], [85.0, 65.0], [17.0, 85.0]),
        (100.0, [13.5, 12.0], [70.0, 50.0], [12.5, 95.0]),
    ];
    for (hz, rise, tail, [fast_rise, fast_tail]) in rows {
        let [measured, overshoot, rest] = burst(settings, hz);
        let name = |what: &str| format!("G3 {hz} Hz, {what}");
        figures.extend([
            at_most(name("rise to 90 %, ms"), measured, rise[0]).stretch(rise[1]),
            at_most(name("overshoot, dB"), overshoot, 0.8).stretch(0.5),
            at_most(name("tail to -40 dB, ms"), rest, tail[0]).stretch(tail[1]),
        ]);
        let [measured, overshoot, rest] = burst(&fast, hz);
        figures.extend([
            at_most(name("fast, rise to 90 %, ms"), measured, fast_rise),
            at_most(name("fast, overshoot, dB"), overshoot, 1.5),
            at_most(name("fast, tail to -40 dB, ms"), rest, fast_tail),
        ]);
    }
    figures
}

/// G4.
pub(crate) fn separation_figures(settings: &Settings) -> Vec<Figure> {
    let rows = [[50.0, 80.0], [80.0, 100.0]].map(|hz| {
        let [first, second] = separation(settings, hz, [-20.0, -40.0]);
        let name = format!("G4 {} + {} Hz", hz[0], hz[1]);
        [
            at_most(format!("{name}, rest < -20 dB from, ms"), first, 180.0).stretch(130.0),
            at_most(format!("{name}, rest < -40 dB from, ms"), second, 200.0).stretch(150.0),
        ]
    });
    rows.into_iter().flatten().collect()
}

/// G6.
pub(crate) fn glide_figures(settings: &Settings) -> Vec<Figure> {
    let row = |hz: [f64; 2], seconds: f64| {
        let [low, high] = gliding(settings, hz, seconds);
        let name = format!("G6 glide {} to {} Hz, envelope off by, dB", hz[0], hz[1]);
        at_most(name, high.max(-low), 0.5).stretch(0.3)
    };
    vec![row([45.0, 90.0], 0.5), row([90.0, 45.0], 0.15)]
}

/// G3, G4 and G6.
pub(crate) fn figures(settings: &Settings) -> Vec<Figure> {
    let groups = [burst_figures, separation_figures, glide_figures];
    groups.iter().flat_map(|all| all(settings)).collect()
}
