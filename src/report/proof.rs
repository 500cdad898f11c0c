//! A figure held against a limit.

/// The limit of a figure, in the figure's own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// The figure must not be above this.
    AtMost(f64),
    /// The figure must not be below this.
    AtLeast(f64),
    /// The figure must not leave this range, both ends included.
    Within(f64, f64),
}

/// One claim with the figure that was measured and the limit it is held against.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// What is claimed, in a few words, e.g. `octave exactly at half`.
    pub name: String,
    /// What was measured; `None` when it could not be.
    pub figure: Option<f64>,
    /// Unit of figure and limit, e.g. `dBFS`, `%`, `Hz`; may be empty.
    pub unit: &'static str,
    /// Digits after the decimal point that the measurement carries.
    pub decimals: usize,
    /// The limit.
    pub limit: Limit,
}

impl Limit {
    /// True when `figure` keeps the limit; a figure that is not a number keeps none.
    pub fn holds(self, figure: f64) -> bool {
        match self {
            Limit::AtMost(most) => figure <= most,
            Limit::AtLeast(least) => figure >= least,
            Limit::Within(least, most) => (least..=most).contains(&figure),
        }
    }
}

impl Proof {
    /// A claim with a measured figure, shown with one decimal.
    pub fn new(name: impl Into<String>, figure: f64, unit: &'static str, limit: Limit) -> Self {
        Self { name: name.into(), figure: Some(figure), unit, decimals: 1, limit }
    }

    /// The same with another number of decimals.
    pub fn decimals(self, decimals: usize) -> Self {
        Self { decimals, ..self }
    }

    /// A claim that could not be measured.
    pub fn open(name: impl Into<String>, unit: &'static str, limit: Limit) -> Self {
        Self { name: name.into(), figure: None, unit, decimals: 1, limit }
    }

    /// Whether the limit was kept; `None` when nothing was measured.
    pub fn met(&self) -> Option<bool> {
        self.figure.map(|figure| self.limit.holds(figure))
    }
}
