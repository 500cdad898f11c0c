//! The simulated radio's filters: analogue prototypes through the bilinear transform with their
//! corner kept (Oppenheim & Schafer), independent of the program's own filters.

use std::f64::consts::PI;

/// A cascade of second-order sections, each b0 b1 b2 a1 a2.
#[derive(Clone, Default)]
pub(crate) struct Cascade(Vec<[f64; 5]>);

impl Cascade {
    /// Butterworth high-pass of any order.
    pub(crate) fn high_pass(order: usize, hz: f64, rate: f64) -> Self {
        let mut all = Vec::new();
        for k in 0..order / 2 {
            let q = 1.0 / (2.0 * ((2 * k + 1) as f64 * PI / (2 * order) as f64).sin());
            all.push(analogue([0.0, 0.0, 1.0], [1.0, 1.0 / q, 1.0], hz, rate));
        }
        if order % 2 == 1 {
            all.push(analogue([0.0, 1.0, 0.0], [1.0, 1.0, 0.0], hz, rate));
        }
        Self(all)
    }

    /// Linkwitz-Riley high-pass of even order: two Butterworth of half the order.
    pub(crate) fn linkwitz_riley(order: usize, hz: f64, rate: f64) -> Self {
        Self::high_pass(order / 2, hz, rate).then(Self::high_pass(order / 2, hz, rate))
    }

    /// First-order low shelf: `db` far below `hz`, nothing far above.
    pub(crate) fn low_shelf(db: f64, hz: f64, rate: f64) -> Self {
        let g = 10f64.powf(db / 20.0);
        Self(vec![analogue([g.sqrt(), 1.0, 0.0], [1.0 / g.sqrt(), 1.0, 0.0], hz, rate)])
    }

    /// A bell of `db`, `octaves` wide between its half-gain points (analogue width).
    pub(crate) fn bell(db: f64, octaves: f64, hz: f64, rate: f64) -> Self {
        let a = 10f64.powf(db / 40.0);
        let inverse_q = 2.0 * (2f64.ln() / 2.0 * octaves).sinh();
        Self(vec![analogue([1.0, inverse_q * a, 1.0], [1.0, inverse_q / a, 1.0], hz, rate)])
    }

    /// A notch of a quality: nothing passes at `hz`.
    pub(crate) fn notch(q: f64, hz: f64, rate: f64) -> Self {
        Self(vec![analogue([1.0, 0.0, 1.0], [1.0, 1.0 / q, 1.0], hz, rate)])
    }

    /// First-order all-pass.
    pub(crate) fn all_pass(hz: f64, rate: f64) -> Self {
        Self(vec![analogue([-1.0, 1.0, 0.0], [1.0, 1.0, 0.0], hz, rate)])
    }

    pub(crate) fn then(mut self, other: Self) -> Self {
        self.0.extend(other.0);
        self
    }

    pub(crate) fn run(&self, signal: &mut [f64]) {
        for [b0, b1, b2, a1, a2] in &self.0 {
            let (mut s1, mut s2) = (0.0, 0.0);
            for x in signal.iter_mut() {
                let y = b0 * *x + s1;
                s1 = b1 * *x - a1 * y + s2;
                s2 = b2 * *x - a2 * y;
                *x = y;
            }
        }
    }

    /// Gain in dB at `hz`.
    pub(crate) fn db(&self, hz: f64, rate: f64) -> f64 {
        let w = 2.0 * PI * hz / rate;
        let mag = |c: [f64; 3]| {
            let re = c[0] + c[1] * w.cos() + c[2] * (2.0 * w).cos();
            let im = c[1] * w.sin() + c[2] * (2.0 * w).sin();
            re * re + im * im
        };
        let each =
            self.0.iter().map(|[b0, b1, b2, a1, a2]| mag([*b0, *b1, *b2]) / mag([1.0, *a1, *a2]));
        10.0 * each.product::<f64>().log10()
    }
}

/// (n0 + n1 s + n2 s²)/(d0 + d1 s + d2 s²), s in units of the corner.
fn analogue(n: [f64; 3], d: [f64; 3], hz: f64, rate: f64) -> [f64; 5] {
    let c = 1.0 / (PI * hz / rate).tan();
    let z = |p: [f64; 3]| {
        [
            p[0] + p[1] * c + p[2] * c * c,
            2.0 * (p[0] - p[2] * c * c),
            p[0] - p[1] * c + p[2] * c * c,
        ]
    };
    let (n, d) = (z(n), z(d));
    [n[0] / d[0], n[1] / d[0], n[2] / d[0], d[1] / d[0], d[2] / d[0]]
}

#[test]
fn the_simulated_filters_agree_with_scipy() {
    // scipy 1.17: butter(n, hz, 'high', fs=24000, output='sos'), sosfreqz in dB.
    let cases = [
        (1, 50.0, 20.0, -8.6035),
        (2, 63.0, 20.0, -19.9767),
        (3, 80.0, 31.5, -24.3037),
        (4, 80.0, 20.0, -48.1661),
        (5, 100.0, 50.0, -30.1091),
        (6, 120.0, 60.0, -36.1279),
    ];
    for (order, hz, at, want) in cases {
        let told = Cascade::high_pass(order, hz, 24_000.0).db(at, 24_000.0);
        assert!((told - want).abs() < 1e-3, "order {order} at {at} Hz: {told} against {want}");
    }
}
