//! What is laid over the Spectrum: kept curves, the curve before the last change, a difference.

use crate::curve::Curve;
use crate::editor::model::shelf::edge;
use crate::editor::model::state::{FrameInput, WindowState};
use crate::editor::views::cursor::Row;
use crate::measure::Readings;
use crate::measure::layers::Layers;
use crate::plot::low_end::Beside;
use crate::plot::traces::Named;
use crate::plot::{Cause, Ink};

/// A curve to lay over the picture.
pub struct Laid {
    name: String,
    curve: Curve,
    cause: Cause,
}

impl Laid {
    /// As the picture takes it.
    pub fn named(&self) -> Named<'_> {
        Named { name: &self.name, curve: &self.curve, cause: self.cause }
    }
}

/// Everything that is laid over the picture.
pub fn laid(state: &WindowState, shown: &FrameInput, beside: &Beside) -> Vec<Laid> {
    let mut all: Vec<Laid> = Vec::new();
    let kept = state.shelf.traces.iter().filter(|trace| trace.is_shown);
    all.extend(kept.map(|trace| Laid {
        name: trace.name.clone(),
        curve: trace.curve.clone(),
        cause: Cause::Given,
    }));
    let run = shown.run().filter(|run| !run.is_tone());
    if let Some(before) = state.ghost.curve().filter(|_| run.is_some()) {
        let name = "before the change".into();
        all.push(Laid { name, curve: before.clone(), cause: Cause::Open });
    }
    if let (Some(from), Some(run)) = (state.shelf.reference(), run) {
        let now = edge(&run.readings, beside.drawn_up_db());
        let less = |(hz, db): &(f64, f64)| Some((*hz, db - from.curve.at(*hz)?));
        let curve = Curve::new(now.points().iter().filter_map(less));
        let name = format!("minus {}", from.name);
        all.push(Laid { name, curve, cause: Cause::Difference });
    }
    all
}

/// The row of the read-out for the curve that differences are taken from: what comes out, as it is
/// drawn, minus that curve.
pub fn rows(state: &WindowState, readings: &Readings, up_db: f64, hz: f64) -> Vec<Row> {
    let less = || {
        let from = state.shelf.reference()?;
        let out = Layers::smoothed_at(readings, hz)?.out + up_db;
        let words = format!("minus {}", from.name);
        Some((words.into(), Ink::Second, out - from.curve.at(hz)?))
    };
    Vec::from_iter(less())
}
