//! The partials of a stretch, made exact: Gauss-Newton on damped exponentials.
//!
//! Each round fits the partials and how they would change with their rates, and moves the rates
//! accordingly. After two rounds the mirror images that the all-pass pair leaves are known and
//! taken out; after two more, amplitudes alone. Noise is not the limit: at 60 dB over 120 ms a
//! single tone's frequency can be known to 5·10⁻⁴ Hz (Cramér and Rao).
//!
//! All of it is done in small steps of like cost, so that no block pays for it.

use super::hermitian;
use super::phasor::Phasor;
use num_complex::Complex64;

/// Most partials, and longest stretch.
pub(super) const MOST: usize = 4;
pub(super) const LONGEST: usize = 48;

/// Products a step may take, about a fifth of a microsecond.
const STEP_PRODUCTS: usize = 160;
/// Rounds before and after the mirror images are taken out.
const ROUNDS_WITH_IMAGES: usize = 2;
const ROUNDS: usize = 4;
/// Given up: more of the power than this is left after the first round, and after the second.
const HOPELESS: [f64; 2] = [0.1, 0.03];
/// Given up: growing or dying by more than this from value to value, which no sound does.
const STEEPEST: f64 = 0.5;

/// Twice the partials: for each an amplitude, and a change of it in time.
const UNKNOWNS: usize = 2 * MOST;

/// A partial: its amplitude at the newest value, and ln of its ratio from value to value.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Partial {
    pub(super) amplitude: Complex64,
    pub(super) rate: Complex64,
}

/// What a step has come to.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Progress {
    /// There is more to do.
    Goes,
    /// Done: [`Fit::partials`] leave this share of the power unexplained.
    Left(f64),
}

/// One stretch, and what is known of it.
pub(super) struct Fit {
    /// Newest first.
    values: [Complex64; LONGEST],
    length: usize,
    row: usize,
    round: usize,
    order: usize,
    partials: [Partial; MOST],
    model: Model,
}

impl Fit {
    pub(super) fn new() -> Self {
        Self {
            values: [Complex64::ZERO; LONGEST],
            length: 0,
            row: 0,
            round: 0,
            order: 0,
            partials: [Partial::default(); MOST],
            model: Model::new(),
        }
    }

    /// Starts with a stretch, newest value first, and about where its partials turn.
    pub(super) fn start(
        &mut self,
        values: impl Iterator<Item = Complex64>,
        rates: impl Iterator<Item = Complex64>,
    ) {
        self.length = 0;
        for (own, value) in self.values.iter_mut().zip(values) {
            *own = value;
            self.length += 1;
        }
        self.order = 0;
        for (own, rate) in self.partials.iter_mut().zip(rates) {
            *own = Partial { amplitude: Complex64::ZERO, rate };
            self.order += 1;
        }
        self.begin(0);
    }

    /// The partials.
    pub(super) fn partials(&self) -> &[Partial] {
        &self.partials[..self.order]
    }

    /// Does a little. `image` says what the mirror image of a partial is, by its rate.
    pub(super) fn step(&mut self, image: impl Fn(Complex64) -> Complex64) -> Progress {
        let rows = (STEP_PRODUCTS / (self.order * (self.order + 4))).max(1);
        let last = self.length.min(self.row + rows);
        for row in self.row..last {
            self.model.push(&mut self.values[row], self.order);
        }
        self.row = last;
        if last < self.length {
            return Progress::Goes;
        }
        let left = self.model.solve(&mut self.partials, self.order, self.round == ROUNDS);
        let hopeless = left > *HOPELESS.get(self.round).unwrap_or(&HOPELESS[1]);
        let steep =
            self.partials().iter().any(|p| p.rate.re.is_nan() || p.rate.re.abs() > STEEPEST);
        if hopeless || steep {
            return Progress::Left(1.0);
        }
        if self.round == ROUNDS {
            return Progress::Left(left);
        }
        self.begin(self.round + 1);
        if self.round == ROUNDS_WITH_IMAGES {
            self.model.mirror(&self.partials, self.order, image);
        }
        Progress::Goes
    }

