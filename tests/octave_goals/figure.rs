//! A measured figure next to what was aimed at.

/// Which way is good.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Aim {
    AtMost(f64),
    AtLeast(f64),
}

impl Aim {
    pub(crate) fn met_by(self, value: f64) -> bool {
        match self {
            Self::AtMost(limit) => value <= limit,
            Self::AtLeast(limit) => value >= limit,
        }
    }

    pub(crate) fn text(self) -> String {
        match self {
            Self::AtMost(f64::INFINITY) => String::new(),
            Self::AtMost(limit) => format!("≤ {limit}"),
            Self::AtLeast(limit) => format!("≥ {limit}"),
        }
    }
}

/// One measured value, its goal, and how far one may dream.
#[derive(Clone, Debug)]
pub(crate) struct Figure {
    pub(crate) name: String,
    pub(crate) value: f64,
    pub(crate) goal: Aim,
    pub(crate) stretch: Option<Aim>,
}

/// At most `goal`.
pub(crate) fn at_most(name: impl Into<String>, value: f64, goal: f64) -> Figure {
    Figure { name: name.into(), value, goal: Aim::AtMost(goal), stretch: None }
}

/// Without a goal.
pub(crate) fn shown(name: impl Into<String>, value: f64) -> Figure {
    at_most(name, value, f64::INFINITY)
}

/// At least `goal`.
pub(crate) fn at_least(name: impl Into<String>, value: f64, goal: f64) -> Figure {
    Figure { name: name.into(), value, goal: Aim::AtLeast(goal), stretch: None }
}

impl Figure {
    /// True for a figure with a goal.
    pub(crate) fn has_goal(&self) -> bool {
        !matches!(self.goal, Aim::AtMost(f64::INFINITY))
    }

    /// The same, with a limit further out.
    pub(crate) fn stretch(mut self, limit: f64) -> Self {
        self.stretch = Some(match self.goal {
            Aim::AtMost(_) => Aim::AtMost(limit),
            Aim::AtLeast(_) => Aim::AtLeast(limit),
        });
        self
    }
}
