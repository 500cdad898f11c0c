//! The wires between audio thread and window: what the window hears live is
//! what the program hears offline, and nothing on the audio thread allocates.

mod bench;
mod measuring;
mod wires;

use assert_no_alloc::AllocDisabler;

#[global_allocator]
static ALLOCATOR: AllocDisabler = AllocDisabler;

const RATE_HZ: f64 = 48_000.0;
