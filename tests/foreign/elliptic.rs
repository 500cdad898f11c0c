//! Elliptic low-passes by Landen's transformation (Orfanidis, *Lecture Notes on Elliptic Filter
//! Design*, 2005).

use std::f64::consts::FRAC_PI_2;

use realfft::num_complex::Complex64 as C;

use crate::filter::Roots;

/// `order`, ripple and stop band in dB; the edge is where the ripple ends.
pub(crate) fn elliptic(order: usize, ripple_db: f64, stop_db: f64) -> Roots {
    let [ep, es] = [ripple_db, stop_db].map(|db| (10f64.powf(db / 10.0) - 1.0).sqrt());
    let k1 = ep / es;
    let k = modulus(order, k1);
    let u = |i: usize| (2 * i - 1) as f64 / order as f64;
    let half = order / 2;
    let i = C::i();
    let v0 = -i * asne(i / ep, k1) / order as f64;
    let zeros = (1..=half).flat_map(|n| {
        let zeta = cde(C::new(u(n), 0.0), k).re;
        [C::new(0.0, 1.0 / (k * zeta)), C::new(0.0, -1.0 / (k * zeta))]
    });
    let mut poles: Vec<C> = (1..=half)
        .map(|n| i * cde(C::new(u(n), 0.0) - i * v0, k))
        .flat_map(|p| [p, p.conj()])
        .collect();
    if order % 2 == 1 {
        poles.push(C::new((i * sne(i * v0, k)).re, 0.0));
    }
    Roots { zeros: zeros.collect(), poles }
}

/// Landen's descending moduli.
fn landen(mut k: f64) -> Vec<f64> {
    let mut all = Vec::new();
    while k > 1e-15 && all.len() < 12 {
        k = (k / (1.0 + (1.0 - k * k).sqrt())).powi(2);
        all.push(k);
    }
    all
}

fn ascend(w: C, k: f64) -> C {
    landen(k).iter().rev().fold(w, |w, v| (1.0 + v) * w / (1.0 + v * w * w))
}

fn cde(u: C, k: f64) -> C {
    ascend((u * FRAC_PI_2).cos(), k)
}

fn sne(u: C, k: f64) -> C {
    ascend((u * FRAC_PI_2).sin(), k)
}

fn asne(w: C, k: f64) -> C {
    let mut before = k;
    let mut w = w;
    for v in landen(k) {
        w = w / (1.0 + (1.0 - w * w * before * before).sqrt()) * 2.0 / (1.0 + v);
        before = v;
    }
    w.asin() / FRAC_PI_2
}

/// The degree equation.
fn modulus(order: usize, k1: f64) -> f64 {
    let k1_ = (1.0 - k1 * k1).sqrt();
    let product: f64 = (1..=order / 2)
        .map(|i| sne(C::new((2 * i - 1) as f64 / order as f64, 0.0), k1_).re.powi(4))
        .product();
    let k_ = k1_.powi(order as i32) * product;
    (1.0 - k_ * k_).sqrt()
}
