//! From sounds to takes, and from takes to what is said of a radio and proposed for it: what the
//! program does with files, the page with what is dropped into it, and the window with what it hears.

mod device;
mod files;
mod gathered;
mod growing;
mod input_level;
mod listening;
mod next_take;
mod radio;

pub use device::{device_sheet, identified};
pub use files::{label_of, open, read_files, write_track};
pub use gathered::{Sounds, Takes, Trouble, Watch};
pub use input_level::{InputLevel, InputMeter};
pub use listening::{Advice, Listening, Outcome, Playing, Shelf};
pub use next_take::next_take;
pub use radio::{Wish, diagnosed, tuned};
