//! Roll-offs as radios have them: of every family a handbook names, and of none.

use crate::case::{Bench, Case, RATE, Scene};
use crate::chance::Chance;
use crate::elliptic::elliptic;
use crate::equaliser::{coupling, low_shelf, notch, peak};
use crate::filter::{
    Filter, Roots, bessel, butterworth, chebyshev, inverse_chebyshev, linkwitz, second,
};

/// Where every high-pass here has a gain of 1, Hz.
const UNITY_HZ: f64 = 600.0;

pub(crate) fn all() -> Vec<Case> {
    let mut cases = butterworths();
    cases.extend(others());
    cases.extend(resonant());
    cases.extend(shelved());
    cases.extend(flat());
    cases
}

pub(crate) fn high_pass(roots: &Roots, hz: f64) -> Filter {
    roots.turned().at(hz, RATE, UNITY_HZ)
}

/// A family at a corner that moves by 4 % from seed to seed.
fn family(name: String, order: Option<usize>, hz: f64, roots: Roots) -> Case {
    Case::new("roll-off", name, move |chance: &mut Chance, seed| {
        let hz = chance.near(hz, 0.04);
        plain(chance, high_pass(&roots, hz), order, seed)
    })
}

/// One radio, one step, nothing else wrong.
pub(crate) fn plain(chance: &mut Chance, linear: Filter, order: Option<usize>, seed: u64) -> Scene {
    let mut bench = Bench::new(chance, linear);
    bench.truth.depends = crate::truth::Depends::Unknown;
    bench.scene(order, seed)
}

fn butterworths() -> Vec<Case> {
    let corners =
        [(1, 80.0), (2, 80.0), (3, 80.0), (4, 80.0), (5, 80.0), (6, 80.0), (7, 75.0), (8, 70.0)];
    let more =
        [(1, 22.0), (1, 150.0), (2, 30.0), (2, 140.0), (3, 45.0), (4, 40.0), (4, 140.0), (6, 50.0)];
    let mut all: Vec<Case> = corners
        .iter()
        .chain(&more)
        .map(|&(n, hz)| {
            let case = family(format!("Butterworth {n} at {hz} Hz"), Some(n), hz, butterworth(n));
            // Orders above 6 are outside the families: their slope may be left open.
            if n <= 6 { case.clean() } else { case }
        })
        .collect();
    all.push(family("Butterworth 4 at 220 Hz".into(), Some(4), 220.0, butterworth(4)));
    all
}

fn others() -> Vec<Case> {
    let mut all = vec![
        family("Linkwitz-Riley 2 at 70 Hz".into(), Some(2), 70.0, linkwitz(2)).clean(),
        family("Linkwitz-Riley 4 at 80 Hz".into(), Some(4), 80.0, linkwitz(4)).clean(),
        family("Linkwitz-Riley 8 at 80 Hz".into(), Some(8), 80.0, linkwitz(8)),
    ];
    for (n, ripple) in [(2, 1.0), (3, 0.5), (3, 2.0), (4, 0.5), (5, 1.0), (6, 0.5)] {
        all.push(family(
            format!("Chebyshev I {n}, {ripple} dB"),
            Some(n),
            75.0,
            chebyshev(n, ripple),
        ));
    }
    for (n, stop) in [(3, 30.0), (4, 40.0), (5, 40.0), (6, 50.0)] {
        all.push(family(
            format!("Chebyshev II {n}, {stop} dB"),
            None,
            40.0,
            inverse_chebyshev(n, stop),
        ));
    }
    for (n, ripple, stop) in [(3, 0.5, 30.0), (4, 0.5, 40.0), (5, 0.2, 50.0)] {
        let name = format!("elliptic {n}, {ripple} and {stop} dB");
        all.push(family(name, None, 75.0, elliptic(n, ripple, stop)));
    }
    for n in [2, 3, 4] {
        all.push(family(format!("Bessel {n}"), Some(n), 80.0, bessel(n)));
    }
    all
}

fn resonant() -> Vec<Case> {
    let mut all: Vec<Case> = [0.5, 1.0, 1.5, 2.5, 4.0]
        .into_iter()
        .map(|q| family(format!("second order, Q {q}"), Some(2), 65.0, second(q)).clean())
        .collect();
    all.push(Case::new("roll-off", "third order with a bump", |c: &mut Chance, seed| {
        let hz = c.near(60.0, 0.04);
        let linear = high_pass(&butterworth(3), hz).then(peak(hz * 1.5, 1.2, 5.0, RATE));
        plain(c, linear, None, seed)
    }));
    all.push(Case::new("roll-off", "two orders apart", |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(2), c.near(110.0, 0.04));
        let linear = linear.then(high_pass(&butterworth(2), c.near(30.0, 0.04)));
        plain(c, linear, None, seed)
    }));
    all.push(Case::new("roll-off", "first order twice", |c: &mut Chance, seed| {
        let linear = coupling(c.near(60.0, 0.05), RATE).then(coupling(c.near(20.0, 0.05), RATE));
        plain(c, linear, None, seed)
    }));
    all
}

fn shelved() -> Vec<Case> {
    let mut all = Vec::new();
    for (hz, db) in [(100.0, -6.0), (100.0, -10.0), (150.0, -15.0), (60.0, -4.0), (80.0, 6.0)] {
        all.push(Case::new(
            "shelf",
            format!("shelf {db} dB at {hz} Hz"),
            move |c: &mut Chance, seed| {
                let shelf = low_shelf(c.near(hz, 0.04), db, RATE);
                plain(c, shelf, None, seed)
            },
        ));
    }
    all.push(Case::new("shelf", "shelf and fourth order", |c: &mut Chance, seed| {
        let linear =
            low_shelf(150.0, -6.0, RATE).then(high_pass(&butterworth(4), c.near(60.0, 0.04)));
        plain(c, linear, None, seed)
    }));
    all.push(Case::new("shelf", "notch at 63 Hz", |c: &mut Chance, seed| {
        let linear = notch(c.near(63.0, 0.03), 2.0, RATE);
        plain(c, linear, None, seed)
    }));
    all.push(Case::new("shelf", "dip of 8 dB at 45 Hz", |c: &mut Chance, seed| {
        let linear = peak(c.near(45.0, 0.03), 1.5, -8.0, RATE);
        plain(c, linear, None, seed)
    }));
    all
}

fn flat() -> Vec<Case> {
    let level = |name: &str, hz: f64| {
        Case::new("flat", name, move |c: &mut Chance, seed| {
            let linear = if hz > 0.0 { coupling(hz, RATE) } else { Filter::none(RATE) };
            let mut bench = Bench::new(c, linear);
            bench.truth.depends = crate::truth::Depends::Unknown;
            bench.truth.flat = hz < 3.0;
            bench.scene(Some(usize::from(hz > 4.0)), seed)
        })
    };
    vec![
        level("flat", 0.0).clean(),
        level("coupled at 0.5 Hz", 0.5),
        level("coupled at 2 Hz", 2.0),
        level("first order at 8 Hz", 8.0),
        level("first order at 12 Hz", 12.0),
    ]
}
