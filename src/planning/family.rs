//! The kinds of roll-off that are tried: those a sentence may name, and others
//! that only bear witness. A slope is claimed when no witness explains the
//! response as well.

/// A kind of roll-off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// No roll-off.
    Flat,
    /// Butterworth of order 1 to 8.
    Butterworth(u8),
    /// Linkwitz-Riley of order 2, 4, 6 or 8.
    LinkwitzRiley(u8),
    /// Bessel (maximally flat delay) of order 3 or 4, its −3 dB point as its corner. Order 2 is a
    /// second order with a quality factor of 1/√3.
    Bessel(u8),
    /// Second order with a quality factor of its own.
    SecondOrder,
    /// Witness: Chebyshev with ripple in its pass band (ripple as its shape, dB).
    Chebyshev(u8),
    /// Witness: second order with its own quality and a first order at one corner.
    ThirdOrder,
    /// Witness: Butterworth behind a first-order coupling (its corner as a share of the other's).
    Coupled(u8),
    /// Witness: a shelf of first order (its depth as a ratio of amplitudes).
    Shelf,
}

impl Family {
    /// Every kind that is tried.
    pub const ALL: [Self; 29] = [
        Self::Flat,
        Self::Butterworth(1),
        Self::Butterworth(2),
        Self::Butterworth(3),
        Self::Butterworth(4),
        Self::Butterworth(5),
        Self::Butterworth(6),
        Self::Butterworth(7),
        Self::Butterworth(8),
        Self::LinkwitzRiley(2),
        Self::LinkwitzRiley(4),
        Self::LinkwitzRiley(6),
        Self::LinkwitzRiley(8),
        Self::Bessel(3),
        Self::Bessel(4),
        Self::SecondOrder,
        Self::Chebyshev(3),
        Self::Chebyshev(4),
        Self::Chebyshev(5),
        Self::Chebyshev(6),
        Self::Chebyshev(7),
        Self::Chebyshev(8),
        Self::ThirdOrder,
        Self::Coupled(1),
        Self::Coupled(2),
        Self::Coupled(3),
        Self::Coupled(4),
        Self::Coupled(5),
        Self::Shelf,
    ];

    /// Order of the slope far below the corner: 6 dB per octave each.
    pub fn order(self) -> u8 {
        match self {
            Self::Flat | Self::Shelf => 0,
            Self::Butterworth(n)
            | Self::LinkwitzRiley(n)
            | Self::Bessel(n)
            | Self::Chebyshev(n) => n,
            Self::SecondOrder => 2,
            Self::ThirdOrder => 3,
            Self::Coupled(n) => n + 1,
        }
    }

    /// Whether a report may name it.
    pub fn is_witness(self) -> bool {
        matches!(self, Self::Chebyshev(_) | Self::ThirdOrder | Self::Coupled(_) | Self::Shelf)
    }

    /// Whether its order says how steep the measured range is: a coupling far below says nothing
    /// of it.
    pub fn has_order(self) -> bool {
        !matches!(self, Self::Flat | Self::Shelf | Self::Coupled(_))
    }

    /// Level in dB re the flat part at `ratio` = corner over frequency, with the shape `q` where the
    /// kind has one (a quality factor, or what its variant says).
    pub fn level_db(self, ratio: f64, q: f64) -> f64 {
        let butterworth = |n: u8| -10.0 * (1.0 + ratio.powi(2 * i32::from(n))).log10();
        let first = |ratio: f64| -10.0 * (1.0 + ratio * ratio).log10();
        let second = || -10.0 * ((1.0 - ratio * ratio).powi(2) + (ratio / q).powi(2)).log10();
        match self {
            Self::Flat => 0.0,
            Self::Butterworth(n) => butterworth(n),
            Self::LinkwitzRiley(n) => -20.0 * (1.0 + ratio.powi(i32::from(n))).log10(),
            Self::Bessel(n) => bessel_db(n, ratio),
            Self::SecondOrder => second(),
            Self::Chebyshev(n) => {
                let ripple = 10f64.powf(q / 10.0) - 1.0;
                -10.0 * (1.0 + ripple * chebyshev(n, ratio).powi(2)).log10()
            }
            Self::ThirdOrder => second() + first(ratio),
            Self::Coupled(n) => butterworth(n) + first(ratio * q),
            // (r·depth, r): from 0 dB far above to −20·lg(depth) far below.
            Self::Shelf => first(ratio) - first(ratio / q),
        }
    }

    /// How many unknowns it has: gain, corner, shape.
    pub fn unknowns(self) -> usize {
        match self {
            Self::Flat => 1,
            Self::Butterworth(_) | Self::LinkwitzRiley(_) | Self::Bessel(_) => 2,
            _ => 3,
        }
    }

    /// Least and greatest shape, and one to start from.
    pub fn shapes(self) -> [f64; 3] {
        match self {
            Self::Chebyshev(_) => [0.02, 3.0, 0.5],
            Self::Coupled(_) => [0.02, 1.0, 0.3],
            Self::Shelf => [1.1, 30.0, 3.0],
            // A quality below 1/2 would let a second order imitate a first.
            _ => [0.5, 6.0, 0.8],
        }
    }
}

/// The Chebyshev polynomial Tₙ at x ≥ 0.
fn chebyshev(n: u8, x: f64) -> f64 {
    let n = f64::from(n);
    if x <= 1.0 { (n * x.clamp(0.0, 1.0).acos()).cos() } else { (n * x.acosh()).min(300.0).cosh() }
}

/// A Bessel response of order 3 or 4 at `ratio` = corner over frequency, dB: the reverse Bessel
/// polynomials s³ + 6s² + 15s + 15 and s⁴ + 10s³ + 45s² + 105s + 105 at s = jw, w scaled so that
/// −3 dB lies at ratio 1 (Thomson 1949; both scales from the polynomials themselves).
fn bessel_db(n: u8, ratio: f64) -> f64 {
    let (real, imaginary, flat) = if n == 3 {
        let w = 1.755_672 * ratio;
        (15.0 - 6.0 * w * w, 15.0 * w - w.powi(3), 15.0f64)
    } else {
        let w = 2.113_918 * ratio;
        (105.0 - 45.0 * w * w + w.powi(4), 105.0 * w - 10.0 * w.powi(3), 105.0)
    };
    -20.0 * (real.hypot(imaginary) / flat).log10()
}

/// Corner over frequency where a kind has fallen by `fall_db` for good, seen from above; infinite
/// for one that never does.
pub fn fall_ratio(family: Family, q: f64, fall_db: f64) -> f64 {
    let fallen = |ratio: f64| family.level_db(ratio, q) < -fall_db;
    // Steps of a 50th of an octave find the first fall, bisection its place.
    let steps = || (-200..600).map(|i| (f64::from(i) / 50.0).exp2());
    let Some(mut high) = steps().find(|r| fallen(*r)) else { return f64::INFINITY };
    let mut low = high / (1.0f64 / 50.0).exp2();
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if fallen(middle) { high = middle } else { low = middle }
    }
    low
}