    fn begin(&mut self, round: usize) {
        self.round = round;
        self.row = 0;
        self.model.start(&self.partials, self.order, self.length);
    }
}

/// Damped exponentials, and the sums that the best of them are solved from. Time is counted in
/// stretches, backwards from the newest value.
struct Model {
    now: [Complex64; MOST],
    back: [Complex64; MOST],
    mirror: Option<[Complex64; MOST]>,
    time: f64,
    step: f64,
    energy: f64,
    sums: [[[Complex64; 3]; MOST]; MOST],
    right: [[Complex64; 2]; MOST],
}

impl Model {
    fn new() -> Self {
        Self {
            now: [Complex64::ONE; MOST],
            back: [Complex64::ONE; MOST],
            mirror: None,
            time: 0.0,
            step: 0.0,
            energy: 0.0,
            sums: [[[Complex64::ZERO; 3]; MOST]; MOST],
            right: [[Complex64::ZERO; 2]; MOST],
        }
    }

    fn start(&mut self, partials: &[Partial; MOST], order: usize, length: usize) {
        *self = Self { step: -1.0 / length as f64, ..Self::new() };
        for (back, partial) in self.back.iter_mut().zip(&partials[..order]) {
            *back = Complex64::turn(-partial.rate.im) * libm::exp(-partial.rate.re);
        }
    }

    /// Takes the mirror images of the partials out of the values that come.
    fn mirror(
        &mut self,
        partials: &[Partial; MOST],
        order: usize,
        image: impl Fn(Complex64) -> Complex64,
    ) {
        let mut mirror = [Complex64::ZERO; MOST];
        for (mirror, partial) in mirror.iter_mut().zip(&partials[..order]) {
            *mirror = image(partial.rate) * partial.amplitude.conj();
        }
        self.mirror = Some(mirror);
    }

    fn push(&mut self, value: &mut Complex64, order: usize) {
        if let Some(mirror) = &self.mirror {
            for (mirror, now) in mirror[..order].iter().zip(&self.now) {
                *value -= mirror * now.conj();
            }
        }
        self.energy += value.norm_sqr();
        let time = self.time;
        for i in 0..order {
            let wave = self.now[i].conj();
            let along = wave * *value;
            self.right[i][0] += along;
            self.right[i][1] += along * time;
            for j in i..order {
                let product = wave * self.now[j];
                self.sums[i][j][0] += product;
                self.sums[i][j][1] += product * time;
                self.sums[i][j][2] += product * (time * time);
            }
        }
        for (now, back) in self.now[..order].iter_mut().zip(&self.back) {
            *now *= back;
        }
        self.time += self.step;
    }

    /// Better partials, and the share of the power they leave.
    fn solve(&self, partials: &mut [Partial; MOST], order: usize, amplitudes_alone: bool) -> f64 {
        let unknowns = if amplitudes_alone { order } else { 2 * order };
        let mut matrix = [[Complex64::ZERO; UNKNOWNS]; UNKNOWNS];
        let mut right = [Complex64::ZERO; UNKNOWNS];
        for (row, (cells, right)) in matrix.iter_mut().zip(&mut right).enumerate().take(unknowns) {
            let (i, in_time) = (row % order, row / order);
            *right = self.right[i][in_time];
            for (column, cell) in cells.iter_mut().enumerate().take(row + 1) {
                let (j, power) = (column % order, in_time + column / order);
                let sum = self.sums[i.min(j)][i.max(j)][power];
                *cell = if i > j { sum.conj() } else { sum };
            }
        }
        let mut best = right;
        if self.energy == 0.0 || !hermitian::solve(&mut matrix, &mut best, unknowns) {
            return 1.0;
        }
        for (i, partial) in partials[..order].iter_mut().enumerate() {
            partial.amplitude = best[i];
            if !amplitudes_alone {
                partial.rate -= best[order + i] / best[i] * self.step;
            }
        }
        let explained = hermitian::explained(&right, &best, unknowns);
        (1.0 - explained / self.energy).clamp(1e-12, 1.0)
    }
}
