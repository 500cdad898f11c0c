//! The linear stages after the blend as second-order sections, for hardware that takes coefficients.

use super::closed_box::ClosedBox;
use super::high_pass::HighPass;
use super::low_band::LowBand;
use crate::settings::Settings;

/// A section: H(z) = (b0 + b1·z⁻¹ + b2·z⁻²)/(1 + a1·z⁻¹ + a2·z⁻²).
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// The stage it belongs to.
    pub stage: &'static str,
    /// b0, b1, b2, normalised to a0 = 1.
    pub b: [f64; 3],
    /// a1, a2, normalised to a0 = 1; many devices want them with the other sign.
    pub a: [f64; 2],
}

/// The sections that do something, in the order of the line, at `sample_rate_hz`.
pub fn sections(settings: &Settings, sample_rate_hz: f64) -> Vec<Section> {
    let low_band = LowBand::design(settings, sample_rate_hz);
    let closed_box = ClosedBox::design(settings, sample_rate_hz);
    let high_pass = HighPass::sections(settings, sample_rate_hz);
    let named = low_band.map(|design| ("low band", design)).into_iter();
    let named = named.chain(closed_box.map(|design| ("closed box", design)));
    let named = named.chain(high_pass.into_iter().map(|design| ("high-pass", design)));
    let section = |(stage, design): (&'static str, super::svf::Design)| {
        let [b0, b1, b2, a1, a2] = design.biquad();
        Section { stage, b: [b0, b1, b2], a: [a1, a2] }
    };
    named.map(section).collect()
}
