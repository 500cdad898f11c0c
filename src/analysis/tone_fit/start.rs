//! Where to start: the strongest line of a Hann spectrum, read between its
//! bins by the ratio of the two largest (Grandke, IEEE Trans. Instrum. Meas. 32, 1983).

use realfft::RealFftPlanner;

use super::Weight;

/// Frequency in Hz of the strongest line from `from_hz` to `to_hz`, to about a
/// hundredth of a cycle per stretch; `None` when the stretch holds nothing
/// there or less than four cycles.
pub fn strongest_hz(samples: &[f64], sample_rate_hz: f64, from_hz: f64, to_hz: f64) -> Option<f64> {
    let bins = hann_spectrum(samples);
    let df_hz = sample_rate_hz / samples.len() as f64;
    let from = ((from_hz / df_hz).floor() as usize).max(3);
    let to = ((to_hz / df_hz).ceil() as usize).min(bins.len().saturating_sub(2));
    let top = (from..=to).max_by(|a, b| bins[*a].total_cmp(&bins[*b]))?;
    let (below, above) = (bins[top - 1], bins[top + 1]);
    if bins[top] <= 0.0 {
        return None;
    }
    let ratio = below.max(above) / bins[top];
    let offset = ((2.0 * ratio - 1.0) / (ratio + 1.0)).copysign(above - below);
    Some((top as f64 + offset) * df_hz)
}

/// Magnitudes of the Hann-weighted spectrum, scaled so that a sine on a bin shows
/// its peak amplitude there.
pub fn hann_spectrum(samples: &[f64]) -> Vec<f64> {
    if samples.is_empty() {
        return Vec::new();
    }
    let forward = RealFftPlanner::<f64>::new().plan_fft_forward(samples.len());
    let mut weighted = Weight::Hann.all(samples.len());
    weighted.iter_mut().zip(samples).for_each(|(weight, x)| *weight *= x);
    let mut bins = forward.make_output_vec();
    forward.process(&mut weighted, &mut bins).expect("lengths come from the plan itself");
    let scale = 4.0 / samples.len() as f64;
    bins.iter().map(|bin| scale * bin.norm()).collect()
}
