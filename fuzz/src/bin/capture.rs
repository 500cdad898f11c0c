//! See `fuzz::capture`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| fuzz::capture(bytes));
