//! Trials by ear: how often the hidden one was named right, and how often a coin would do as well.

/// Trials that were answered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Trials {
    /// Answered right.
    pub right: u32,
    /// Answered in all.
    pub all: u32,
}

impl Trials {
    /// Counts an answer.
    pub fn answer(&mut self, is_right: bool) {
        self.all += 1;
        self.right += u32::from(is_right);
    }

    /// The share of coins that name at least as many right: the upper end of the binomial
    /// distribution with a half.
    pub fn by_chance(&self) -> f64 {
        // Terms of Pascal's row, each from the one before, all divided by 2 to the power of the row.
        let mut term = 0.5f64.powi(self.all as i32);
        let mut share = 0.0;
        for right in 0..=self.all {
            if right >= self.right {
                share += term;
            }
            term *= f64::from(self.all - right) / f64::from(right + 1);
        }
        share
    }

    /// The count and what a coin would do, in a sentence; `None` before the first answer.
    pub fn words(&self) -> Option<String> {
        let percent = 100.0 * self.by_chance();
        let chance = match percent {
            percent if percent < 0.1 => "less than 0.1 %".to_owned(),
            percent if percent < 1.0 => format!("{percent:.1} %"),
            percent => format!("{percent:.0} %"),
        };
        let Self { right, all } = self;
        (*all > 0).then(|| format!("{right} of {all} right; a coin does as well in {chance}."))
    }
}
