//! Where a band is read, and the mean of what was read there: Gauss's rule of five points on log
//! frequency, exact to the ninth degree: a low band narrower than a third is bent within it.

/// Places in a band.
pub(super) const PLACES: usize = 5;

/// Places as shares of the band's width in octaves from its middle, and their weights.
const GAUSS: [(f64, f64); PLACES] = [
    (-0.453_089_923, 0.118_463_443),
    (-0.269_234_655, 0.239_314_335),
    (0.0, 0.284_444_444),
    (0.269_234_655, 0.239_314_335),
    (0.453_089_923, 0.118_463_443),
];

/// The places between two frequencies.
pub(super) fn places(hz: (f64, f64)) -> [f64; PLACES] {
    let (middle, octaves) = ((hz.0 * hz.1).sqrt(), (hz.1 / hz.0).log2());
    GAUSS.map(|(place, _)| middle * (place * octaves).exp2())
}

/// Mean of powers at those places.
pub(super) fn mean(powers: [f64; PLACES]) -> f64 {
    powers.iter().zip(GAUSS).map(|(power, (_, weight))| weight * power).sum()
}
