//! About where the partials of a stretch turn: linear prediction (Prony 1795).
//!
//! If a stretch is made of p partials, every value is one and the same combination of p values
//! before it, and the roots of that combination are how the partials turn. The products it takes
//! are summed up value by value in blocks, so that stretches of several lengths share them.

use super::fit::{LONGEST, MOST};
use super::hermitian::{self, Matrix};
use super::phasor::Phasor;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Values between those that predict each other: nearer ones differ too little, and at three the
/// angles would be ambiguous within the source band.
pub(super) const LAG: usize = 2;
/// A value and those it is predicted from.
pub(super) const COLUMNS: usize = MOST + 1;
/// Values that are predicted in a block.
pub(super) const BLOCK: usize = 2;
/// Blocks in the longest stretch.
const BLOCKS: usize = (LONGEST - LAG * MOST) / BLOCK;
/// Turns of the root finder, which converges quadratically.
const TURNS: usize = 10;

/// Roots that move less than this, squared, are as exact as a fit needs them to start from.
const EXACT: f64 = 1e-12;

/// Products of a value and those before it, above the diagonal.
type Products = [[Complex64; COLUMNS]; COLUMNS];

/// The blocks of products of the last values, newest first from `newest` on.
pub(super) struct Blocks {
    all: [Products; BLOCKS],
    newest: usize,
}

impl Blocks {
    pub(super) fn new() -> Self {
        Self { all: [[[Complex64::ZERO; COLUMNS]; COLUMNS]; BLOCKS], newest: 0 }
    }

    /// Takes in a block; `value(i)` is the value `i` before the newest.
    pub(super) fn push(&mut self, value: impl Fn(usize) -> Complex64) {
        let mut sums = [[Complex64::ZERO; COLUMNS]; COLUMNS];
        for row in 0..BLOCK {
            let values: [Complex64; COLUMNS] = std::array::from_fn(|i| value(row + LAG * i));
            for i in 0..COLUMNS {
                for j in i..COLUMNS {
                    sums[i][j] += values[i].conj() * values[j];
                }
            }
        }
        self.newest = (self.newest + BLOCKS - 1) % BLOCKS;
        self.all[self.newest] = sums;
    }

    /// Prediction within the last `length` values.
    pub(super) fn predict(&self, length: usize) -> Prediction {
        let count = (length - LAG * MOST) / BLOCK;
        let mut sums = [[Complex64::ZERO; COLUMNS]; COLUMNS];
        for block in (0..count).map(|i| &self.all[(self.newest + i) % BLOCKS]) {
            for i in 0..COLUMNS {
                for j in i..COLUMNS {
                    sums[i][j] += block[i][j];
                }
            }
        }
        // Five values a partial, and three more: below that noise is fitted.
        Prediction::new(&sums, (length.saturating_sub(3) / 5).min(MOST))
    }
}

/// Predictions from one to four values.
pub(super) struct Prediction {
    factor: Matrix<MOST>,
    along: [Complex64; MOST],
    /// The share of the power that is left, by order.
    left: [f64; COLUMNS],
}

impl Prediction {
    /// Of nothing.
    pub(super) fn none() -> Self {
        Self {
            factor: [[Complex64::ZERO; MOST]; MOST],
            along: [Complex64::ZERO; MOST],
            left: [1.0; COLUMNS],
        }
    }

    fn new(products: &Products, most: usize) -> Self {
        let mut factor = [[Complex64::ZERO; MOST]; MOST];
        let mut along = [Complex64::ZERO; MOST];
        for i in 0..most {
            for j in i..most {
                factor[j][i] = products[i + 1][j + 1].conj();
            }
            along[i] = products[0][i + 1].conj();
        }
        let regular = hermitian::factor(&mut factor, most);
        hermitian::forward(&factor, &mut along, regular);
        let mut left = [1.0; COLUMNS];
        let power = products[0][0].re.max(1e-300);
        for order in 1..=regular {
            left[order] = left[order - 1] - along[order - 1].norm_sqr() / power;
        }
        Self { factor, along, left }
    }

    /// The share of the power that prediction from `order` values leaves.
    pub(super) fn left(&self, order: usize) -> f64 {
        self.left[order]
    }

    /// Rates from value to value, with the angles nearest to `middle`; only the first `order` are.
    pub(super) fn rates(&self, order: usize, middle: f64) -> [Complex64; MOST] {
        let mut polynomial = self.along;
        hermitian::backward(&self.factor, &mut polynomial, order);
        let turned = Complex64::turn(-middle * LAG as f64);
        roots(&polynomial, order).map(|root| {
            let turned = root * turned;
            let (length, angle) =
                (libm::hypot(turned.re, turned.im), libm::atan2(turned.im, turned.re));
            Complex64::new(libm::log(length) / LAG as f64, angle / LAG as f64 + middle)
        })
    }
}

/// All roots of λ^p = Σ cᵢ·λ^(p-i).
fn roots(polynomial: &[Complex64; MOST], order: usize) -> [Complex64; MOST] {
    let mut roots = [Complex64::ONE; MOST];
    let [first, second, ..] = *polynomial;
    match order {
        1 => roots[0] = first,
        2 => {
            let root = (first * first + second * 4.0).sqrt();
            roots[0] = (first + root) * 0.5;
            roots[1] = (first - root) * 0.5;
        }
        _ => roots_at_once(polynomial, &mut roots[..order]),
    }
    roots
}

/// All at once (Durand 1960, Kerner 1966), from uneven places on the unit circle.
fn roots_at_once(polynomial: &[Complex64; MOST], roots: &mut [Complex64]) {
    let order = roots.len();
    for (i, root) in roots.iter_mut().enumerate() {
        *root = Complex64::turn(TAU * (i as f64 + 0.3) / order as f64);
    }
    for _ in 0..TURNS {
        let mut moved = 0.0f64;
        for i in 0..order {
            let (mut value, mut others) = (Complex64::ONE, Complex64::ONE);
            for j in 0..order {
                value = value * roots[i] - polynomial[j];
                if j != i {
                    others *= roots[i] - roots[j];
                }
            }
            let change = value / others;
            roots[i] -= change;
            moved = moved.max(change.norm_sqr());
        }
        if moved < EXACT {
            break;
        }
    }
}
