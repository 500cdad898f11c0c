//! From sounds to takes, and from takes to what is said of a radio and proposed for it: what the
//! program does with files, and the page with what is dropped into it.

mod gathered;
mod radio;

pub use gathered::{Sounds, Takes, Trouble, Watch};
pub use radio::{Wish, diagnosed, tuned};
