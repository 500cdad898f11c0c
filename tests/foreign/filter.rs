//! Filters as gear has them: analogue poles and zeros from published formulas, brought to samples by
//! the bilinear transform with its corner pre-warped, run as second-order sections.

use std::f64::consts::{PI, TAU};

use realfft::num_complex::Complex64 as C;

/// One section, a0 = 1.
#[derive(Clone, Copy, Debug)]
struct Section {
    b: [f64; 3],
    a: [f64; 2],
}

/// A cascade of sections at one sample rate.
#[derive(Clone, Debug, Default)]
pub(crate) struct Filter {
    sections: Vec<Section>,
    rate: f64,
}

/// Zeros and poles in rad/s.
#[derive(Clone, Debug, Default)]
pub(crate) struct Roots {
    pub(crate) zeros: Vec<C>,
    pub(crate) poles: Vec<C>,
}

impl Roots {
    /// The low-pass prototype (edge at 1 rad/s) as a high-pass: s → 1/s.
    pub(crate) fn turned(&self) -> Self {
        let turn = |all: &[C]| all.iter().map(|r| r.inv()).collect::<Vec<_>>();
        let mut zeros = turn(&self.zeros);
        zeros.resize(self.poles.len(), C::new(0.0, 0.0));
        Self { zeros, poles: turn(&self.poles) }
    }

    /// The filter with its edge at `hz`; its gain is 1 at `unity_hz`.
    pub(crate) fn at(&self, hz: f64, rate: f64, unity_hz: f64) -> Filter {
        let edge = 2.0 * rate * (PI * hz / rate).tan();
        let sampled =
            |root: &C| (1.0 + root * edge / (2.0 * rate)) / (1.0 - root * edge / (2.0 * rate));
        let poles: Vec<C> = self.poles.iter().map(sampled).collect();
        let mut zeros: Vec<C> = self.zeros.iter().map(sampled).collect();
        // What the prototype lacks in zeros lies at infinity, that is at −1.
        zeros.resize(poles.len(), C::new(-1.0, 0.0));
        let pairs = |roots: &[C]| quadratics(roots);
        let sections = pairs(&zeros)
            .into_iter()
            .zip(pairs(&poles))
            .map(|(b, a)| Section { b, a: [a[1], a[2]] })
            .collect();
        let mut filter = Filter { sections, rate };
        let gain = filter.gain(unity_hz).norm();
        filter.sections[0].b = filter.sections[0].b.map(|b| b / gain);
        filter
    }
}

/// Roots as quadratics: each conjugate pair one, real ones by two.
fn quadratics(roots: &[C]) -> Vec<[f64; 3]> {
    let mut all: Vec<[f64; 3]> =
        roots.iter().filter(|r| r.im > 1e-9).map(|r| [1.0, -2.0 * r.re, r.norm_sqr()]).collect();
    let real: Vec<f64> = roots.iter().filter(|r| r.im.abs() <= 1e-9).map(|r| r.re).collect();
    all.extend(real.chunks(2).map(|pair| match pair {
        [a, b] => [1.0, -a - b, a * b],
        one => [1.0, -one[0], 0.0],
    }));
    all
}

impl Filter {
    pub(crate) fn none(rate: f64) -> Self {
        Self { sections: Vec::new(), rate }
    }

    /// This, then that.
    pub(crate) fn then(mut self, next: Filter) -> Self {
        self.rate = next.rate;
        self.sections.extend(next.sections);
        self
    }

    /// Complex gain at a frequency.
    pub(crate) fn gain(&self, hz: f64) -> C {
        let z = C::from_polar(1.0, -TAU * hz / self.rate);
        let one = |s: &Section| {
            (s.b[0] + s.b[1] * z + s.b[2] * z * z) / (1.0 + s.a[0] * z + s.a[1] * z * z)
        };
        self.sections.iter().map(one).product()
    }

    pub(crate) fn db(&self, hz: f64) -> f64 {
        20.0 * self.gain(hz).norm().max(1e-15).log10()
    }

