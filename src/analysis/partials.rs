//! What stands beside a tone: below it (the effect) and above it (distortion), never mixed.
//!
//! The tone's frequency is fitted, then all lines it could have are fitted at
//! once at exact multiples of it. A line counts only where it stands out of the
//! noise around it and truly lies at its multiple: mains hum beside a half is
//! no half. Below the tone it must also stand over all that no multiple explains
//! half an octave around: a codec's noise is a crowd, an effect is a line.
//!
//! Distortion is THD_F: r.m.s. of the harmonics re the fundamental (the
//! definition of IEC 61000-2-2), over the stated orders. For what lies below a
//! tone no standard has a figure; here it is formed the same way, by common
//! practice.

mod evidence;

use super::tone_fit::{Lines, Sine, Weight, one, several, strongest_hz};
use crate::units::{db_to_power, gain_to_db, mean_square_to_dbfs};
use evidence::Evidence;

/// Multiples of the tone looked for below it.
const BELOW: [f64; 5] = [1.0 / 4.0, 1.0 / 3.0, 1.0 / 2.0, 2.0 / 3.0, 3.0 / 4.0];

/// Highest harmonic looked for.
const MOST_ORDERS: usize = 20;

/// Cycles of the tone that tell neighbouring lines, a twelfth of it apart, from each other.
const LEAST_CYCLES: f64 = 24.0;

/// How far off the stated frequency the tone is sought, as a share.
const SEARCH: f64 = 0.03;

/// Rounds of fitting the tone without its lines, the lines without the tone.
const MOST_ROUNDS: usize = 8;

/// One line beside a tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Frequency in Hz.
    pub hz: f64,
    /// Multiple of the tone's frequency: 0.5, 1, 1.5, 2, 1/3 ...
    pub order: f64,
    /// Level in dB re the tone in the same signal.
    pub re_tone_db: f64,
    /// Level in dBFS (AES17).
    pub dbfs: f64,
    /// Phase in degrees of a cosine at the start of the analysed stretch.
    pub phase_deg: f64,
    /// Whether the line lies so near a multiple of 50 or 60 Hz that mains hum
    /// could stand in its place.
    pub near_mains: bool,
}

/// The lines of a tone.
#[derive(Clone, Debug, PartialEq)]
pub struct Partials {
    /// Frequency of the tone in Hz, as fitted.
    pub tone_hz: f64,
    /// Level of the tone, dBFS (AES17).
    pub tone_dbfs: f64,
    /// Lines at 1/2, 1/3, 2/3, 1/4, 3/4 of the tone.
    pub below: Vec<Line>,
    /// Harmonics 2..
    pub above: Vec<Line>,
    /// Odd halves above the tone: 1.5, 2.5 ... They belong to neither figure.
    pub odd_halves: Vec<Line>,
    /// r.m.s. sum of the lines below, as a share of the tone.
    pub below_ratio: f64,
    /// Harmonic distortion re the fundamental (THD_F), as a share of the tone.
    pub thd_f: f64,
    /// Highest harmonic counted.
    pub thd_orders: usize,
    /// Frequency of the highest harmonic counted in Hz: the bandwidth of `thd_f`.
    pub thd_to_hz: f64,
    /// What is neither tone nor line, r.m.s., dBFS (AES17).
    pub noise_dbfs: f64,
    /// Mean value, as a share of full scale.
    pub dc: f64,
}

/// The lines of the tone near `tone_hz` (within 3 %) in `samples`.
///
/// # Errors
/// One sentence when the stretch is shorter than 24 cycles of the tone, or no
/// tone stands out there.
pub fn of(samples: &[f64], sample_rate_hz: f64, tone_hz: f64) -> Result<Partials, String> {
    check(samples, sample_rate_hz, tone_hz)?;
    let orders = orders(sample_rate_hz / 2.0 / (tone_hz * (1.0 + SEARCH)));
    let sought = fit(samples, sample_rate_hz, tone_hz, &orders).ok_or_else(|| absent(tone_hz))?;
    let evidence = Evidence::new(samples, sample_rate_hz, &sought);
    let (tone, others) = sought.sines.split_first().ok_or_else(|| absent(tone_hz))?;
    if (tone.hz / tone_hz - 1.0).abs() > SEARCH || !evidence.holds(tone, tone) {
        return Err(absent(tone_hz));
    }
    let kept: Vec<(f64, f64)> = orders[1..]
        .iter()
        .zip(others)
        .filter(|(_, sine)| evidence.holds(sine, tone))
        .filter(|(order, sine)| **order > 1.0 || evidence.stands_alone(sine))
        .map(|(order, sine)| (*order, sine.hz))
        .collect();
    let mut hz = vec![tone.hz];
    hz.extend(kept.iter().map(|(_, hz)| *hz));
    let found =
        several(samples, sample_rate_hz, &hz, Weight::Hann).ok_or_else(|| absent(tone_hz))?;
    let seconds = samples.len() as f64 / sample_rate_hz;
    let lines: Vec<Line> = kept
        .iter()
        .zip(&found.sines[1..])
        .map(|((order, _), sine)| line(*order, sine, &found.sines[0], samples.len(), seconds))
        .collect();
    let noise = mean_square(&found.left_over(samples, sample_rate_hz));
    Ok(sort(&found, lines, most_orders(&orders), noise))
}

