//! Roll-off fits against planted roll-offs with noise and ripple.

use underpin::planning::family::Family;
use underpin::planning::roll_off::{Point, RollOff, Slope, roll_off};
use underpin::signal::track::comb::lines;

use crate::filters::Cascade;
use crate::random::Random;
use crate::table::{Table, long};

const RATE: f64 = 192_000.0;

/// Ripple: three smooth sinusoids over log frequency.
fn ripple(random: &mut Random, size_db: f64) -> impl Fn(f64) -> f64 + use<> {
    let waves: Vec<[f64; 2]> = (0..3).map(|_| [random.between(0.3, 1.5), random.unit()]).collect();
    move |hz: f64| {
        let sum: f64 = waves
            .iter()
            .map(|[rate, phase]| (std::f64::consts::TAU * (rate * hz.log2() + phase)).sin())
            .sum();
        size_db * sum * (2.0 / 3.0f64).sqrt()
    }
}

/// What the left channel's lines would read: level with noise of `snr_db` below the mid band.
fn data(filter: &Cascade, snr_db: f64, ripple_db: f64, random: &mut Random) -> Vec<Point> {
    let ripple = ripple(random, ripple_db);
    let variance = 10f64.powf(-snr_db / 10.0);
    let mut points = Vec::new();
    for (i, line) in lines().iter().filter(|l| l.is_in(0) && l.hz < 1000.0).enumerate() {
        let noise = [random.normal(), random.normal()].map(|n| n * (variance / 2.0).sqrt());
        let true_gain = 10f64.powf((filter.db(line.hz, RATE) + ripple(line.hz)) / 20.0);
        let power = (true_gain + noise[0]).powi(2) + noise[1].powi(2) - variance;
        if power > 0.0 && (line.hz < 250.0 || i % 4 == 0) {
            let sd = (2.0 * power * variance + variance * variance).sqrt() / power * 4.343;
            points.push((line.hz, 10.0 * power.log10(), sd));
        }
    }
    points
}