    /// Runs over a signal, from rest.
    pub(crate) fn run(&self, signal: &mut [f64]) {
        for Section { b, a } in &self.sections {
            let (mut one, mut two) = (0.0, 0.0);
            for x in signal.iter_mut() {
                let y = b[0] * *x + one;
                one = b[1] * *x - a[0] * y + two;
                two = b[2] * *x - a[1] * y;
                *x = y;
            }
        }
    }

    /// A section by its coefficients (a0 = 1).
    pub(crate) fn section(b: [f64; 3], a: [f64; 2], rate: f64) -> Self {
        Self { sections: vec![Section { b, a }], rate }
    }
}

/// Poles of Butterworth's low-pass on the unit circle (Wireless Engineer 7, 1930).
pub(crate) fn butterworth(order: usize) -> Roots {
    let angle = |k: usize| PI * (2 * k + order + 1) as f64 / (2 * order) as f64;
    Roots {
        poles: (0..order).map(|k| C::from_polar(1.0, angle(k))).map(tidy).collect(),
        ..Roots::default()
    }
}

/// Chebyshev of the first kind with this ripple in dB; its edge is where the ripple ends.
pub(crate) fn chebyshev(order: usize, ripple_db: f64) -> Roots {
    let e = (10f64.powf(ripple_db / 10.0) - 1.0).sqrt();
    let mu = (1.0 / e).asinh() / order as f64;
    let pole = |k: usize| {
        let theta = PI * (2 * k + 1) as f64 / (2 * order) as f64;
        tidy(C::new(-mu.sinh() * theta.sin(), mu.cosh() * theta.cos()))
    };
    Roots { poles: (0..order).map(pole).collect(), ..Roots::default() }
}

/// Chebyshev of the second kind; its edge is where the stop band of this many dB begins.
pub(crate) fn inverse_chebyshev(order: usize, stop_db: f64) -> Roots {
    let e = 1.0 / (10f64.powf(stop_db / 10.0) - 1.0).sqrt();
    let mu = (1.0 / e).asinh() / order as f64;
    let theta = |k: usize| PI * (2 * k + 1) as f64 / (2 * order) as f64;
    let pole =
        |k: usize| tidy(C::new(-mu.sinh() * theta(k).sin(), mu.cosh() * theta(k).cos()).inv());
    let zeros = (0..order).filter(|k| theta(*k).cos().abs() > 1e-9);
    Roots {
        poles: (0..order).map(pole).collect(),
        zeros: zeros.map(|k| C::new(0.0, 1.0 / theta(k).cos())).collect(),
    }
}

/// Bessel's low-pass, orders 2 to 4, −3 dB at its edge (published tables; scipy's `norm='mag'`).
pub(crate) fn bessel(order: usize) -> Roots {
    let pairs: &[(f64, f64)] = match order {
        2 => &[(-1.101_601_327, 0.636_009_825)],
        3 => &[(-1.047_409_161, 0.999_264_436), (-1.322_675_800, 0.0)],
        _ => &[(-0.995_208_764, 1.257_105_739), (-1.370_067_831, 0.410_249_717)],
    };
    let both = |(re, im): &(f64, f64)| match *im {
        0.0 => vec![C::new(*re, 0.0)],
        im => vec![C::new(*re, im), C::new(*re, -im)],
    };
    Roots { poles: pairs.iter().flat_map(both).collect(), ..Roots::default() }
}

/// Second order with a quality of its own: resonant above 0.707.
pub(crate) fn second(q: f64) -> Roots {
    let root = C::new(1.0 / (4.0 * q * q) - 1.0, 0.0).sqrt();
    let poles =
        vec![root - 1.0 / (2.0 * q), -root - 1.0 / (2.0 * q)].into_iter().map(tidy).collect();
    Roots { poles, ..Roots::default() }
}

/// Butterworth twice (Linkwitz, JAES 24, 1976): −6 dB at the edge, `order` even.
pub(crate) fn linkwitz(order: usize) -> Roots {
    let once = butterworth(order / 2).poles;
    Roots { poles: [once.clone(), once].concat(), ..Roots::default() }
}

fn tidy(root: C) -> C {
    if root.im.abs() < 1e-12 { C::new(root.re, 0.0) } else { root }
}
