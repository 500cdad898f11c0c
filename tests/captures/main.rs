//! From a capture to a decision, held against a simulated world with planted truths.
//!
//! The short form runs with every test; `cargo xtask captures` runs the long
//! form and writes its figures down.

mod align;
mod decide;
mod device;
mod fall;
mod filters;
mod honest;
mod layout;
mod plan;
mod polarity;
mod propose;
mod random;
mod reading;
mod rehearse;
mod respond;
mod room;
mod table;
mod tell;
mod tones;
mod track;
mod verdict;
