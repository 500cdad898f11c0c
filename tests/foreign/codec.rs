//! A lossy codec as a textbook draws it: a lapped transform (sine window, half overlapped), each
//! band rounded to a step that its own level sets, and bands far below the loudest thrown away.
//! It is no real codec; it makes the same kinds of damage.

use realfft::RealFftPlanner;
use realfft::num_complex::Complex64;

use crate::chance::Chance;

/// Frame of 85 ms at 24 kHz.
const FRAME: usize = 2048;
/// What lies this far below the loudest band is not coded, dB.
const NOT_CODED_DB: f64 = -45.0;

/// Codes and decodes `signal`, its noise `below_db` under each band.
pub(crate) fn lossy(signal: &mut [f64], below_db: f64, chance: &mut Chance) {
    let mut planner = RealFftPlanner::<f64>::new();
    let (forward, back) = (planner.plan_fft_forward(FRAME), planner.plan_fft_inverse(FRAME));
    let window = |n: usize| (std::f64::consts::PI * (n as f64 + 0.5) / FRAME as f64).sin();
    let mut out = vec![0.0; signal.len() + FRAME];
    let edges = edges();
    for start in (0..signal.len().saturating_sub(FRAME)).step_by(FRAME / 2) {
        let mut frame: Vec<f64> = (0..FRAME).map(|n| window(n) * signal[start + n]).collect();
        let mut bins = forward.make_output_vec();
        forward.process(&mut frame, &mut bins).expect("lengths fit");
        coarsen(&mut bins, &edges, below_db, chance);
        bins[0].im = 0.0;
        bins[FRAME / 2].im = 0.0;
        back.process(&mut bins, &mut frame).expect("lengths fit");
        for (n, x) in frame.iter().enumerate() {
            out[start + n] += window(n) * x / FRAME as f64;
        }
    }
    let length = signal.len();
    signal.copy_from_slice(&out[..length]);
}

fn coarsen(bins: &mut [Complex64], edges: &[usize], below_db: f64, chance: &mut Chance) {
    let power =
        |band: &[Complex64]| band.iter().map(|x| x.norm_sqr()).sum::<f64>() / band.len() as f64;
    let loudest = edges.windows(2).map(|e| power(&bins[e[0]..e[1]])).fold(0.0, f64::max);
    for edge in edges.windows(2) {
        let band = &mut bins[edge[0]..edge[1]];
        let level = power(band);
        if level < loudest * 10f64.powf(NOT_CODED_DB / 10.0) {
            band.fill(Complex64::default());
            continue;
        }
        // A uniform step makes a noise of step²/12 in each part of a bin.
        let step = (6.0 * level * 10f64.powf(-below_db / 10.0)).sqrt();
        for x in band {
            let mut round = |v: f64| {
                let dither = chance.even(-0.5, 0.5);
                ((v / step + dither).round() - dither) * step
            };
            *x = Complex64::new(round(x.re), round(x.im));
        }
    }
}

/// Bands a bin wide at the bottom and a quarter of an octave at the top.
fn edges() -> Vec<usize> {
    let mut edges = vec![0];
    while *edges.last().unwrap_or(&0) < FRAME / 2 {
        let last = edges.last().copied().unwrap_or(0);
        edges.push((last + (last / 6).max(2)).min(FRAME / 2));
    }
    edges.last_mut().into_iter().for_each(|last| *last = FRAME / 2 + 1);
    edges
}
