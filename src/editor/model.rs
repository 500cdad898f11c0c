//! What the window remembers, what it is shown and what it may ask for. Nothing here draws.

pub mod action;
pub mod averaging;
pub mod bench;
pub mod comparison;
pub mod dial;
pub mod gestures;
pub mod ghost;
pub mod history;
pub mod hold;
pub mod lessons;
pub mod now;
pub mod returned;
pub mod shelf;
pub mod state;
pub mod target;
pub mod test_choice;
pub mod trials;