/// Name, family, filter of a corner in Hz, −3 dB point over corner.
type Planted = (&'static str, Family, fn(f64) -> Cascade, f64);

/// The families planted, with their order and the ratio of their −3 dB point to their corner.
fn families() -> Vec<Planted> {
    // Linkwitz-Riley of order n is −6 dB at its corner: −3.01 dB at (√2 − 1)^(−1/n).
    let lr = |n: f64| (2f64.sqrt() - 1.0).powf(-1.0 / n);
    vec![
        ("flat", Family::Flat, |_| Cascade::default(), 0.0),
        ("BW1", Family::Butterworth(1), |hz| Cascade::high_pass(1, hz, RATE), 1.0),
        ("BW2", Family::Butterworth(2), |hz| Cascade::high_pass(2, hz, RATE), 1.0),
        ("BW3", Family::Butterworth(3), |hz| Cascade::high_pass(3, hz, RATE), 1.0),
        ("BW4", Family::Butterworth(4), |hz| Cascade::high_pass(4, hz, RATE), 1.0),
        ("BW5", Family::Butterworth(5), |hz| Cascade::high_pass(5, hz, RATE), 1.0),
        ("BW6", Family::Butterworth(6), |hz| Cascade::high_pass(6, hz, RATE), 1.0),
        ("LR2", Family::LinkwitzRiley(2), |hz| Cascade::linkwitz_riley(2, hz, RATE), lr(2.0)),
        ("LR4", Family::LinkwitzRiley(4), |hz| Cascade::linkwitz_riley(4, hz, RATE), lr(4.0)),
    ]
}

#[derive(Default)]
struct Tally {
    right: usize,
    undecided: usize,
    wrong: usize,
    no_single: usize,
    covered: usize,
    intervals: usize,
    widths: Vec<f64>,
}

fn judge(found: &RollOff, family: Family, f3: f64, tally: &mut Tally) {
    match &found.slope {
        Slope::Flat => tally.add(family.order() == 0),
        Slope::Single(n) => tally.add(*n == family.order()),
        Slope::Undecided(orders) if orders.contains(&family.order()) => tally.undecided += 1,
        Slope::Undecided(_) => tally.wrong += 1,
        Slope::NoSingle(_) => tally.no_single += 1,
    }
    if family != Family::Flat
        && let Some(told) = found.fall_hz[0]
    {
        tally.intervals += 1;
        tally.covered += usize::from(told.low <= f3 && f3 <= told.high);
        tally.widths.push((told.high / told.low).log2());
    }
}

impl Tally {
    fn add(&mut self, right: bool) {
        if right { self.right += 1 } else { self.wrong += 1 }
    }
}

#[test]
fn slopes_and_corners_are_told_or_left_open() {
    let draws = if long() { 100 } else { 8 };
    let mut table = Table::new(
        "slopes",
        &["SNR dB / ripple dB", "family", "right", "undecided", "wrong", "no single slope"],
    );
    let mut corners = Table::new(
        "corners",
        &["SNR dB / ripple dB", "f3 covered", "median width, octaves", "slopes wrong"],
    );
    for (snr, wave) in [(60.0, 0.0), (45.0, 0.15), (35.0, 0.3)] {
        let mut all = Tally::default();
        for (name, family, filter, ratio) in families() {
            let mut random =
                Random::new(snr as u64 * 100 + name.len() as u64 + u64::from(family.order()));
            let mut one = Tally::default();
            for _ in 0..draws {
                let hz = random.hz(25.0, 150.0);
                // The floor is one and a half times the ripple to be expected.
                let found =
                    roll_off(&data(&filter(hz), snr, wave, &mut random), (1.5 * wave).max(0.1));
                judge(&found, family, hz * ratio, &mut one);
            }
            let share = |n: usize| format!("{:.2}", n as f64 / draws as f64);
            table.row(&[
                format!("{snr} / {wave}"),
                name.into(),
                share(one.right),
                share(one.undecided),
                share(one.wrong),
                share(one.no_single),
            ]);
            all.wrong += one.wrong + one.no_single;
            all.covered += one.covered;
            all.intervals += one.intervals;
            all.widths.extend(one.widths);
        }
        all.widths.sort_by(f64::total_cmp);
        let covered = all.covered as f64 / all.intervals as f64;
        let wrong = all.wrong as f64 / (9 * draws) as f64;
        let width = all.widths[all.widths.len() / 2];
        corners.row(&[
            format!("{snr} / {wave}"),
            format!("{:.1} %", 100.0 * covered),
            format!("{width:.3}"),
            format!("{:.1} %", 100.0 * wrong),
        ]);
        assert!(covered >= 0.93, "f3 covered {covered} at {snr} dB");
        assert!(wrong <= 0.05, "slopes wrong {wrong} at {snr} dB");
        // Not right by saying little: an eighth of an octave, with ripple of twice the mean.
        assert!(width < 0.125, "median width {width} octaves at {snr} dB");
    }
}

#[test]
fn what_is_no_single_slope_is_not_called_one() {
    let shapes: [(&str, Cascade); 4] = [
        (
            "BW2 40 with a bell",
            Cascade::high_pass(2, 60.0, RATE).then(Cascade::bell(6.0, 0.7, 90.0, RATE)),
        ),
        (
            "BW4 60 with a shelf",
            Cascade::high_pass(4, 60.0, RATE).then(Cascade::low_shelf(-6.0, 150.0, RATE)),
        ),
        (
            "BW1 200 and BW4 50",
            Cascade::high_pass(1, 200.0, RATE).then(Cascade::high_pass(4, 50.0, RATE)),
        ),
        ("a shelf", Cascade::low_shelf(-10.0, 60.0, RATE)),
    ];
    for (name, filter) in shapes {
        let found = roll_off(&data(&filter, 60.0, 0.0, &mut Random::new(3)), 0.15);
        assert!(matches!(found.slope, Slope::NoSingle(_)), "{name}: {:?}", found.slope);
    }
}

#[track_caller]
fn check_family(family: Family, ratio: f64, want_db: f64) {
    let told = family.level_db(ratio, 1.0);
    assert!((told - want_db).abs() < 6e-4, "{family:?} at {ratio}: {told} dB");
}

#[test]
fn families_read_as_the_formulas_say() {
    // −10·lg(1 + r^2n) and −20·lg(1 + r^n), r = corner over frequency.
    for (ratio, b1, b4, l2, l4) in [
        (0.5, -0.969, -0.017, -1.938, -0.527),
        (1.0, -3.010, -3.010, -6.021, -6.021),
        (2.0, -6.990, -24.099, -13.979, -24.609),
        (4.0, -12.304, -48.165, -24.609, -48.199),
    ] {
        check_family(Family::Butterworth(1), ratio, b1);
        check_family(Family::Butterworth(4), ratio, b4);
        check_family(Family::LinkwitzRiley(2), ratio, l2);
        check_family(Family::LinkwitzRiley(4), ratio, l4);
    }
    for (ratio, b2, b3, l8) in [
        (0.5, -0.263, -0.067, -0.034),
        (1.0, -3.010, -3.010, -6.021),
        (2.0, -12.305, -18.129, -48.199),
        (4.0, -24.099, -36.125, -96.330),
    ] {
        check_family(Family::Butterworth(2), ratio, b2);
        check_family(Family::Butterworth(3), ratio, b3);
        check_family(Family::LinkwitzRiley(8), ratio, l8);
    }
    // scipy 1.17: 20·lg|freqs| of signal.bessel(n, 1, 'high', analog=True, norm='mag').
    for (ratio, b3, b4) in [
        (0.5, -0.6892, -0.7051),
        (1.0, -3.0103, -3.0103),
        (2.0, -12.0003, -13.4054),
        (4.0, -27.8452, -34.4336),
    ] {
        check_family(Family::Bessel(3), ratio, b3);
        check_family(Family::Bessel(4), ratio, b4);
    }
}

#[test]
fn quantiles_agree_with_scipy() {
    use underpin::planning::statistics::{chi_square_exceeds, f_two_exceeded, student_95};
    // scipy 1.17: stats.t.ppf(.975, n), stats.chi2.sf(x, n), stats.f.ppf(.999, 2, n).
    for (n, want) in [(4.0, 2.776445), (6.0, 2.446912), (10.0, 2.228139), (30.0, 2.042272)] {
        assert!((student_95(n) / want - 1.0).abs() < 2e-3, "t with {n}: {}", student_95(n));
    }
    for (x, n, want) in
        [(20.0, 10.0, 0.029252688), (140.0, 100.0, 0.0051405), (90.0, 100.0, 0.753198)]
    {
        // Wilson-Hilferty is good to a few per cent of the tail here.
        assert!(
            (chi_square_exceeds(x, n) - want).abs() < 0.03 * want + 2e-4,
            "{x} {n}: {}",
            chi_square_exceeds(x, n)
        );
    }
    for (n, want) in [(6.0, 27.0), (10.0, 14.905359)] {
        assert!((f_two_exceeded(0.001, n) - want).abs() < 1e-4 * want);
    }
}
