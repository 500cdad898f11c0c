//! The pictures: one file a view, and one table of what the window knows of each.

pub mod axis_handles;
pub mod bands;
pub mod blind;
pub mod captures;
pub mod cursor;
pub mod gain_handle;
pub mod help;
pub mod lessons;
pub mod overlay;
pub mod partials;
pub mod plan;
pub mod presets;
pub mod scope;
pub mod spectrum;
pub mod target_handles;

use crate::editor::controls::pen::Pen;
use crate::editor::layout::Layout;
use crate::editor::model::state::{FrameInput, View, WindowState};
use crate::report::{Run, Sentence, csv, finding};

/// What the window knows of a view.
pub struct Entry {
    /// Draws it.
    pub show: fn(&mut Pen, &Layout, &mut WindowState, &FrameInput),
    /// Its sentence about what was measured.
    pub say: fn(&FrameInput, &Run) -> Sentence,
    /// Its figures as CSV, where it has some.
    pub figures: fn(&FrameInput) -> Option<String>,
}

/// The table of the views.
pub fn entry(view: View) -> Entry {
    match view {
        View::Spectrum => Entry {
            show: spectrum::show,
            say: |shown, _| finding(shown.sheet),
            figures: |shown| csv::spectrum(shown.sheet),
        },
        View::Bands => Entry {
            show: bands::show,
            say: |shown, run| bands::say(run, shown.sheet.target.as_ref()),
            figures: |shown| csv::bands(shown.sheet),
        },
        View::Scope => Entry {
            show: scope::show,
            say: |shown, _| scope::say(shown),
            figures: |shown| shown.scope().map(csv::waves),
        },
        View::Partials => Entry {
            show: partials::show,
            say: |shown, run| partials::say(run, shown.sheet.harmonics_limit),
            figures: |shown| csv::partials(shown.sheet),
        },
        View::Lessons => {
            Entry { show: lessons::show, say: |_, _| Sentence::default(), figures: |_| None }
        }
        View::Plan => {
            Entry { show: plan::show, say: |shown, _| plan::say(shown), figures: |_| None }
        }
    }
}
