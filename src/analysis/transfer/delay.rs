//! How far one signal lies behind another: the strongest normalised cross-correlation.

use super::correlation::{add_energy, correlate};

/// A correlation this near to the strongest counts as equal: a steady tone repeats itself
/// every period, and the shortest delay is meant.
const EQUAL: f64 = 0.99;

/// Samples that `later` lies behind the start of `first`, counted so that 0 means they start
/// together; `None` when one of them is silent. Delays from 0 to `later.len() -
/// first.len()` are looked at, `nearest` is preferred among equals. Several channels
/// (pairs of one length) are taken together; a reversed polarity does no harm.
pub(super) fn find(pairs: &[(&[f32], &[f32])], nearest: usize) -> Option<usize> {
    let (first, later) = pairs.first()?;
    let delays = later.len().checked_sub(first.len())? + 1;
    let mut likeness = vec![0.0; delays];
    let mut energy = vec![0.0; delays];
    for (first, later) in pairs {
        let correlation = correlate(first, later);
        likeness.iter_mut().zip(correlation).for_each(|(sum, c)| *sum += c);
        add_energy(first.len(), later, &mut energy);
    }
    let loudest = energy.iter().fold(0.0, |a: f64, b| a.max(*b));
    for (likeness, energy) in likeness.iter_mut().zip(&energy) {
        // A stretch 60 dB below the loudest is too quiet to be the one looked for.
        let audible = *energy > 1e-6 * loudest;
        *likeness = if audible { likeness.abs() / energy.sqrt() } else { 0.0 };
    }
    nearest_peak(&likeness, nearest)
}

/// The local maximum nearest to `nearest` among those equal to the highest.
fn nearest_peak(likeness: &[f64], nearest: usize) -> Option<usize> {
    let highest = likeness.iter().fold(0.0, |a: f64, b| a.max(*b));
    let at = |i: usize| likeness.get(i).copied().unwrap_or(0.0);
    let is_peak = |i: &usize| at(*i) >= at(i.wrapping_sub(1)) && at(*i) >= at(i + 1);
    (0..likeness.len())
        .filter(|i| highest > 0.0 && at(*i) >= EQUAL * highest)
        .filter(is_peak)
        .min_by_key(|i| i.abs_diff(nearest))
}