fn check(samples: &[f64], sample_rate_hz: f64, tone_hz: f64) -> Result<(), String> {
    if !(tone_hz > 0.0 && tone_hz * (1.0 + SEARCH) < sample_rate_hz / 2.0) {
        return Err(format!("A tone of {tone_hz} Hz is not possible at {sample_rate_hz} Hz."));
    }
    if samples.len() as f64 / sample_rate_hz * tone_hz < LEAST_CYCLES {
        return Err(format!(
            "The lines of a tone of {tone_hz} Hz need at least {:.1} s of it.",
            LEAST_CYCLES / tone_hz
        ));
    }
    if samples.iter().all(|x| x.is_finite()) {
        return Ok(());
    }
    Err("There are samples that are not numbers.".into())
}

fn absent(tone_hz: f64) -> String {
    format!("No tone stands out of the noise near {tone_hz} Hz.")
}

/// The tone itself, then every multiple below `limit` that is looked for.
fn orders(limit: f64) -> Vec<f64> {
    let above = (3..=2 * MOST_ORDERS).map(|halves| halves as f64 / 2.0);
    let mut orders = vec![1.0];
    orders.extend(BELOW.into_iter().chain(above).filter(|order| *order < limit));
    orders
}

/// The highest whole multiple among `orders`.
fn most_orders(orders: &[f64]) -> usize {
    orders.iter().filter(|order| order.fract() == 0.0).fold(1.0, |a: f64, b| a.max(*b)) as usize
}

/// The tone, its frequency fitted, and all its lines at once.
fn fit(samples: &[f64], sample_rate_hz: f64, tone_hz: f64, orders: &[f64]) -> Option<Lines> {
    let seconds = samples.len() as f64 / sample_rate_hz;
    let reach_hz = (SEARCH * tone_hz).max(2.0 / seconds);
    let mut hz = strongest_hz(samples, sample_rate_hz, tone_hz - reach_hz, tone_hz + reach_hz)?;
    for round in 1.. {
        let all: Vec<f64> = orders.iter().map(|order| order * hz).collect();
        let lines = several(samples, sample_rate_hz, &all, Weight::Hann)?;
        let mut others = lines.clone();
        others.sines[0].amplitude = 0.0;
        let alone = others.left_over(samples, sample_rate_hz);
        let next_hz = one(&alone, sample_rate_hz, hz, Weight::Hann).ok()?.sine.hz;
        let moved_cycles = (next_hz - hz).abs() * seconds;
        if moved_cycles < 1e-9 || round == MOST_ROUNDS {
            return Some(lines);
        }
        hz = next_hz;
    }
    None
}

fn line(order: f64, sine: &Sine, tone: &Sine, length: usize, seconds: f64) -> Line {
    Line {
        hz: sine.hz,
        order,
        re_tone_db: gain_to_db(sine.amplitude / tone.amplitude),
        dbfs: gain_to_db(sine.amplitude),
        phase_deg: sine.start_deg(length, length as f64 / seconds),
        near_mains: evidence::near_mains(sine.hz, seconds),
    }
}

fn mean_square(samples: &[f64]) -> f64 {
    samples.iter().map(|x| x * x).sum::<f64>() / samples.len() as f64
}

/// Each line to its side of the tone.
fn sort(found: &Lines, lines: Vec<Line>, thd_orders: usize, noise: f64) -> Partials {
    let tone = found.sines[0];
    let (below, rest): (Vec<Line>, Vec<Line>) = lines.into_iter().partition(|l| l.order < 1.0);
    let (above, odd_halves): (Vec<Line>, Vec<Line>) =
        rest.into_iter().partition(|l| l.order.fract() == 0.0);
    Partials {
        tone_hz: tone.hz,
        tone_dbfs: gain_to_db(tone.amplitude),
        below_ratio: together(&below),
        thd_f: together(&above),
        below,
        above,
        odd_halves,
        thd_orders,
        thd_to_hz: thd_orders as f64 * tone.hz,
        noise_dbfs: mean_square_to_dbfs(noise),
        dc: found.dc,
    }
}

/// r.m.s. sum of lines as a share of the tone.
fn together(lines: &[Line]) -> f64 {
    lines.iter().fold(0.0, |sum, line| sum + db_to_power(line.re_tone_db)).sqrt()
}
