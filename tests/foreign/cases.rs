//! The cases, a file a theme.

mod channels;
mod clipping;
mod conditions;
mod devices;
mod levels;
mod recorders;
mod shapes;

use crate::case::Case;

/// All cases in the order of the tables.
pub(crate) fn all() -> Vec<Case> {
    [
        shapes::all(),
        conditions::all(),
        recorders::all(),
        channels::all(),
        levels::all(),
        clipping::all(),
        devices::all(),
    ]
    .into_iter()
    .flatten()
    .collect()
}
