//! What bends a waveform: rails hard and soft, one of them nearer, crossover, a curved stage.

/// The transfer curve of an output stage.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Rails {
    None,
    /// Both sides end at this level, dBFS.
    Hard(f64),
    /// A hyperbolic tangent that ends at this level.
    Soft(f64),
    /// Only the upper side ends.
    OneSided(f64),
    /// A dead zone of this share of full scale around zero.
    Crossover(f64),
    /// x + k·x²: second harmonic of k/2 re a full-scale tone.
    Curved(f64),
}

impl Rails {
    pub(crate) fn bend(self, x: f64) -> f64 {
        let at = |dbfs: f64| 10f64.powf(dbfs / 20.0);
        match self {
            Self::None => x,
            Self::Hard(dbfs) => x.clamp(-at(dbfs), at(dbfs)),
            Self::Soft(dbfs) => at(dbfs) * (x / at(dbfs)).tanh(),
            Self::OneSided(dbfs) => x.min(at(dbfs)),
            Self::Crossover(dead) => x.signum() * (x.abs() - dead).max(0.0),
            Self::Curved(k) => x + k * x * x,
        }
    }

    /// Bends a signal, sample by sample: what folds back is far below 1 % at 48 kHz and lies on no
    /// harmonic of 997 Hz.
    pub(crate) fn run(self, signal: &mut [f64]) {
        if !matches!(self, Self::None) {
            signal.iter_mut().for_each(|x| *x = self.bend(*x));
        }
    }

    /// Distortion of a tone of this peak: harmonics 2 to 20 re the fundamental, by direct sums
    /// over one period.
    pub(crate) fn distortion(self, peak: f64) -> f64 {
        const POINTS: usize = 4096;
        let turn = |n: usize| std::f64::consts::TAU * n as f64 / POINTS as f64;
        let bent: Vec<f64> = (0..POINTS).map(|n| self.bend(peak * turn(n).sin())).collect();
        let power = |order: usize| {
            let sum = |wave: fn(f64) -> f64| -> f64 {
                bent.iter().enumerate().map(|(n, y)| y * wave(turn(order * n % POINTS))).sum()
            };
            sum(f64::sin).powi(2) + sum(f64::cos).powi(2)
        };
        ((2..=20).map(power).sum::<f64>() / power(1)).sqrt()
    }

    /// The peak in dBFS at which a tone has 1 % of distortion; `None` when none up to +20 dBFS has,
    /// or when quiet tones have more than loud ones.
    pub(crate) fn one_percent_dbfs(self) -> Option<f64> {
        let bad = |dbfs: f64| self.distortion(10f64.powf(dbfs / 20.0)) > 0.01;
        if matches!(self, Self::None | Self::Crossover(_)) || !bad(20.0) {
            return None;
        }
        let (mut low, mut high) = (-60.0, 20.0);
        for _ in 0..30 {
            let middle = (low + high) / 2.0;
            if bad(middle) { high = middle } else { low = middle }
        }
        Some(low)
    }
}
