//! The cross-correlation of two signals, and the energy that it is held against.

use realfft::RealFftPlanner;
use realfft::num_complex::Complex;

/// Cross-correlation for delays from 0 up, by fast convolution.
pub(crate) fn correlate(first: &[f32], later: &[f32]) -> Vec<f64> {
    let length = later.len() + later.len() % 2;
    let mut planner = RealFftPlanner::<f64>::new();
    let (forward, back) = (planner.plan_fft_forward(length), planner.plan_fft_inverse(length));
    let spectrum = |signal: &[f32]| {
        let mut input: Vec<f64> = signal.iter().map(|x| f64::from(*x)).collect();
        input.resize(length, 0.0);
        let mut output = forward.make_output_vec();
        forward.process(&mut input, &mut output).expect("the work space has the plan's lengths");
        output
    };
    let mut product: Vec<Complex<f64>> = spectrum(later);
    product.iter_mut().zip(spectrum(first)).for_each(|(y, x)| *y *= x.conj());
    let mut correlation = back.make_output_vec();
    // The ends of a real signal's spectrum are real; the product leaves dust there.
    product[0].im = 0.0;
    product[length / 2].im = 0.0;
    back.process(&mut product, &mut correlation).expect("the work space has the plan's lengths");
    correlation
}

/// Adds the energy of the stretch of `later` that meets the first signal at each delay.
pub(crate) fn add_energy(length: usize, later: &[f32], energy: &mut [f64]) {
    let square = |i: usize| f64::from(later[i]).powi(2);
    let mut now: f64 = (0..length).map(square).sum();
    for (delay, energy) in energy.iter_mut().enumerate() {
        *energy += now.max(0.0);
        if delay + length < later.len() {
            now += square(delay + length) - square(delay);
        }
    }
}
