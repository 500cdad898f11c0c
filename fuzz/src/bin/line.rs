//! See `fuzz::line`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| fuzz::line(bytes));
